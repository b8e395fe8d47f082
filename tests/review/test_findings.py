"""What a finding carries, and that none is about what was not assessed."""

from dataclasses import replace
from functools import cache

import pytest

from cases import case_of, crowded, spacious
from leeward.heat.recipe import Held
from leeward.job import Request
from leeward.parts.records import Part
from leeward.review.findings import findings
from leeward.review.judge import judge
from leeward.review.records import Case, Finding, LoosePart, Review
from thermal_boards import footprint, land, part, quad, square


@cache
def unmelted() -> Review:
    """Return the review of a quad whose reflow is far too short."""
    return judge(
        case_of(quad("U1", 0, 0, 14.0), request=Request(("U1",), held=Held(300.0, 10.0, 100.0, {"reflow": 2.0})))
    )


def grid(ref: str, *, bottom: bool = False) -> Part:
    """Return a ball grid of 9 lands in the middle of the board."""
    layer = "B.Cu" if bottom else "F.Cu"
    places = [(x, y) for x in (-1, 0, 1) for y in (-1, 0, 1)]
    pads = tuple(land(str(i + 1), square(x, y, 0.4), layer=layer) for i, (x, y) in enumerate(places))
    return part(footprint(ref, pads, square(0, 0, 4.0), bottom=bottom), square(0, 0, 4.0), style="ball-grid")


@cache
def mirrored() -> Case:
    """Return a ball grid with another right under it, whose joints get as hot as on a thin board."""
    case = case_of(grid("U1"), grid("U2", bottom=True))
    hotter = tuple(replace(j, peak_c=j.peak_c + (50 if j.joint.part_id == "id-U2" else 0)) for j in case.heat.joints)
    return replace(case, heat=replace(case.heat, joints=hotter))


def of_rule(review: Review, rule: str) -> list[Finding]:
    """Return the findings of a rule."""
    return [finding for finding in review.findings if finding.rule == rule]


@pytest.mark.parametrize(
    "review", [judge(crowded()), unmelted(), judge(mirrored())], ids=["crowded", "cold", "mirrored"]
)
def test_every_finding_carries_numbers_reason_and_remedy(review: Review) -> None:
    """High ones above all: a probability and at least one more figure, why, what to do, and by which source."""
    assert review.findings
    for finding in review.findings:
        assert len(finding.evidence) >= 2
        assert finding.why
        assert finding.remedy
        assert finding.source
    assert any(finding.priority == "high" for finding in review.findings)


@pytest.mark.parametrize("case", [crowded(), spacious(), mirrored()], ids=["crowded", "spacious", "mirrored"])
def test_nothing_is_ranked_that_was_not_assessed(case: Case) -> None:
    """Lands, joints and loose parts are those that were solved; none is on the list of what is not assessed."""
    review = judge(case)
    solved = {(joint.joint.part_id, joint.joint.pad) for joint in case.heat.joints}
    own = case.target.id
    assert {(own, pad.number) for pad in review.pads} <= solved
    assert {(own, joint.pad) for joint in review.joints} <= solved
    assert {entry.part.id for entry in review.loose} <= {part_id for part_id, _ in solved}
    left_out = {entry.id for entry in review.not_assessed}
    ranked = {*(n.part.id for n in review.neighbours), *(entry.part.id for entry in review.loose)}
    assert not left_out & ranked
    assert not left_out & {part_id for finding in review.findings for part_id in finding.parts}


def test_a_joint_that_stays_solid_says_why_and_what_helps() -> None:
    """The finding names the last pad, its reason, and heat as the remedy."""
    (finding,) = of_rule(unmelted(), "reflow-not-reached")
    assert f"pad {unmelted().joints[0].pad} melts last" in finding.why
    assert "never pull at a joint that is still solid" in finding.remedy


def test_a_land_that_may_lift_tells_what_is_allowed() -> None:
    """It carries what the land bears, what it meets, and the force that is allowed before melt is confirmed."""
    (finding,) = of_rule(unmelted(), "pad-may-lift")
    assert finding.evidence["probability_solid"] > 0.99
    assert finding.evidence["allowed_n"] == unmelted().lift.allowed_n
    assert finding.evidence["allowed_n"] <= min(pad.capability_n for pad in unmelted().pads)
    assert "held by nothing" in finding.why


