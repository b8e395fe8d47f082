"""What stands round a target in its way."""

from dataclasses import replace

import pytest

from leeward.bench.fit import fits
from leeward.bench.read import read_bench
from leeward.parts.records import Part
from leeward.review.records import Finding
from leeward.survey.around import in_the_way, tall_neighbours, under_a_can
from spaced_boards import socket
from thermal_boards import chip, parts, quad

BENCH = replace(read_bench(), nozzles=tuple(n for n in read_bench().nozzles if n.outlet == "perimeter-slot"))


def found_round(target: Part, *others: Part) -> list[Finding]:
    """Return what is in the way of the best nozzle of a bench without bores."""
    known = parts(target, *others)
    best = next(iter(fits(known, target, BENCH)), None)
    return in_the_way(known, target, best)


def test_nothing_is_found_where_a_nozzle_fits() -> None:
    """A quad in the open has a nozzle."""
    assert found_round(quad("U1", 0, 0, 10.0)) == []


def test_courtyards_that_keep_clear_are_told_apart() -> None:
    """Where every blocker's courtyard keeps clear of the target's, the finding says that a rule check would pass."""
    (found,) = found_round(quad("U1", 0, 0, 10.0), quad("U2", 12.4, 0, 10.0))
    assert found.rule == "courtyards-clear-no-nozzle"
    assert found.priority == "high"


def test_a_wall_on_a_neighbour_is_told_with_the_gap() -> None:
    """A body whose courtyard reaches into the target's stands in the wall's way: both parts, the gap, high."""
    beside = quad("U2", 12.4, 0, 10.0)
    beside = replace(beside, footprint=replace(beside.footprint, courtyard=beside.body.buffer(2.5)))
    (found,) = found_round(quad("U1", 0, 0, 10.0), beside)
    assert found.rule == "wall-too-close"
    assert found.refs == ("U1", "U2")
    assert found.priority == "high"
    assert found.evidence["gap_mm"] == pytest.approx(0.4)


def test_a_bench_without_the_size_is_told_as_that() -> None:
    """A part that no aperture takes is a matter of the bench: medium, whatever stands round."""
    (found,) = found_round(quad("U1", 0, 0, 60.0))
    assert found.rule == "no-nozzle-fits"
    assert found.priority == "medium"


def test_a_neighbour_nearer_than_its_height_is_told() -> None:
    """A connector of 4 mm at 3 mm from a quad of 1.6 mm is tall beside it, at 5 mm it is not; a chip never is."""
    target = quad("U1", 0, 0, 10.0)
    near, far, low = socket("J1", 11.5, 0), socket("J2", 0, 13.5), chip("C1", -8, 0)
    (found,) = tall_neighbours([target, near, far, low], target, read_bench())
    assert found.rule == "tall-neighbour"
    assert found.refs == ("U1", "J1")
    assert found.evidence["gap_mm"] == pytest.approx(3.0)
    assert found.evidence["height_mm"] == pytest.approx(4.0)


def test_a_part_under_a_can_is_told() -> None:
    """A target under a shield can names the can; one in the open names nothing."""
    can = socket("SH1", 0, 0)
    hidden = replace(chip("C1", 0, 0), under=can.id)
    (found,) = under_a_can(parts(hidden, can), hidden)
    assert found.rule == "under-a-can"
    assert found.refs == ("C1", "SH1")
    assert under_a_can(parts(can), can) == []


def test_the_gap_told_is_that_of_the_nearest_blocker() -> None:
    """Of two in the wall's way, 0.4 and 0.6 mm off, the finding gives the lesser gap."""
    (found,) = found_round(quad("U1", 0, 0, 10.0), quad("U2", 12.4, 0, 10.0), quad("U3", -12.6, 0, 10.0))
    assert found.evidence["blockers"] == 2.0
    assert found.evidence["gap_mm"] == pytest.approx(0.4)


def test_a_can_over_the_target_is_no_tall_neighbour() -> None:
    """What stands over a target is told as that, not as a part beside it."""
    can = socket("SH1", 0, 0)
    hidden = chip("C1", 0, 0)
    assert tall_neighbours([can, hidden], replace(hidden, under=can.id), read_bench()) == []
    assert [found.rule for found in tall_neighbours([can, hidden], hidden, read_bench())] == ["tall-neighbour"]
