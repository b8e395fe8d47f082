"""Which lands lift, and in what order."""

from collections.abc import Sequence
from dataclasses import replace
from functools import cache

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from builders import case, part
from leeward.board.records import Via
from leeward.heat.records import Joint, JointHeat
from leeward.known import Known
from leeward.review.anchors import Anchors, Trace
from leeward.review.pads import (
    corners,
    demands_n,
    gives_way,
    lands,
    lift_risk,
    pads,
    solder_n,
    surface_tension_n,
    wetted,
    words,
)
from leeward.review.records import Case, Laminate, PadRisk
from thermal_boards import quad

STANDARD = Laminate(Known(140.0, "test", "low"), Known(305.0, "test", "low"), told=True)
VIA = Via(0, 0, 0.6, 0.3, ("F.Cu", "B.Cu"), "A")
LENGTHS = st.floats(0.15, 4.0)
GROWTH = st.floats(0.0, 2.0)
HOT = st.floats(218.0, 290.0)
HELD = st.lists(st.floats(0.1, 2.0), max_size=3).map(lambda necks: Anchors(tuple(Trace(neck, 0.0) for neck in necks)))


@cache
def drawn() -> Case:
    """Return the invented case as it is."""
    return case()


def solved(
    width_mm: float = 0.6, length_mm: float = 1.5, *, peak_c: float = 240.0, molten: bool = True, cycles: int = 0
) -> Case:
    """Return a case whose first land has a size and a peak; its joints are surely molten at the lift, or surely not."""
    target = drawn().target
    first, second = target.footprint.pads
    x, y = first.x_mm, first.y_mm
    box = shapely.box(x - width_mm / 2, y - length_mm / 2, x + width_mm / 2, y + length_mm / 2)
    sized = replace(target, footprint=replace(target.footprint, pads=(replace(first, copper=box), second)))
    joints = tuple(
        JointHeat(
            Joint(sized.id, pad.number, pad.x_mm, pad.y_mm, "top"),
            peak_c,
            1000.0 if molten else 0.0,
            40.0,
            20.0,
            6.0,
            8.0,
            None,
        )
        for pad in sized.footprint.pads
    )
    return replace(drawn(), target=sized, heat=replace(drawn().heat, joints=joints), cycles_seen=cycles)


def judged(solved_case: Case, held: Anchors | None = None, laminate: Laminate = STANDARD) -> PadRisk:
    """Return the first land's risk."""
    found = pads(solved_case, laminate, [held or Anchors(), Anchors()])
    return next(pad for pad in found if pad.number == "1")


@settings(deadline=None)
@given(LENGTHS, LENGTHS, GROWTH, GROWTH, HELD, st.booleans())
def test_a_larger_land_never_lifts_sooner(
    width: float, length: float, wider: float, longer: float, held: Anchors, molten: bool
) -> None:
    """At a fixed temperature field the risk never rises as a land grows, be its joint molten or solid."""
    small = judged(solved(width, length, molten=molten), held)
    assert judged(solved(width + wider, length + longer, molten=molten), held).lift_risk <= small.lift_risk * (1 + 1e-9)


@settings(deadline=None)
@given(LENGTHS, LENGTHS, HELD, st.booleans())
def test_another_via_never_lifts_a_land(width: float, length: float, held: Anchors, molten: bool) -> None:
    """A via in the land, or one near it, never raises the risk."""
    drawn_case = solved(width, length, molten=molten)
    more = replace(held, vias_in=(VIA,), barrel_mm2=0.02)
    assert judged(drawn_case, more).lift_risk <= judged(drawn_case, held).lift_risk
    assert judged(drawn_case, replace(held, vias_near=(VIA,))).lift_risk == judged(drawn_case, held).lift_risk


@settings(deadline=None)
@given(LENGTHS, st.floats(0.1, 2.0), GROWTH, st.booleans())
def test_a_wider_neck_never_lifts_a_land(width: float, neck: float, wider: float, molten: bool) -> None:
    """The wider the trace that leaves a land, the less it lifts."""
    drawn_case = solved(width, molten=molten)
    narrow, wide = (Anchors((Trace(size, 0.0),)) for size in (neck, neck + wider))
    assert judged(drawn_case, wide).lift_risk <= judged(drawn_case, narrow).lift_risk


