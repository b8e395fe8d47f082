"""Tests of leeward.report.review_documents."""

from dataclasses import replace
from math import inf, nan
from typing import Any

import jsonschema
import numpy as np
import pytest

from builders import board, case, heat, part, review, sequence
from leeward.heat.records import BodyHeat
from leeward.job import WorkSequence
from leeward.report.as_json import plain
from leeward.report.review_documents import MOST_TIMES, nothing_assessed, review_document
from leeward.report.schemas import schema
from leeward.review.records import Review

NAMES = {
    "": {"target", "setup", "heat", "neighbours", "clearance", "pads", "shields", "loose", "work_order", "findings",
         "cautions", "not_assessed"},
    "setup": {"nozzle", "alloy", "liquidus_c", "stages", "held", "reaches_reflow", "why", "window"},
    "setup.nozzle": {"id", "outlet", "aperture_mm", "wall_mm", "skirt_height_mm", "rotation_deg", "standoff_mm"},
    "setup.stages.0": {"name", "seconds", "air_c", "flow_l_min", "board_heater_c"},
    "heat": {"validity", "spread_c", "coldest_joint", "hottest_joint", "probability_melted", "target_top_peak_c",
             "target_limit_c", "board_peak_c", "seconds_above_tg", "max_ramp_c_s", "energy", "zones", "histories",
             "thermocouples"},
    "heat.coldest_joint": {"pad", "x_mm", "y_mm", "peak_c", "seconds_to_liquidus", "seconds_spread", "earliest_s",
                           "latest_s"},
    "heat.hottest_joint": {"pad", "x_mm", "y_mm", "peak_c"},
    "heat.energy": {"supplied_j", "stored_j", "lost_j", "imbalance"},
    "heat.zones.0": {"side", "above_c", "area_mm2", "polygons"},
    "heat.histories.series.0": {"name", "id", "c"},
    "heat.thermocouples.0": {"x_mm", "y_mm", "side", "on", "why"},
    "neighbours.0": {"id", "ref", "side", "gap_mm", "nozzle_gap_mm", "passes_under_wall", "direction_deg",
                     "body_peak_c", "joint_peak_c", "limit_c", "joint_limit_c", "limit_source", "margin_c",
                     "spread_c", "probability_over", "probability_joint_melts", "max_ramp_c_s",
                     "seconds_above_liquidus", "arrives_by", "shield", "shielded_peak_c", "priority", "why"},
    "neighbours.0.arrives_by": {"air", "copper"},
    "clearance.1": {"nozzle", "rotation_deg", "fits", "min_gap_mm", "blockers"},
    "clearance.1.blockers.0": {"id", "ref", "gap_mm", "height_mm"},
    "pads.0": {"number", "x_mm", "y_mm", "net", "area_mm2", "peak_c", "probability_solid", "capability_n", "anchors",
               "lift_risk", "priority", "why"},
    "laminate": {"glass_transition_c", "glass_transition_source", "told", "decomposition_c", "decomposition_source"},
    "joints.0": {"pad", "x_mm", "y_mm", "net", "seconds_to_liquidus", "seconds_spread", "earliest_s",
                 "latest_s", "lift_c", "behind_c", "probability_solid", "reasons", "remedies"},
    "lift": {"weight_n", "surface_tension_n", "pull_n", "allowed_n", "weakest_pad", "cup_protects", "least_cup_mm",
             "largest_cup_mm", "cup", "cup_diameter_mm", "vacuum_kpa", "why_no_cup", "tweezers"},
    "lift.tweezers": {"direction_deg", "access_deg", "past"},
    "opposite": {"under", "shared_vias", "mirrored_grids", "supports_mm", "steady", "tallest", "tallest_mm",
                 "heater_room_mm"},
    "opposite.shared_vias.0": {"x_mm", "y_mm", "net", "pad", "id", "ref", "part_pad"},
    "opposite.under.0": {"id", "ref"},
    "after_lift": {"cool", "first", "inspect", "prepare", "put_on"},
    "after_lift.inspect.0": {"what", "against", "source"},
    "loose.0": {"id", "ref", "side", "how", "ratio", "put_back"},
    "loose.0.put_back": {"value", "footprint", "x_mm", "y_mm", "rotation_deg", "polarity"},
    "work_order.0": {"step", "do", "why"},
    "findings.0": {"key", "rule", "parts", "severity", "likelihood", "priority", "evidence", "remedy", "source",
                   "waived"},
}  # fmt: skip


