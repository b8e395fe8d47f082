"""What is held of the factors, with a calibration and without."""

from dataclasses import replace

import numpy as np
import pytest

from leeward.bench.read import read_bench
from leeward.bench.records import Bench, Calibration, FactorName, FittedFactor
from leeward.heat.doubt import Doubt, doubt_of, uncalibrated
from leeward.heat.factors import NAMES, Factors, prior_spread

BOARD, OTHER = "b" * 64, "c" * 64
BENCH = read_bench()
NOZZLE = next(nozzle for nozzle in BENCH.nozzles if nozzle.id == "quad-14x14")


def calibrated() -> Bench:
    """Return a bench with one nozzle calibrated: two factors of the bench, one of the board."""
    learnt: tuple[tuple[FactorName, float, float], ...] = (
        ("air_h", 1.3, 0.1),
        ("flow", 0.9, 0.05),
        ("copper", 1.2, 0.04),
    )
    calibration = Calibration(
        nozzle=NOZZLE.id,
        date="2026-03-02",
        logs=("a" * 64,),
        board=BOARD,
        factors=tuple(FittedFactor(name, value, spread) for name, value, spread in learnt),
        correlation=((-0.8,), (0.1, 0.3)),
        misfit_c=3.0,
        left_out=0.02,
        probe_lag_s=2.0,
    )
    return replace(BENCH, calibrations=(calibration,))


def test_the_names_in_a_bench_file_are_the_models() -> None:
    """A bench file knows exactly the factors that the model has."""
    assert FactorName.__args__ == NAMES  # type: ignore[attr-defined]  # what a Literal holds


def test_without_a_calibration_every_factor_is_one_and_in_doubt_for_itself() -> None:
    """Uncalibrated factors are 1 with the spreads of the data file, and do not go together."""
    doubt = doubt_of(NOZZLE, BENCH, BOARD)
    assert doubt.factors == Factors()
    assert doubt.spread == pytest.approx(prior_spread(boxed=True))
    assert {way.mostly for way in doubt.directions} == set(NAMES)
    assert all(np.count_nonzero(way.logs) == 1 for way in doubt.directions)


def test_on_the_boards_own_file_all_that_was_learnt_holds() -> None:
    """Over the board of the run its copper's factor is used too, with the correlations."""
    doubt = doubt_of(NOZZLE, calibrated(), BOARD)
    assert doubt.factors == Factors(air_h=1.3, flow=0.9, copper=1.2)
    assert doubt.spread["air_h"] == pytest.approx(0.1)
    together = doubt.covariance[NAMES.index("air_h"), NAMES.index("flow")]
    assert together == pytest.approx(-0.8 * np.log1p(0.1) * np.log1p(0.05))
    assert doubt.left_out == pytest.approx(0.02)


def test_another_board_keeps_its_own_doubt() -> None:
    """What was learnt about one board's copper is not carried to another, what was learnt about the air is."""
    doubt = doubt_of(NOZZLE, calibrated(), OTHER)
    assert doubt.factors == Factors(air_h=1.3, flow=0.9)
    assert doubt.spread["copper"] == pytest.approx(prior_spread(boxed=True)["copper"])
    assert doubt.covariance[NAMES.index("copper"), NAMES.index("air_h")] == 0.0


def test_another_nozzle_is_as_unsure_as_before() -> None:
    """A calibration is of one nozzle."""
    other = next(nozzle for nozzle in BENCH.nozzles if nozzle.id == "quad-16x16")
    assert doubt_of(other, calibrated(), BOARD).spread == uncalibrated(other).spread


def test_independent_ways_add_up_to_the_covariance() -> None:
    """The sum of the directions' outer products is the covariance, and moving up and down cancels."""
    doubt: Doubt = doubt_of(NOZZLE, calibrated(), BOARD)
    total = sum(np.outer(way.logs, way.logs) for way in doubt.directions)
    assert total == pytest.approx(doubt.covariance)
    way = doubt.directions[-1]
    back = way.moved(way.moved(doubt.factors, 1), -1)
    assert [getattr(back, name) for name in NAMES] == pytest.approx([getattr(doubt.factors, name) for name in NAMES])