@settings(deadline=None)
@given(LENGTHS, st.integers(0, 6), st.integers(1, 4), HELD, st.booleans())
def test_fewer_cycles_never_lift_a_land(width: float, cycles: int, more: int, held: Anchors, molten: bool) -> None:
    """The risk never falls with another rework of the site."""
    fewer = judged(solved(width, cycles=cycles, molten=molten), held)
    assert fewer.lift_risk <= judged(solved(width, cycles=cycles + more, molten=molten), held).lift_risk


@settings(deadline=None)
@given(LENGTHS, HOT, GROWTH, st.floats(0.0, 60.0), HELD, st.booleans())
def test_a_cooler_laminate_never_lifts_a_land(
    width: float, peak: float, hotter: float, harder: float, held: Anchors, molten: bool
) -> None:
    """With the joints as they are, neither a lower peak nor a higher glass transition raises the risk."""
    cool = judged(solved(width, peak_c=peak, molten=molten), held).lift_risk
    assert cool <= judged(solved(width, peak_c=peak + hotter, molten=molten), held).lift_risk
    hard = replace(STANDARD, glass_transition_c=Known(140.0 + harder, "test", "low"))
    assert judged(solved(width, peak_c=peak, molten=molten), held, hard).lift_risk <= cool


def test_all_molten_is_safe_and_a_solid_joint_is_not() -> None:
    """Molten solder pulls a thousandth of what a land bears; a solid joint under a heavy part tears a bare land off."""
    assert judged(solved(0.3)).lift_risk < 1e-6
    heavy = solved(0.3, molten=False)
    target = replace(heavy.target, mass_mg=Known(30000.0, "test", "high"))
    assert judged(replace(heavy, target=target)).lift_risk > 0.9


def test_the_pull_on_a_solid_joint_leaves_its_own_tension_out() -> None:
    """A solid joint holds nothing by surface tension: weight and the other joints, half as much again."""
    drawn_case = solved(0.6, 1.5)
    own = lands(drawn_case)
    weight = 30e-6 * 9.80665
    others = surface_tension_n(own[1:], "top")
    assert others == pytest.approx(0.48 * 4.2e-3)
    assert demands_n(drawn_case.target, own)[0] == pytest.approx(1.5 * (weight + others))


def test_solid_solder_is_stronger_than_hot_foil() -> None:
    """1 mm2 of solder at 200 C passes 4.3 N on, worked on the same straight line: the land goes before the solder."""
    pad = case().target.footprint.pads[0]
    whole = replace(pad, copper=shapely.box(0, 0, 1, 1))
    assert solder_n(whole, 200.0, 217.0, 25.0) == pytest.approx(4.3, rel=0.02)
    assert solder_n(whole, 230.0, 217.0, 25.0) == 0.0


def test_a_mask_that_covers_the_edge_defines_what_is_wetted() -> None:
    """Of a land whose mask opening is smaller, the opening's edge pulls."""
    drawn_case = solved()
    pad = replace(lands(drawn_case)[0], mask_margin_mm=-0.1)
    assert wetted(pad, "top").length == pytest.approx(2 * (0.4 + 1.3))
    masked = replace(
        drawn_case.target, footprint=replace(drawn_case.target.footprint, pads=(pad, lands(drawn_case)[1]))
    )
    assert judged(replace(drawn_case, target=masked)).defined_by == "mask"
    assert judged(drawn_case).defined_by == "copper"


def test_corners_are_the_ends_of_rows() -> None:
    """A quad of 4 times 14 lands has eight corner lands, the first and last of each side; a chip has none."""
    square_part = quad("U1", 0, 0, 14.0)
    corner = corners(square_part, square_part.footprint.pads)
    assert [pad.number for pad, at in zip(square_part.footprint.pads, corner, strict=True) if at] == [
        "1", "14", "15", "28", "29", "42", "43", "56",
    ]  # fmt: skip
    chip = part("C1")
    assert corners(chip, chip.footprint.pads) == [False, False]


