"""Which joints melt last, and why."""

from dataclasses import replace
from functools import cache
from math import inf

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from builders import case, part
from cases import spacious
from leeward.bench.read import read_bench
from leeward.board.records import Board, Track, Via, Zone
from leeward.heat.covers import Fence
from leeward.heat.loads import Loads
from leeward.heat.recipe import Held
from leeward.job import Request, settle
from leeward.parts.records import LeadStyle, Part
from leeward.review.anchors import anchors
from leeward.review.joints import joints, last_words, what_to_do
from leeward.review.pads import lands
from leeward.review.records import Case, JointMelt
from leeward.review.thermocouples import coldest
from leeward.review.ties import Ties, ties
from thermal_boards import board, parts, pour, quad, square

OUTLINE = square(0, 0, 30.0)
TARGET = quad("U1", 0, 0, 7.0, net="GND")
FLAT_OUT = Held(
    air_c=450.0, flow_l_min=70.0, board_heater_c=0.0, seconds={"preheat": 0, "soak": 0, "reflow": 60, "cool": 5}
)


def fanned_out(target: Part, index: int) -> tuple[Via, Track]:
    """Return a via half a millimetre outside a land of the target, and the trace to it."""
    pad = target.footprint.pads[index]
    reach = max(abs(pad.x_mm), abs(pad.y_mm))
    x, y = pad.x_mm * (1 + 1.3 / reach), pad.y_mm * (1 + 1.3 / reach)
    return Via(x, y, 0.6, 0.3, ("F.Cu", "B.Cu"), "GND"), Track("F.Cu", "GND", 0.3, ((pad.x_mm, pad.y_mm), (x, y)))


def with_planes(index: int, *, tied: bool) -> Board:
    """Return a board whose planes one land's via joins or, through holes of 0.6 mm round it, does not."""
    via, trace = fanned_out(TARGET, index)
    hole = shapely.Point(via.x_mm, via.y_mm).buffer(0.6)
    plane = OUTLINE if tied else OUTLINE.difference(hole)
    zones: tuple[Zone, ...] = (pour("In1.Cu", plane), pour("In2.Cu", plane))
    return board(OUTLINE, layers=4, footprints=(TARGET.footprint,), zones=zones, vias=(via,), tracks=(trace,))


@cache
def solved(index: int, *, tied: bool) -> Case:
    """Return the case of the quad with its board heater off."""
    request = Request(("U1",), held=FLAT_OUT)
    return settle(request, TARGET, with_planes(index, tied=tied), parts(TARGET), read_bench())


def melts_s(index: int, *, tied: bool) -> float:
    """Return when the joint with the via melts, from the start of reflow."""
    heat = solved(index, tied=tied).heat.of_part(TARGET.id)[index]
    return inf if heat.seconds_to_liquidus is None else heat.seconds_to_liquidus


@settings(max_examples=4, deadline=None, derandomize=True)
@given(st.integers(0, len(TARGET.footprint.pads) - 1))
def test_a_plane_tie_never_melts_a_joint_earlier(index: int) -> None:
    """With the board heater off the planes are cold: joining a land's via to them never brings its melting forward."""
    untied = melts_s(index, tied=False)
    assert untied < inf
    assert melts_s(index, tied=True) >= untied


def on_air() -> Loads:
    """Return loads whose nozzle blows on the whole of the invented part."""
    loads = case().loads
    area = replace(loads.fit.nozzle, outlet="area", slot_width_mm=None)
    return replace(loads, fit=replace(loads.fit, nozzle=area))


def judged(solved_case: Case) -> tuple[JointMelt, ...]:
    """Return the joints of a case by its own copper."""
    own = lands(solved_case)
    held = anchors(solved_case.board, own, "top")
    return joints(solved_case, ties(solved_case.board, own, held, "top"))


def test_the_tied_joint_is_last_and_says_why() -> None:
    """The one joint of the quad that two planes draw on melts last, and the planes are named with what helps."""
    last = judged(solved(20, tied=True))[0]
    assert last.pad == "21"
    assert last.reasons[0] == "tied to planes of GND, through 1 via on In1.Cu, In2.Cu (median joint: none)"
    assert last.remedies[:3] == ("more board heater", "a longer soak", "flux and added solder on it")
    assert what_to_do(last).startswith("more board heater, a longer soak")


def test_the_last_joint_is_the_coldest() -> None:
    """The list begins with the joint that the verdict names, and no joint further down is colder."""
    found = judged(spacious())
    assert found[0].pad == coldest(spacious()).joint.pad
    assert len(found) == 56
    times = [joint.seconds_to_liquidus for joint in found if joint.seconds_to_liquidus is not None]
    assert times[0] == pytest.approx(max(times), abs=2.0)


def test_corners_that_hardly_lag_are_not_explained() -> None:
    """Without ties a quad's corners melt last, behind by less than half a degree: all melt nearly together."""
    last = judged(spacious())[0]
    assert last.pad in {"1", "14", "15", "28", "29", "42", "43", "56"}
    assert 0.0 < last.behind_c < 0.5
    assert last.reasons == ()
    assert last_words(last) == "all joints melt nearly together"


