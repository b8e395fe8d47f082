"""The ground after edits."""

from dataclasses import replace

import numpy as np
import pytest

from leeward.board.edit import Move, Relief, Turn, ViaInLand
from leeward.board.records import PadKind
from leeward.heat.copper_map import copper_map
from leeward.parts.follow import follow
from leeward.survey.changed import after, is_free
from spaced_boards import PLACES, crowded, ground_of, spaced


def test_the_ground_of_an_edited_board_is_that_of_the_board_anew() -> None:
    """After a move parts, bounds and the copper's map are what they would be if the board had been read so."""
    shared = ground_of(spaced())
    moved = after(shared, [Move("id-U2", -6.3, 4.1)])
    assert moved.parts.by_id["id-U2"].body.centroid.x == pytest.approx(63.7)
    assert moved.copper is not None
    fresh = copper_map(moved.board)
    for layer in moved.board.copper_layers:
        np.testing.assert_allclose(moved.copper.share[layer], fresh.share[layer], atol=1e-6)
    assert moved.extents.footprints[1] == pytest.approx(shared.extents.footprints[1] + [-6.3, 4.1, -6.3, 4.1])


def test_a_via_is_mapped_on_every_layer() -> None:
    """A via in a land changes the map of the inner layers too, and is among the board's vias."""
    shared = ground_of(spaced())
    changed = after(shared, [ViaInLand("id-U1", "1", 0.3, 0.6)])
    assert len(changed.board.vias) == 1
    assert len(changed.extents.vias) == 1
    assert changed.copper is not None
    fresh = copper_map(changed.board)
    for layer in changed.board.copper_layers:
        np.testing.assert_allclose(changed.copper.share[layer], fresh.share[layer], atol=1e-6)


def test_edits_add_up() -> None:
    """Several edits are made one after another; geometry alone has no map to mend."""
    shared = ground_of(spaced(), geometry_only=True)
    changed = after(shared, [Move("id-C1", 1.0, 0.0), Turn("id-C1", 90.0), Relief("id-U1", "3")])
    assert changed.copper is None
    assert changed.board.footprints[3].rotation_deg == 90.0
    assert changed.parts.by_id["id-U1"].footprint.pads[2].zone_connection == "thermal"


def test_a_place_is_free_where_no_courtyard_meets_another() -> None:
    """A part may go where nothing stands, not onto another, nor off the board; two that swap are judged together."""
    shared = ground_of(crowded(), geometry_only=True)
    assert is_free(shared, [Move("id-J1", 5.0, 5.0)])
    assert not is_free(shared, [Move("id-J1", 0.0, -8.0)])
    assert not is_free(shared, [Move("id-J1", 0.0, 70.0)])
    assert not is_free(shared, [Move("id-J1", 30.0, 30.0), Move("id-U2", 13.5, 40.5)])


@pytest.mark.parametrize(("kind", "free"), [("smd", True), ("through-hole", False)])
def test_pins_that_stick_through_keep_the_other_side_taken(kind: PadKind, free: bool) -> None:
    """Over a part on the bottom a part of the top may stand, but not where pins come through."""
    made, known = spaced()
    below = [
        replace(f, side="bottom", pads=tuple(replace(pad, kind=kind) for pad in f.pads)) if f.id == "id-J1" else f
        for f in made.footprints
    ]
    turned_over = replace(made, footprints=tuple(below))
    shared = ground_of((turned_over, follow(known, turned_over)), geometry_only=True)
    onto = (PLACES["J1"][0] - PLACES["C2"][0], PLACES["J1"][1] - PLACES["C2"][1])
    assert is_free(shared, [Move("id-C2", *onto)]) == free