def order_of(solved_case: Case, held: Sequence[Anchors]) -> list[str]:
    """Return the lands by rank."""
    return [pad.number for pad in pads(solved_case, STANDARD, held)]


def test_unconnected_lands_stand_first_among_equals() -> None:
    """With all joints molten no land is likelier to lift: the one that no copper leaves is named first."""
    held, bare = Anchors((Trace(0.2, 0.0),)), Anchors()
    assert order_of(solved(), [held, bare]) == ["2", "1"]
    assert order_of(solved(), [bare, held]) == ["1", "2"]


def test_what_was_not_solved_is_not_ranked() -> None:
    """A pad without a joint in the heat answer is neither ranked nor counted."""
    drawn_case = solved()
    half = replace(drawn_case, heat=replace(drawn_case.heat, joints=drawn_case.heat.joints[:1]))
    assert [pad.number for pad in lands(half)] == ["1"]
    assert [pad.number for pad in pads(half, STANDARD, [Anchors()])] == ["1"]


def test_long_heat_spoils_the_foil() -> None:
    """The invented history passes 200 C for 50 s, under a minute; with a lower glass transition it is spoiled."""
    assert not judged(solved()).spoiled
    soft = replace(STANDARD, glass_transition_c=Known(120.0, "test", "low"))
    assert judged(solved(), laminate=soft).spoiled
    assert judged(solved(peak_c=310.0)).spoiled


def test_the_reason_names_anchors_and_history() -> None:
    """Temperature, width, anchors, earlier rework and the verdict on a solid joint stand in words."""
    held = Anchors((Trace(0.25, 90.0),), vias_near=(VIA,))
    told = judged(solved(0.3, cycles=2), held).why
    assert "0.3 mm wide, held by trace 0.25 mm to the north, 1 via near; 2 earlier reworks" in told
    assert judged(solved()).anchors == ("nothing",)


def test_risk_is_the_sum_of_both_cases() -> None:
    """P(solid) times one chance and the rest times the other; pull as strong as the land is an even chance."""
    assert lift_risk(0.25, 0.8, 0.0) == pytest.approx(0.2)
    assert lift_risk(0.0, 0.8, 0.1) == pytest.approx(0.1)
    assert gives_way(0.3, 0.3) == pytest.approx(0.5)


def test_a_plated_hole_counts_on_its_colder_side() -> None:
    """A joint that is looked at on both sides is one land, judged by the side that lags."""
    both = solved()
    first = both.heat.joints[0]
    colder = replace(first, joint=replace(first.joint, side="bottom"), peak_c=220.0)
    hot_and_cold = replace(both, heat=replace(both.heat, joints=(*both.heat.joints, colder)))
    assert len(lands(hot_and_cold)) == 2
    assert judged(hot_and_cold).peak_c == 220.0


def test_lands_that_nothing_holds_stand_before_corners() -> None:
    """Of a quad's molten lands the one in a row that no copper leaves comes first, then corners, then the others."""
    target = quad("U1", 0, 0, 14.0)
    like = solved().heat.joints[0]
    joints = tuple(
        replace(like, joint=Joint(target.id, pad.number, pad.x_mm, pad.y_mm, "top")) for pad in target.footprint.pads
    )
    case_of_quad = replace(drawn(), target=target, heat=replace(drawn().heat, joints=joints))
    held = [Anchors() if pad.number == "5" else Anchors((Trace(0.2, 0.0),)) for pad in target.footprint.pads]
    assert order_of(case_of_quad, held)[:4] == ["5", "1", "14", "15"]


def test_a_pour_is_told_by_its_spokes() -> None:
    """Spokes are counted and their middle width is told; a solid pour by the length along which it holds."""
    spokes = Anchors(pour_contacts_mm=(0.2, 0.3, 0.5))
    assert words(spokes) == ("pour by 3 spokes of 0.3 mm",)
    assert words(replace(spokes, pour_solid=True)) == ("pour, solid along 1 mm",)
