"""Blankets, lids, tents and coats."""

from dataclasses import replace
from typing import Any

import numpy as np
import pytest
import shapely

from leeward.bench.records import Form
from leeward.constants import number
from leeward.heat.covers import film_m2k_w, gap_m2k_w
from leeward.parts.records import Part
from leeward.shields.barriers import FOOT_MM, barriers, cannot_be_covered, coats
from leeward.shields.candidates import Candidate
from leeward.shields.pieces import piece
from leeward.shields.site import Site
from shields.grounds import air_everywhere, material, top_of
from thermal_boards import footprint, land, part, quad, square

U1 = quad("U1", 0, 0, 14.0)


def body(ref: str, x: float, y: float, size: float = 4.0, **made: Any) -> Part:  # passed on
    """Return a square part with a land under it."""
    shape = square(x, y, size)
    source = footprint(ref, (land("1", square(x, y, 1)),), shape)
    return part(source, shape, **{"height_mm": 2.0, **made})


def over(here: Site, form: Form, *refs: str) -> list[Candidate]:
    """Return what a material offers for parts that want it."""
    wanted = [entry for entry in here.standing if entry.part.ref in refs]
    return barriers(here, material(form), wanted)


def serving(offers: list[Candidate], *refs: str) -> Candidate:
    """Return the offer that serves just these."""
    wanted = {(f"id-{ref}", "shelter") for ref in refs}
    return next(offer for offer in offers if offer.serves == wanted)


def test_a_blanket_lies_over_a_part_and_drapes() -> None:
    """It covers the body; cut, it is larger by twice the height and the landing each way."""
    made = piece(serving(over(top_of(U1, body("J1", 20, 0)), "fibre", "J1"), "J1"))
    assert made.area.contains(square(20, 0, 4.0 - 1e-6))
    assert (made.length_mm, made.width_mm) == pytest.approx((4 + 2 * 2.0 + 2, 4 + 2 * 2.0 + 2))
    assert made.resistance_m2k_w == pytest.approx(film_m2k_w(3.0, 0.11))
    assert made.pattern is not None
    assert np.vstack(made.pattern.outlines[0]).min() == 0.0


def test_neighbours_share_one_blanket_with_what_stands_between() -> None:
    """Two parts side by side can have one; one that would take a third of another height with it cannot."""
    near = top_of(U1, body("J1", 20, 0), body("J2", 20, 6))
    assert serving(over(near, "fibre", "J1", "J2"), "J1", "J2")
    between = top_of(U1, body("J1", 20, 0), body("J2", 20, 12), body("T1", 20, 6, height_mm=8.0))
    assert not [offer for offer in over(between, "fibre", "J1", "J2") if len(offer.serves) == 2]


def test_a_lid_stands_round_its_part_with_air_over_it() -> None:
    """Half a millimetre of room round the body and air over it; the height is the body's and the air's."""
    offer = serving(over(top_of(U1, body("J1", 20, 0)), "foil", "J1"), "J1")
    made, foot_mm = piece(offer), FOOT_MM["lid"]
    assert made.area.bounds == pytest.approx(square(20, 0, 5.0).bounds)
    assert (made.height_mm, made.air_gap_mm) == pytest.approx((2.5, 0.5))
    assert offer.resistance_m2k_w == pytest.approx(gap_m2k_w(0.5), rel=0.001)
    assert made.pattern is not None
    assert len(made.pattern.folds) == 8  # four walls, four feet
    assert (made.length_mm, made.width_mm) == pytest.approx((5.0 + 2 * (2.5 + foot_mm), 5.0 + 2 * (2.5 + foot_mm)))
    feet = sorted(min(x for x, _ in line) for line in made.pattern.folds if line[0][0] == line[1][0])
    assert feet == pytest.approx([foot_mm, foot_mm + 2.5, foot_mm + 7.5, foot_mm + 10.0])


def test_a_tent_is_two_layers_of_tape_over_air() -> None:
    """Film counts twice, the air once; it is one band with two legs and two feet."""
    made = piece(serving(over(top_of(U1, body("J1", 20, 0)), "tape", "J1"), "J1"))
    tape = material("tape")
    assert made.layers == 2
    assert made.resistance_m2k_w == pytest.approx(
        film_m2k_w(tape.thickness_mm, tape.conductivity_w_mk, 2) + gap_m2k_w(0.5)
    )
    assert made.pattern is not None
    assert len(made.pattern.folds) == 4


