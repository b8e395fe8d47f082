"""Surveys of a board whose parts stand well apart, and of a crowded copy of it."""

import datetime
from dataclasses import replace
from functools import cache

import pytest

from leeward.bench.read import read_bench
from leeward.errors import NothingAssessed
from leeward.survey.baseline import Baseline
from leeward.survey.pool import Workers
from leeward.survey.records import Survey, Waiver
from leeward.survey.spacing import profiles
from leeward.survey.survey import Wish, at_or_above, survey
from spaced_boards import crowded, spaced
from thermal_boards import board, parts, square


@cache
def of_spaced() -> Survey:
    """Return the survey of the board with room."""
    return survey(*spaced(), read_bench(), Wish(), Workers(1))


@cache
def of_crowded() -> Survey:
    """Return the survey of the crowded copy."""
    return survey(*crowded(), read_bench(), Wish(), Workers(1))


def test_a_board_with_room_has_no_urgent_finding() -> None:
    """On the well-spaced board nothing is of high priority; every part has a nozzle, and the quads melt."""
    found = of_spaced()
    assert [finding for finding in found.findings if finding.priority == "high"] == []
    assert {target.priority for target in found.targets} <= {"medium", "low"}
    assert all(target.nozzle.fits for target in found.targets)
    by_ref = {target.part.ref: target.heat for target in found.targets}
    assert all((heat := by_ref[ref]) is not None and heat.reaches_reflow for ref in ("U1", "U2"))


def test_the_same_parts_close_together_have() -> None:
    """On the crowded copy the quad is told to cook the connector beside it, and ranks first."""
    found = of_crowded()
    urgent = {(finding.rule, finding.refs) for finding in found.findings if finding.priority == "high"}
    assert ("neighbour-over-limit", ("U1", "J1")) in urgent
    first = found.targets[0]
    assert (first.part.ref, first.priority) == ("U1", "high")
    assert [entry.ref for entry in first.high] == ["J1"]
    assert first.worst is not None
    assert first.worst.ref == "J1"


def test_a_remedy_was_tried_before_it_is_told() -> None:
    """The urgent finding says how far to move which part, what came of trying it, and that copper stays behind."""
    (urgent,) = (finding for finding in of_crowded().findings if finding.rule == "neighbour-over-limit")
    assert urgent.priority == "high"
    assert urgent.remedy.startswith("move J1 ")
    assert "away from U1" in urgent.remedy
    assert "its copper has to follow" in urgent.remedy
    assert "tried: it falls to medium" in urgent.remedy or "tried: the finding is gone" in urgent.remedy


def test_chips_that_come_off_by_hand_have_no_heat() -> None:
    """A chip is marked for a hand tool: no air is computed that it does not get, and no finding is made of it."""
    chip = next(target for target in of_crowded().targets if target.part.ref == "C1")
    assert chip.hand_tool is not None
    assert chip.heat is None
    assert not [finding for finding in of_crowded().findings if finding.parts[0] == "id-C1"]


def test_targets_are_those_that_match() -> None:
    """A pattern of references or an id chooses targets, and board-wide findings are left to whole surveys."""
    chosen = survey(*crowded(), read_bench(), Wish(("U*", "id-C2")), Workers(1))
    assert {target.part.ref for target in chosen.targets} == {"U1", "U2", "C2"}
    with pytest.raises(NothingAssessed, match="no target is called Z9"):
        survey(*crowded(), read_bench(), Wish(("Z9",)), Workers(1))


def test_a_board_without_targets_is_told() -> None:
    """Nothing to survey is an error that says so."""
    with pytest.raises(NothingAssessed, match="no part on this board is a target"):
        survey(board(square(0, 0, 10)), parts(), read_bench(), Wish(), Workers(1))


def test_geometry_alone_needs_no_copper() -> None:
    """Without heat nozzles and distances are told, and every figure of heat is absent."""
    made, known = crowded()
    bare = replace(made, zones=())
    found = survey(bare, known, read_bench(), Wish(geometry_only=True, profile=profiles()["assembler"]), Workers(1))
    assert all(target.heat is None for target in found.targets)
    rules = {finding.rule for finding in found.findings}
    assert {"tall-neighbour", "too-close-for-profile"} <= rules
    assert not rules & {"neighbour-over-limit", "joints-around-melt", "pad-may-lift"}


def test_waivers_and_baselines_change_what_the_gate_sees() -> None:
    """A waived finding stays but does not stop; a known one is left out; both lower the target's priority."""
    gate = at_or_above(survey(*crowded(), read_bench(), Wish(("U1",)), Workers(1)).findings, "high")
    assert [finding.rule for finding in gate] == ["neighbour-over-limit"]
    waiver = Waiver("neighbour-over-limit", ("J1", "U1"), "J1 comes off first", datetime.date.max)
    waived = survey(*crowded(), read_bench(), Wish(("U1",), waivers=(waiver,)), Workers(1))
    assert at_or_above(waived.findings, "high") == ()
    assert [finding.waived for finding in waived.findings if finding.priority == "high"] == ["J1 comes off first"]
    assert waived.targets[0].priority == "medium"
    known = Baseline({"invented.kicad_pcb": {gate[0].key: "high"}})
    new = survey(*crowded(), read_bench(), Wish(("U1",), baseline=known), Workers(1))
    assert at_or_above(new.findings, "high") == ()
    assert new.known_before == 1


def test_the_gate_stops_at_its_level_and_above() -> None:
    """Without a gate nothing stops; at low everything that stands does."""
    found = of_crowded().findings
    assert at_or_above(found, None) == ()
    assert len(at_or_above(found, "low")) == len(found)
    assert {finding.priority for finding in at_or_above(found, "medium")} == {"high", "medium"}


def test_findings_are_ranked() -> None:
    """Findings run from high to low, and each target's keys lead to findings about it."""
    found = of_crowded()
    ranks = [("high", "medium", "low").index(finding.priority) for finding in found.findings]
    assert ranks == sorted(ranks)
    for target in found.targets:
        assert all(target.part.id in found.by_key[key].parts for key in target.findings)