def document_of(judged: Review) -> Any:
    """Return the review as plain JSON, validated."""
    document = plain(review_document(judged.case.board, [judged], sequence(judged), ["nozzle"]))
    jsonschema.validate(document, schema("review"))
    return document


def at(found: Any, path: str) -> Any:
    """Return what stands at a dotted path."""
    for step in path.split(".") if path else ():
        found = found[int(step) if step.isdigit() else step]
    return found


@pytest.mark.parametrize("path", list(NAMES))
def test_every_promised_name_is_there(path: str) -> None:
    """Each object of a review has every name that other programs rely on."""
    assert set(at(document_of(review())["reviews"][0], path)) >= NAMES[path]


def test_stages_are_given_as_they_ran() -> None:
    """A stage's seconds run from the end of the one before it, whatever order the ends are kept in."""
    stages = document_of(review())["reviews"][0]["setup"]["stages"]
    assert [(stage["name"], stage["seconds"]) for stage in stages] == [
        ("preheat", 100.0), ("soak", 60.0), ("reflow", 60.0), ("cool", 180.0),
    ]  # fmt: skip


def test_what_the_user_fixed_is_named() -> None:
    """Options on the nozzle's place and on the recipe stand together under `held`."""
    assert document_of(review())["reviews"][0]["setup"]["held"] == ["nozzle", "air"]


def test_the_coldest_joint_is_the_one_with_the_lowest_peak() -> None:
    """Pad 1 peaks at 228.04 C and pad 2 at 236: they are the coldest and the hottest, rounded to a tenth."""
    found = document_of(review())["reviews"][0]["heat"]
    assert found["coldest_joint"] == {
        "pad": "1", "x_mm": 19.0, "y_mm": 20.0, "peak_c": 228.0, "seconds_to_liquidus": 47.3, "seconds_spread": 12.3,
        "earliest_s": 37.4, "latest_s": 62.6,
    }  # fmt: skip
    assert found["hottest_joint"] == {"pad": "2", "x_mm": 21.0, "y_mm": 20.0, "peak_c": 236.0}


def test_a_joint_that_stays_solid_has_no_time() -> None:
    """Null stands for the moment that never comes, and reaches_reflow says so."""
    solved = case()
    judged = review(replace(solved, heat=heat(solved.target, seconds_to_liquidus=None)))
    found = document_of(judged)["reviews"][0]
    coldest = found["heat"]["coldest_joint"]
    assert {coldest[key] for key in ("seconds_to_liquidus", "seconds_spread", "earliest_s", "latest_s")} == {None}
    assert found["setup"]["reaches_reflow"] is False


def test_zones_are_rings_with_the_outer_first() -> None:
    """A square of 20 mm with a hole of 1 mm is one polygon of two closed rings, and its area leaves the hole out."""
    zone = document_of(review())["reviews"][0]["heat"]["zones"][0]
    outer, hole = zone["polygons"][0]
    assert zone["area_mm2"] == 399.0
    assert outer[0] == outer[-1]
    assert sorted(map(tuple, outer[1:])) == [(10.0, 10.0), (10.0, 30.0), (30.0, 10.0), (30.0, 30.0)]
    assert (len(outer), len(hole)) == (5, 5)


def test_histories_are_thinned_with_both_ends_kept() -> None:
    """401 times become 200 at most, from the first to the last, each series as long as the times."""
    found = document_of(review())["reviews"][0]["heat"]["histories"]
    assert 150 < len(found["time_s"]) <= MOST_TIMES
    assert (found["time_s"][0], found["time_s"][-1]) == (0.0, 400.0)
    assert [len(series["c"]) for series in found["series"]] == [len(found["time_s"])]


@pytest.mark.parametrize("odd", [nan, inf])
def test_figures_that_could_not_be_computed_are_null(odd: float) -> None:
    """NaN and infinity become null, which the schema allows there."""
    judged = review()
    worst = replace(judged.neighbours[0], margin_c=odd, by_air=odd)
    found = document_of(replace(judged, neighbours=(worst,), probability_melted=odd))["reviews"][0]
    assert found["neighbours"][0]["margin_c"] is None
    assert found["neighbours"][0]["arrives_by"]["air"] is None
    assert found["heat"]["probability_melted"] is None


