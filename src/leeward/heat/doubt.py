"""What is held of the factors: the most likely ones and how far off they may be, with or without a calibration."""

from dataclasses import dataclass

import numpy as np

from leeward.bench.records import Bench, Calibration, Nozzle
from leeward.heat.factors import NAMES, Factors, prior_spread
from leeward.heat.grid import Floats

OF_THE_BOARD = ("laminate_heat", "copper", "body_heat")  # a run on one board tells nothing of another's


@dataclass(frozen=True, slots=True)
class Doubt:
    """Factors, and the covariance (k, k) of their logarithms in the order of NAMES.

    `misfit_c` is what a calibration could not account for: one standard deviation that no factor explains.
    """

    factors: Factors
    covariance: Floats
    misfit_c: float = 0.0

    @property
    def spread(self) -> dict[str, float]:
        """One relative standard deviation of each factor, by name; they do not vary independently."""
        return dict(zip(NAMES, np.sqrt(np.diag(self.covariance)).tolist(), strict=True))


def doubt_of(nozzle: Nozzle, bench: Bench, board_sha256: str) -> Doubt:
    """Return what is held of the factors for a nozzle over a board."""
    calibration = bench.calibration_of(nozzle.id)
    before = uncalibrated(nozzle)
    return before if calibration is None else _learnt(before, calibration, same_board=calibration.board == board_sha256)


def uncalibrated(nozzle: Nozzle) -> Doubt:
    """Return what is held of the factors where nothing was measured."""
    spread = prior_spread(nozzle.outlet != "round")
    return Doubt(Factors(), np.diag([spread[name] ** 2 for name in NAMES]))


def covariance_of(calibration: Calibration) -> Floats:
    """Return the covariance of the logarithms of a calibration's factors, in its own order, (f, f)."""
    count = len(calibration.factors)
    correlation = np.eye(count)
    for i, row in enumerate(calibration.correlation, 1):
        correlation[i, :i] = correlation[:i, i] = row
    spread = np.array([factor.spread for factor in calibration.factors])
    return correlation * np.outer(spread, spread)


def _learnt(before: Doubt, calibration: Calibration, *, same_board: bool) -> Doubt:
    """Return what was held before with what a calibration says in its place."""
    held = [i for i, f in enumerate(calibration.factors) if same_board or f.name not in OF_THE_BOARD]
    at = np.array([NAMES.index(calibration.factors[i].name) for i in held], dtype=np.intp)
    covariance = before.covariance.copy()
    covariance[np.ix_(at, at)] = covariance_of(calibration)[np.ix_(held, held)]
    values = {calibration.factors[i].name: calibration.factors[i].value for i in held}
    return Doubt(Factors(**values), covariance, calibration.misfit_c)