def test_a_grid_under_a_grid_is_a_finding() -> None:
    """A ball grid right under the target gets its heat and may half melt, unseen."""
    (finding,) = of_rule(judge(mirrored()), "grid-under-grid")
    assert finding.refs == ("U1", "U2")
    assert finding.evidence["joint_peak_c"] >= finding.evidence["coldest_joint_c"]


def test_a_part_that_meets_the_heater_is_a_finding() -> None:
    """Only where the bench says how much room there is, and it is too little."""
    case = mirrored()
    assert not of_rule(judge(case), "heater-meets-part")
    heater = replace(case.bench.board_heater, room_mm=1.0)
    (finding,) = of_rule(judge(replace(case, bench=replace(case.bench, board_heater=heater))), "heater-meets-part")
    assert (finding.refs, finding.severity) == (("U1", "U2"), "part lost")
    assert finding.evidence["stands_out_mm"] == 1.6


def test_a_board_without_room_for_pins_is_a_finding() -> None:
    """A bottom that is full all round leaves nowhere for support pins."""
    body = square(0, 0, 80.0)
    cover = part(footprint("A1", (land("1", square(30, 30, 2), layer="B.Cu"),), body, bottom=True), body, height_mm=5.0)
    (finding,) = of_rule(judge(case_of(quad("U1", 0, 0, 14.0), cover)), "no-room-for-support")
    assert finding.evidence["places"] == 0.0
    assert not of_rule(judge(spacious()), "no-room-for-support")


def test_what_floats_off_is_set_straight_again() -> None:
    """A part that may float off is a touch-up, one that may drop or be blown away is lost."""
    case = crowded()
    heavy = {i: replace(p, mass_mg=replace(p.mass_mg, value=p.mass_mg.value * 40)) for i, p in case.parts.by_id.items()}
    found = judge(replace(case, parts=replace(case.parts, by_id=heavy))).findings
    severities = {(f.rule, f.severity) for f in found if f.rule.startswith("part-may-be")}
    assert {("part-may-be-floated", "touch-up"), ("part-may-be-dropped", "part lost")} <= severities


def test_a_site_reworked_often_is_warned_of() -> None:
    """From two earlier reworks on, one for hidden joints, a caution gives the house rule."""
    for case, cycles, warned in ((spacious(), 1, False), (spacious(), 2, True), (mirrored(), 1, True)):
        told = any("site has been reworked" in text for text in judge(replace(case, cycles_seen=cycles)).cautions)
        assert told == warned


def test_what_is_sure_to_move_is_no_likelier_than_its_joints_melt() -> None:
    """A force three times what holds moves a part as surely as its joints melt, half of what holds half as surely."""
    judged = judge(crowded())
    part_ = crowded().parts.by_id["id-C1"]
    for ratio, expected in ((3.0, 0.6), (0.5, 0.3)):
        loose = (LoosePart(part_, "blown", ratio, 0.6),)
        found = findings(judged.case, (), judged.joints, judged.pads, judged.lift, loose, judged.opposite, 0.0)
        (finding,) = (finding for finding in found if finding.rule == "part-may-be-blown")
        assert finding.evidence["probability"] == pytest.approx(expected)


@pytest.mark.parametrize(
    ("by_air", "words"),
    [
        (0.97, "nearly all its heat comes by the nozzle's air"),
        (0.5, "50% of its heat comes by the nozzle's air, the rest through the board and from the heater"),
        (0.03, "nearly all its heat comes through the board and from the heater"),
    ],
)
def test_how_heat_gets_to_a_neighbour_is_told(by_air: float, words: str) -> None:
    """By air, through the board, or by both in their shares."""
    judged = judge(crowded())
    near = replace(judged.neighbours[0], probability_over=0.9, by_air=by_air, by_copper=1 - by_air)
    found = findings(judged.case, (near,), judged.joints, judged.pads, judged.lift, (), judged.opposite, 0.0)
    assert any(finding.why.endswith(words) for finding in found if near.part.id in finding.parts)