def test_a_corner_that_lags_is_named() -> None:
    """Of a row of 16 lands the end that lags has its place as a reason; where every land is a corner none has."""
    assert late_corner(16) == ("at a corner of the part, where the board draws heat on two sides",)
    assert late_corner(4) == ()


def late_corner(count: int) -> tuple[str, ...]:
    """Return the reasons of the first land of two rows, colder than all others."""
    drawn = case()
    first, heat = drawn.target.footprint.pads[0], drawn.heat.joints[0]
    pads = tuple(
        replace(first, number=str(i + 1), x_mm=x, y_mm=y, copper=square(x, y, 0.4))
        for i, (x, y) in enumerate((18 + i // 2 * 0.5, 19 + i % 2 * 2) for i in range(count))
    )
    heats = tuple(
        replace(heat, joint=replace(heat.joint, pad=p.number, x_mm=p.x_mm, y_mm=p.y_mm), peak_c=240.0) for p in pads
    )
    solved = replace(drawn.heat, joints=(replace(heats[0], peak_c=230.0), *heats[1:]))
    target = replace(drawn.target, footprint=replace(drawn.target.footprint, pads=pads))
    last = joints(replace(drawn, target=target, heat=solved, loads=on_air()), [Ties()] * count)[0]
    assert last.pad == "1"
    return last.reasons


def test_joints_of_one_temperature_have_no_reasons() -> None:
    """A joint is only explained where it is colder than most: both joints of an even part are left alone."""
    drawn = case()
    even = replace(drawn.heat, joints=tuple(replace(joint, peak_c=235.0) for joint in drawn.heat.joints))
    assert not any(joint.reasons for joint in joints(replace(drawn, heat=even), [Ties(), Ties()]))


def test_a_late_exposed_pad_is_named_first() -> None:
    """The land under the body is the likeliest cause of its own delay."""
    drawn = case()
    first, second = drawn.target.footprint.pads
    large = replace(first, copper=first.copper.buffer(0.6))
    target = replace(drawn.target, footprint=replace(drawn.target.footprint, pads=(large, second)), exposed_pad="1")
    last = joints(replace(drawn, target=target), [Ties("GND", solid_on=("F.Cu",)), Ties()])[0]
    assert last.reasons[0].startswith("exposed pad of 4.5 mm2 under the body (median land 0.90 mm2)")
    assert "tied to planes of GND, solid on F.Cu" in last.reasons[1]


def test_a_joint_off_the_air_asks_for_another_nozzle() -> None:
    """A late joint outside the nozzle's opening is told with its distance; so is one far inside the slots' ring."""
    drawn = case()
    away = replace(drawn.loads.fit, aperture=shapely.box(22.0, 15.0, 40.0, 25.0))
    last = joints(replace(drawn, loads=replace(drawn.loads, fit=away)), [Ties(), Ties()])[0]
    assert "3.0 mm outside the nozzle's opening" in last.reasons
    assert "another nozzle, or this one turned or shifted" in what_to_do(last)
    wide = replace(drawn.loads.fit, aperture=shapely.box(5.0, 5.0, 35.0, 35.0))
    inner = joints(replace(drawn, loads=replace(drawn.loads, fit=wide)), [Ties(), Ties()])[0]
    assert "14.0 mm inside the nozzle's wall, off its slots of 1.5 mm" in inner.reasons


def test_a_joint_behind_a_fence_is_shadowed() -> None:
    """A late joint in the lee of a fence on its own side is told, one on the other side is not."""
    fence = Fence("top", square(19.0, 20.0, 0.5), 15.0, 0.5)
    drawn = case()
    for covers, shadowed in (((fence,), True), ((replace(fence, side="bottom"),), False), ((), False)):
        last = joints(replace(drawn, loads=replace(on_air(), covers=covers)), [Ties(), Ties()])[0]
        assert ("shadowed by a fence" in last.reasons) == shadowed
        assert ("the fence moved off or opened on that side" in last.remedies) == shadowed


@pytest.mark.parametrize(("style", "by_hand"), [("gull-wing", True), ("ball-grid", False)])
def test_solder_is_added_only_where_it_can_be(style: LeadStyle, *, by_hand: bool) -> None:
    """A tied joint of a gull-wing is helped with flux and solder, one under a ball grid is not."""
    drawn = case(part("U1", lead_style=style))
    tied = joints(replace(drawn, loads=on_air()), [Ties("GND", vias_on=("In1.Cu",), vias=1), Ties()])[0]
    assert ("flux and added solder on it" in tied.remedies) == by_hand
    assert "more board heater" in tied.remedies


def test_without_a_cause_none_is_made_up() -> None:
    """A late joint that nothing in its copper sets apart is told as that."""
    last = joints(replace(case(), loads=on_air()), [Ties(), Ties()])[0]
    assert last.behind_c == pytest.approx(4.0, abs=0.1)
    assert last.reasons == ()
    assert last_words(last) == "no single cause in its own copper: the board round it stays cooler"
    assert what_to_do(last) == "more board heater, a longer soak"
