"""Changes of the layout tried on the record of a board."""

import pytest
import shapely

from leeward.board.edit import Move, Relief, Turn, ViaInLand, apply, is_free_for_via
from leeward.board.records import Board, Track, Via
from leeward.parts.follow import follow
from thermal_boards import board, chip, footprint, land, parts, pour, square

OUTLINE = square(0, 0, 40)


def ground_board(*tracks: Track) -> Board:
    """Return a board with a chip, and a part whose land lies in a pour of its own net and above one of another."""
    first = chip("C1", 5.0, 3.0)
    pad = land("1", shapely.box(-0.5, -1, 0.5, 1), net="GND")
    zones = (pour("F.Cu", square(0, 0, 10)), pour("B.Cu", square(0, 0, 10), net="VCC"))
    return board(
        OUTLINE, footprints=(first.footprint, footprint("U1", (pad,), square(0, 0, 3))), zones=zones, tracks=tracks
    )


def test_a_moved_part_takes_its_lands_and_outlines_along() -> None:
    """Everything of the part lies as far off as it was moved, everything else where it was, and the notes say so."""
    before = ground_board()
    after = apply(before, Move("id-C1", 1.5, -0.25))
    old, new = before.footprints[0], after.footprints[0]
    assert (new.x_mm, new.y_mm) == pytest.approx((old.x_mm + 1.5, old.y_mm - 0.25))
    for was, now in zip(old.pads, new.pads, strict=True):
        assert (now.x_mm, now.y_mm) == pytest.approx((was.x_mm + 1.5, was.y_mm - 0.25))
        assert now.copper.equals_exact(shapely.affinity.translate(was.copper, 1.5, -0.25), 1e-9)
    assert new.courtyard is not None
    assert new.courtyard.equals_exact(shapely.affinity.translate(old.courtyard, 1.5, -0.25), 1e-9)
    assert after.footprints[1] is before.footprints[1]
    assert after.zones == before.zones
    assert after.notes == ("C1 was tried moved by 1.50, -0.25 mm: tracks, vias and fills lie as they did before",)


def test_a_turn_is_counter_clockwise_as_drawn() -> None:
    """A land to the east of its part lies to the north after a quarter turn, where y is less."""
    before = ground_board()
    after = apply(before, Turn("id-C1", 90.0)).footprints[0]
    east = before.footprints[0].pads[1]
    assert (east.x_mm, east.y_mm) == pytest.approx((5.8, 3.0))
    assert (after.pads[1].x_mm, after.pads[1].y_mm) == pytest.approx((5.0, 2.2))
    assert after.rotation_deg == 90.0


def test_a_full_turn_leaves_all_where_it_was() -> None:
    """Four quarter turns end where they began."""
    turned = before = ground_board()
    for _ in range(4):
        turned = apply(turned, Turn("id-C1", 90.0))
    assert turned.footprints[0].rotation_deg == 0.0
    for was, now in zip(before.footprints[0].pads, turned.footprints[0].pads, strict=True):
        assert now.copper.symmetric_difference(was.copper).area < 1e-9


def test_a_part_follows_its_footprint() -> None:
    """The body and the leads of an identified part go with the footprint, and other parts are left alone."""
    first = chip("C1", 5.0, 3.0)
    known = parts(first, chip("C2", 9.0, 3.0))
    plain = board(OUTLINE, footprints=tuple(part.footprint for part in known.by_id.values()))
    after = follow(known, apply(apply(plain, Turn("id-C1", 90.0)), Move("id-C1", 2.0, 1.0)))
    moved = after.by_id["id-C1"]
    assert moved.body.symmetric_difference(shapely.box(6.6, 3.2, 7.4, 4.8)).area < 1e-9
    assert moved.leads.symmetric_difference(moved.body).area < 1e-9
    assert after.by_id["id-C2"] is known.by_id["id-C2"]


def test_a_relief_leaves_four_spokes() -> None:
    """The pour loses the ring round the land but for four spokes; the other net's pour stays whole."""
    after = apply(ground_board(), Relief("id-U1", "1"))
    own, other = after.zones[0].fills[0].copper, after.zones[1].fills[0].copper
    ring = shapely.box(-0.5, -1, 0.5, 1).buffer(0.5).difference(shapely.box(-0.5, -1, 0.5, 1))
    assert own.intersection(ring).area == pytest.approx(4 * 0.5 * 0.5, abs=1e-6)
    spokes = [piece for piece in shapely.get_parts(own.intersection(ring)) if piece.area > 0]
    assert len(spokes) == 4
    assert other.area == pytest.approx(100)
    assert after.footprints[1].pads[0].zone_connection == "thermal"


def test_a_via_in_a_land_keeps_clear_of_other_pours() -> None:
    """The via is on the land's net, and the pour of another net has a hole as wide as via and clearance."""
    after = apply(ground_board(), ViaInLand("id-U1", "1", 0.3, 0.6))
    assert after.vias == (Via(0.0, 0.0, 0.6, 0.3, ("F.Cu", "B.Cu"), "GND"),)
    assert after.zones[0].fills[0].copper.area == pytest.approx(100)
    assert 100 - after.zones[1].fills[0].copper.area == pytest.approx(3.14159 * 0.5**2, rel=0.02)


def test_a_via_has_no_place_on_a_foreign_track() -> None:
    """A track of another net under the land bars a via, one of the same net or further off does not."""
    edit = ViaInLand("id-U1", "1", 0.3, 0.6)
    assert is_free_for_via(ground_board(), edit)
    assert not is_free_for_via(ground_board(Track("B.Cu", "SDA", 0.2, ((-5.0, 0.3), (5.0, 0.3)))), edit)
    assert is_free_for_via(ground_board(Track("B.Cu", "GND", 0.2, ((-5.0, 0.3), (5.0, 0.3)))), edit)
    assert is_free_for_via(ground_board(Track("B.Cu", "SDA", 0.2, ((-5.0, 0.9), (5.0, 0.9)))), edit)


def test_what_is_not_there_cannot_be_edited() -> None:
    """A part or a pad that the board does not have is a KeyError."""
    for edit in (Move("id-X", 1, 1), Relief("id-U1", "9"), ViaInLand("id-U1", "9", 0.3, 0.6)):
        with pytest.raises(KeyError):
            apply(ground_board(), edit)