@pytest.mark.parametrize(("over_mm", "refused"), [(0.1, True), (-0.1, False)])
def test_a_lid_is_cut_from_one_sheet(over_mm: float, refused: bool) -> None:
    """Its length and both its ends, wall and foot each, are within the width of the foil, or it is too large."""
    foil = replace(material("foil"), widths_mm=(20.0,))
    upright_mm = 2.0 + number("covers", "gap", "tent_mm") + FOOT_MM["lid"]
    longest_mm = 20.0 - 2 * upright_mm - 2 * number("covers", "cut", "side_room_mm")
    here = top_of(U1, body("J1", 25, 0, longest_mm + over_mm))
    assert (not barriers(here, foil, here.standing)) == refused
    assert ("it is larger than the material" in cannot_be_covered(here, [foil], here.standing[0])) == refused


def test_walls_need_room_on_the_board() -> None:
    """A lid finds none beside a part that stands 0.6 mm off; a blanket does."""
    here = top_of(U1, body("J1", 20, 0), body("T1", 24.6, 0))
    assert not over(here, "foil", "J1")
    assert over(here, "fibre", "J1")
    assert "no lid: its walls find no room beside T1" in cannot_be_covered(here, [material("foil")], here.standing[0])


def test_foil_never_bridges_target_and_neighbour() -> None:
    """A lid for a part right beside the target would reach over the target's lands: it is refused, and says why."""
    small = quad("U9", 0, 0, 4.0)  # under a bore, whose room does not take in all of its lands
    here = top_of(small, body("J1", 4.9, 0, 2.0))
    room = shapely.union_all([each.copper for each in small.footprint.pads]).buffer(0.3)
    for offer in over(here, "foil", "J1"):
        assert here.frame.board(shapely.box(*offer.box)).intersection(room).area == 0
    assert "no room beside" in cannot_be_covered(here, [material("foil")], here.standing[0])


@pytest.mark.parametrize(
    ("made", "refused"),
    [
        ({"hazards": ("electrolytic",)}, {"tape", "foil", "fibre"}),
        ({"hazards": ("port",)}, {"tape", "foil", "fibre"}),
        ({"style": "connector"}, {"fibre"}),
        ({"hazards": ("lithium-cell",)}, {"foil"}),
        ({}, set()),
    ],
)
def test_what_lies_over_what(made: dict[str, Any], refused: set[Form]) -> None:
    """Nothing over vents and ports; no fibre on open contacts; no foil over a cell; all over a plain body."""
    here = top_of(U1, body("J1", 22, 0, **made))
    forms: tuple[Form, ...] = ("tape", "foil", "fibre")
    assert {form for form in forms if not over(here, form, "J1")} == refused


def test_a_tents_face_bears_no_more_than_its_adhesive() -> None:
    """In air of 330 C at 150 W/m2K the outside of a tent over a face at 200 C is at 287 C: tape cannot, foil can."""
    here = top_of(U1, body("J1", 20, 0), exposure=air_everywhere(150.0, 330.0, 200.0))
    assert not over(here, "tape", "J1")
    assert over(here, "foil", "J1")
    assert "no tent: its face would pass 260 C" in cannot_be_covered(here, [material("tape")], here.standing[0])


def test_nothing_as_tall_as_the_nozzles_head() -> None:
    """Over a body as tall as stand-off and skirt no lid fits under the head."""
    here = top_of(U1, body("J1", 22, 0, height_mm=12.8))
    assert "as tall as the nozzle's head" in cannot_be_covered(here, [material("foil")], here.standing[0])


def test_a_coat_of_gel_keeps_off_what_is_open() -> None:
    """A sealed body can be wet; a connector, a switch or one with a port cannot."""
    here = top_of(U1, body("U2", 20, 0), body("J1", 30, 0, style="connector"), body("M1", 0, 20, hazards=("port",)))
    found = coats(here, material("gel"), list(here.standing))
    assert [offer.serves for offer in found] == [{("id-U2", "shelter")}]
    assert found[0].kind == "wet-sink"


def test_without_materials_that_is_the_reason() -> None:
    """An empty bench says that nothing is at hand."""
    here = top_of(U1, body("J1", 20, 0))
    assert cannot_be_covered(here, [], here.standing[0]) == "nothing to cover it with is at hand"
    assert number("covers", "gap", "tent_mm") == 0.5
