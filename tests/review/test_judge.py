"""Reviews of solved cases."""

import numpy as np
import pytest

from cases import case_of, cell, crowded, spacious
from leeward.heat.recipe import Held
from leeward.job import Request
from leeward.review.judge import judge
from thermal_boards import chip, quad


def test_a_crowded_board_has_high_findings_and_a_spacious_one_none() -> None:
    """The control that keeps the ranking useful: the same quad is high risk among neighbours and not alone."""
    assert any(finding.priority == "high" for finding in judge(crowded()).findings)
    assert not [finding for finding in judge(spacious()).findings if finding.priority == "high"]


def test_neighbours_stand_by_shielding_need() -> None:
    """Priority never rises down the list of neighbours, and nobody is listed twice."""
    listed = judge(crowded()).neighbours
    order = ["high", "medium", "low"]
    ranks = [order.index(neighbour.priority) for neighbour in listed]
    assert ranks == sorted(ranks)
    assert len({neighbour.part.id for neighbour in listed}) == len(listed)


def test_a_lithium_cell_is_named_wherever_it_is() -> None:
    """The board heater warms the whole board: a cell 40 mm off is taken off first, as a high finding of injury."""
    review = judge(crowded())
    finding = next(finding for finding in review.findings if "BT1" in finding.refs)
    assert (finding.rule, finding.severity, finding.priority) == ("cell-on-a-heated-board", "injury", "high")
    assert review.work_order[1].do == "Take off before any heat: BT1."
    assert "Lithium" in review.cautions[0]


def test_a_cell_outside_the_window_is_judged_by_the_warm_board() -> None:
    """A cell beyond the solved window still gets the temperature of the board's far edge, and is named."""
    case = case_of(quad("U1", -38, -38, 7.0), cell("BT1", 37, 37))
    entry = next(neighbour for neighbour in judge(case).neighbours if neighbour.part.ref == "BT1")
    assert "id-BT1" not in case.heat.bodies
    assert entry.body_peak_c == case.heat.far_peak_c
    assert entry.priority == "high"


def test_gaps_are_what_a_ruler_says() -> None:
    """Chip C2 at x 9.6 (body from 8.8) is 0.8 mm off leads that end at 8.0, to the right; those below are at gap 0."""
    listed = {neighbour.part.ref: neighbour for neighbour in judge(crowded()).neighbours}
    assert listed["C2"].gap_mm == pytest.approx(0.8)
    assert listed["C2"].direction_deg == pytest.approx(0.0)
    assert listed["C12"].gap_mm == 0.0
    assert listed["C12"].part.footprint.side == "bottom"


def test_direction_is_counter_clockwise_as_drawn() -> None:
    """A neighbour drawn above the target (smaller y) lies at 90 degrees."""
    case = case_of(quad("U1", 0, 0, 7.0), chip("C1", 0, -8))
    assert judge(case).neighbours[0].direction_deg == pytest.approx(90.0)


def test_close_chips_are_masked() -> None:
    """Chips of 0603 whose joints may melt are covered against the air, whatever else."""
    listed = {neighbour.part.ref: neighbour for neighbour in judge(crowded()).neighbours}
    assert listed["C2"].probability_joint_melts > 0.05
    assert "air-mask" in listed["C2"].shield


def test_heat_through_the_board_is_not_covered() -> None:
    """A chip under the target is heated through the board: tape holds it, and no cover is offered against the heat."""
    listed = {neighbour.part.ref: neighbour for neighbour in judge(crowded()).neighbours}
    assert listed["C12"].shield == ("air-mask", "cannot")
    assert "no cover stops that" in listed["C12"].shield_why
    assert listed["C12"].by_copper > 0.5


def test_lands_are_ranked_and_molten_lands_are_safe() -> None:
    """Lift risk never rises down the list, and is no more than the chance that the joint is still solid."""
    lands = judge(crowded()).pads
    risks = [round(land.lift_risk, 3) for land in lands]
    assert risks == sorted(risks, reverse=True)
    assert all(land.lift_risk <= land.probability_solid for land in lands)
    assert len(lands) == 56


def test_lifting_by_the_clock_is_riskier() -> None:
    """With reflow held to a time that just melts the joints, the pads' risk is higher than on the event."""
    event = judge(spacious())
    held = Request(("U1",), held=Held(seconds={"reflow": round(event.case.heat.stage_ends_s["reflow"] - 160.0)}))
    clock = judge(case_of(quad("U1", 0, 0, 14.0), request=held))
    assert clock.pads[0].probability_solid > 2 * event.pads[0].probability_solid
    assert clock.probability_melted < event.probability_melted


def test_too_short_a_reflow_is_a_high_finding() -> None:
    """A reflow of two seconds leaves joints solid: the review says so and ranks it high."""
    review = judge(
        case_of(quad("U1", 0, 0, 14.0), request=Request(("U1",), held=Held(300.0, 10.0, 100.0, {"reflow": 2.0})))
    )
    finding = next(finding for finding in review.findings if finding.rule == "reflow-not-reached")
    assert finding.priority == "high"
    assert review.probability_melted < 0.01


def test_the_work_order_lifts_on_melt_and_waits_for_the_cold() -> None:
    """Lift on a thermocouple or a nudge of 0.1 mm at most, never by time; still above 100 C, untouched above 50 C."""
    text = " ".join(step.do for step in judge(spacious()).work_order)
    assert "thermocouple on the last joint, or a nudge of 0.1 mm at most" in text
    assert "Never by time" in text
    assert "Do not move the board above 100 C" in text
    assert "Do not touch it above 50 C" in text


def test_waiting_time_is_when_the_joints_pass_100() -> None:
    """The printed wait is when the hottest joint falls under 100 C after the lift."""
    case = spacious()
    heat = case.heat
    step = next(step for step in judge(case).work_order if "Do not move" in step.do)
    seconds = float(step.do.split("predicted ")[1].split(" s")[0])
    at = np.interp(heat.stage_ends_s["reflow"] + seconds, heat.time_s, heat.series[1].celsius)
    assert 90.0 < at <= 100.5


def test_thermocouples_are_three_to_five() -> None:
    """The last joint, the target's top, and the parts most at risk are named."""
    places = judge(crowded()).thermocouples
    assert 3 <= len(places) <= 5
    assert "last joint" in places[0].why


def test_small_chips_are_for_a_hand_tool() -> None:
    """A lone chip is judged `use hand tool` even where a bore fits."""
    review = judge(case_of(chip("R1", 0, 0)))
    assert review.hand_tool is not None
    assert review.hand_tool.startswith("use hand tool")
    assert judge(spacious()).hand_tool is None


def test_keys_are_stable() -> None:
    """The same case gives the same finding keys, each once."""
    keys = [finding.key for finding in judge(crowded()).findings]
    assert len(set(keys)) == len(keys)
    assert keys == [finding.key for finding in judge(crowded()).findings]
