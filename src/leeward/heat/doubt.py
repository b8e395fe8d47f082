"""What is held of the factors: the most likely ones and how far off they may be, with or without a calibration.

A relative spread s is a factor 1 + s either way: the logarithms of the factors are held to vary about their mean with
standard deviation log(1 + s), together after a calibration, each for itself before.
"""

from dataclasses import dataclass

import numpy as np

from leeward.bench.records import Bench, Calibration, Nozzle
from leeward.constants import number
from leeward.heat.factors import NAMES, Factors, prior_spread
from leeward.heat.grid import Floats

OF_THE_BOARD = ("laminate_heat", "copper", "body_heat")  # a run on one board tells nothing of another's
LEAST = 1e-6  # of a direction's length: what is shorter does not move anything


@dataclass(frozen=True, slots=True)
class Direction:
    """One way in which the factors may be off together: (k,) logarithms, one standard deviation."""

    mostly: str  # the factor that it moves most
    logs: Floats

    def moved(self, factors: Factors, sign: int) -> Factors:
        """Return factors a standard deviation up (1) or down (-1) this way."""
        values = {name: getattr(factors, name) for name in NAMES}
        steps = np.exp(sign * self.logs).tolist()
        return Factors(**{name: value * step for (name, value), step in zip(values.items(), steps, strict=True)})


@dataclass(frozen=True, slots=True)
class Doubt:
    """Factors, the covariance (k, k) of their logarithms in the order of NAMES, and what no factor accounts for.

    `left_out` is one standard deviation as a share of each temperature's rise over the room.
    """

    factors: Factors
    covariance: Floats
    left_out: float

    @property
    def spread(self) -> dict[str, float]:
        """One relative spread of each factor, by name; after a calibration they do not vary independently."""
        return dict(zip(NAMES, np.expm1(np.sqrt(np.diag(self.covariance))).tolist(), strict=True))

    @property
    def directions(self) -> tuple[Direction, ...]:
        """The ways to be off that are independent of each other: principal directions of the covariance."""
        strength, ways = np.linalg.eigh(self.covariance)
        columns = (ways * np.sqrt(np.maximum(strength, 0.0))).T
        named = [Direction(NAMES[int(np.abs(column).argmax())], column) for column in columns]
        return tuple(way for way in named if np.abs(way.logs).max() > LEAST)


def doubt_of(nozzle: Nozzle, bench: Bench, board_sha256: str) -> Doubt:
    """Return what is held of the factors for a nozzle over a board."""
    calibration = bench.calibration_of(nozzle.id)
    before = uncalibrated(nozzle)
    return before if calibration is None else _learnt(before, calibration, same_board=calibration.board == board_sha256)


def uncalibrated(nozzle: Nozzle) -> Doubt:
    """Return what is held of the factors where nothing was measured."""
    spread = prior_spread(nozzle.outlet != "round")
    logs = np.log1p([spread[name] for name in NAMES])
    return Doubt(Factors(), np.diag(logs**2), number("heat", "doubt", "left_out"))


def covariance_of(calibration: Calibration) -> Floats:
    """Return the covariance of the logarithms of a calibration's factors, in its own order, (f, f)."""
    count = len(calibration.factors)
    correlation = np.eye(count)
    for i, row in enumerate(calibration.correlation, 1):
        correlation[i, :i] = correlation[:i, i] = row
    logs = np.log1p([factor.spread for factor in calibration.factors])
    return np.asarray(correlation * np.outer(logs, logs))


def _learnt(before: Doubt, calibration: Calibration, *, same_board: bool) -> Doubt:
    """Return what was held before with what a calibration says in its place."""
    held = [i for i, f in enumerate(calibration.factors) if same_board or f.name not in OF_THE_BOARD]
    at = np.array([NAMES.index(calibration.factors[i].name) for i in held], dtype=np.intp)
    covariance = before.covariance.copy()
    covariance[np.ix_(at, at)] = covariance_of(calibration)[np.ix_(held, held)]
    values = {calibration.factors[i].name: calibration.factors[i].value for i in held}
    left_out = max(calibration.left_out, number("heat", "doubt", "left_out_calibrated"))
    return Doubt(Factors(**values), covariance, left_out)
