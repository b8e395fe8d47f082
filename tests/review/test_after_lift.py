"""What follows the lift: cooling, inspection, the next part."""

from dataclasses import replace

import pytest

from builders import case, neighbour, pad_risk, part
from leeward.board.records import Via
from leeward.known import Known
from leeward.review.after_lift import after_lift, land_thickness_mm
from leeward.review.anchors import Anchors
from leeward.review.records import AfterLift

VIA = Via(0, 0, 0.6, 0.3, ("F.Cu", "B.Cu"), "A")


def follows(
    held: tuple[Anchors, Anchors] = (Anchors(), Anchors()), probability_joint_melts: float = 0.001
) -> AfterLift:
    """Return what follows in the invented case, with one neighbour."""
    solved = case()
    ranked = [pad_risk(pad) for pad in solved.target.footprint.pads[::-1]]
    near = replace(neighbour(part("C2")), probability_joint_melts=probability_joint_melts)
    return after_lift(solved, ranked, held, [near])


def test_the_riskiest_lands_are_looked_at_first() -> None:
    """By rank, each number once."""
    assert follows().first == ("2", "1")


def test_the_land_thickness_is_the_stackups() -> None:
    """The outer copper on the target's side is what a lift is measured against."""
    assert land_thickness_mm(case()) == 0.035
    assert "(0.035 mm)" in follows().inspect[0].against


def test_lands_with_a_via_have_a_rule_of_their_own() -> None:
    """Named where there are any, else not spoken of."""
    assert any(
        point.what == "Lands with a via in them: 2" for point in follows((Anchors(), Anchors(vias_in=(VIA,)))).inspect
    )
    assert not any("via" in point.what for point in follows().inspect)


@pytest.mark.parametrize(("melts", "looked_at"), [(0.001, False), (0.5, True), (0.999, False)])
def test_joints_that_may_half_melt_are_looked_at(melts: float, looked_at: bool) -> None:
    """Neighbours whose joints neither surely stayed solid nor surely melted are on the list."""
    found = follows(probability_joint_melts=melts).inspect
    assert any(point.what == "Joints of C2" for point in found) == looked_at


def test_every_point_names_its_source() -> None:
    """What to look at, against what, by which document; values from memory say so."""
    for point in follows((Anchors(vias_in=(VIA,)), Anchors()), 0.5).inspect:
        assert point.against
        assert "IPC" in point.source or "no source" in point.source


def test_ball_grids_are_levelled() -> None:
    """Hidden joints want level lands; gull-wings do not ask for it."""
    grid = case(part("U1", lead_style="ball-grid", family="ball grid array"))
    ranked = [pad_risk(pad) for pad in grid.target.footprint.pads]
    assert any("Level" in step for step in after_lift(grid, ranked, (Anchors(), Anchors()), []).prepare)
    assert not any("Level" in step for step in follows().prepare)


def test_the_next_part_has_its_cautions() -> None:
    """Alloy, moisture with the floor life of its level, place, and the count of reworks for next time."""
    told = " ".join(follows().put_on)
    assert "The same alloy as the board's (SAC305 assumed)" in told
    assert "its moisture level is not known" in told
    assert "next time --cycles U1=2" in told
    solved = case(replace(part("U1"), msl=Known("3", "test", "high")))
    ranked = [pad_risk(pad) for pad in solved.target.footprint.pads]
    assert "(MSL 3: 168 h)" in " ".join(after_lift(solved, ranked, (Anchors(), Anchors()), []).put_on)


def test_chips_hold_no_moisture() -> None:
    """A resistor's floor life is not asked for."""
    solved = case(part("R1", lead_style="end-cap", family="chip resistor"))
    ranked = [pad_risk(pad) for pad in solved.target.footprint.pads]
    assert "floor life" not in " ".join(after_lift(solved, ranked, (Anchors(), Anchors()), []).put_on)
