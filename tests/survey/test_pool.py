"""Targets assessed by several processes."""

import multiprocessing
import re
from collections.abc import Sequence
from dataclasses import replace

import pytest

from leeward.survey import pool
from leeward.survey.assess import Assessment
from leeward.survey.pool import Outcome, workers
from spaced_boards import crowded, ground_of

TARGETS = ("id-U1", "id-U2", "id-J1", "id-C1", "id-C2")


FRACTION = re.compile(r"\d+\.\d+(e-\d+)?")


def sorted_out(outcomes: Sequence[Outcome]) -> dict[str, str]:
    """Return assessments as texts by their part, numbers to six places: threads of the solver move later ones."""
    texts = {one.part_id: repr(one) for one in outcomes if isinstance(one, Assessment)}
    return {i: FRACTION.sub(lambda found: f"{float(found[0]):.6f}", text) for i, text in texts.items()}


def test_several_processes_find_what_one_finds(monkeypatch: pytest.MonkeyPatch) -> None:
    """Two processes come to the same assessments as this one, to six places, and are gone afterwards."""
    shared = ground_of(crowded())
    with workers(1) as alone:
        here = sorted_out(list(alone.outcomes(shared, TARGETS)))
    monkeypatch.setattr(pool, "ALONE", 0)
    monkeypatch.setattr(pool, "BUNDLE", 2)
    with workers(2) as two:
        there = sorted_out(list(two.outcomes(shared, TARGETS)))
        assert len(multiprocessing.active_children()) == 2
    assert set(here) == set(TARGETS)
    assert there == here
    assert multiprocessing.active_children() == []


def test_few_targets_start_no_process() -> None:
    """For a handful of targets no process is started."""
    with workers(2) as two:
        list(two.outcomes(ground_of(crowded(), geometry_only=True), TARGETS))
        assert multiprocessing.active_children() == []


def test_what_cannot_be_judged_says_why() -> None:
    """A target that the bench cannot work on becomes a record with the reason, and the others go on."""
    shared = ground_of(crowded())
    bare = replace(shared, bench=replace(shared.bench, recipes=()))
    found = pool.outcome(bare, "id-U1")
    assert not isinstance(found, Assessment)
    assert "no recipe" in found.reason