@pytest.mark.parametrize(
    ("computed", "written"), [(-0.0, "0.0"), (359.9999, "0.0"), (-1e-15, "0.0"), (360.0, "0.0"), (90.00049, "90.0")]
)
def test_directions_run_from_zero_up_to_a_full_turn(computed: float, written: str) -> None:
    """What rounds to a full turn, or to minus zero, is zero."""
    judged = review()
    near = replace(judged.neighbours[0], direction_deg=computed)
    found = document_of(replace(judged, neighbours=(near,)))["reviews"][0]["neighbours"][0]
    assert str(found["direction_deg"]) == written


def test_evidence_is_rounded_by_its_own_names() -> None:
    """Each number of a finding's evidence keeps the decimals of its unit."""
    evidence = document_of(review())["reviews"][0]["findings"][0]["evidence"]
    assert evidence == {"probability": 0.251, "gap_mm": 1.2346, "peak_c": 231.3}


def test_small_forces_keep_their_figures() -> None:
    """A force of a millinewton is written with its digits: surface tension of one joint, weight of a small part."""
    found = document_of(review())["reviews"][0]
    assert found["pads"][0]["demand_melted_n"] == 0.0012
    assert found["lift"]["weight_n"] == 0.01


def test_a_lift_without_cup_or_tweezers_says_so() -> None:
    """Null stands for the tool that does not serve, and the reason for no cup in words."""
    judged = review()
    bare = replace(judged.lift, cup=None, vacuum_kpa=None, why_no_cup="its top is a lid", tweezers=None)
    found = document_of(replace(judged, lift=bare))["reviews"][0]["lift"]
    assert (found["cup"], found["cup_diameter_mm"], found["vacuum_kpa"], found["tweezers"]) == (None,) * 4
    assert found["why_no_cup"] == "its top is a lid"
    assert found["cup_protects"] is False


def test_a_bare_other_side_is_empty_lists() -> None:
    """With nothing below there is no tallest part, and every list is empty."""
    judged = review()
    bare = replace(judged.opposite, under=(), shared_vias=(), supports=(), steady=False, tallest=None, tallest_mm=0.0)
    found = document_of(replace(judged, opposite=bare))["reviews"][0]["opposite"]
    assert (found["under"], found["shared_vias"], found["supports_mm"], found["tallest"]) == ([], [], [], None)


def test_reviews_stand_in_work_order() -> None:
    """The sequence decides, not the order of the reviews; pairs that must come off first are named by id."""
    first, second = review(case(part("U1"))), review(case(part("U2")))
    order = WorkSequence(("id-U2", "id-U1"), (("id-U2", "id-U1"),), (), ("its can stands over U1",))
    document = plain(review_document(board(), [first, second], order))
    assert [entry["target"]["ref"] for entry in document["reviews"]] == ["U2", "U1"]
    assert document["sequence"] == {
        "order": ["id-U2", "id-U1"],
        "take_off_first": [["id-U2", "id-U1"]],
        "cycles": [],
        "because": ["its can stands over U1"],
    }


def test_nothing_to_judge_is_a_document_too() -> None:
    """Every reference asked for is listed with the reason, beside no review at all."""
    document = plain(nothing_assessed(board(), ["U9"], "no part U9 on this board"))
    jsonschema.validate(document, schema("review"))
    assert document["reviews"] == []
    assert document["not_assessed"] == [{"id": None, "ref": "U9", "reason": "no part U9 on this board"}]


def test_the_target_is_not_among_what_is_left_out() -> None:
    """A review lists what it says nothing about, but not its own target."""
    assert [entry["ref"] for entry in document_of(review())["reviews"][0]["not_assessed"]] == ["H1"]


def test_a_shield_says_what_it_brings() -> None:
    """A barrier over C2, 240 C without the plan and 210 C with it, brings 30 C; tape is not there for that: null."""
    solved = case()
    bodies = [{**solved.heat.bodies, "id-C2": BodyHeat(peak_c, 20.0, 1.0, 10.0, 5.0)} for peak_c in (240.0, 210.0)]
    body_c = np.hstack([solved.heat.body_c] * 2)
    bare, shielded = (replace(solved.heat, bodies=each, body_c=body_c) for each in bodies)
    (tape,) = solved.shields.pieces
    plan = replace(solved.shields, pieces=(tape, replace(tape, number=2, kind="barrier")))
    found = document_of(review(replace(solved, bare=bare, heat=shielded, shields=plan)))["reviews"][0]["shields"]
    assert [shield["brings_c"] for shield in found] == [None, 30.0]
