"""Fit factors and the probes' lag to what was read: bounded least squares toward what was held before.

The model is taken as straight lines in the logarithms of the factors round one point, and as it is in the lag; the
point is moved until it stays (Gauss-Newton). Samples that stand far off count for less (Cauchy weights, reweighted).
Misfit that lasts counts as few samples, by its correlation from one sample to the next: a smooth error of the model
must not pass for many independent readings.
"""

from dataclasses import dataclass

import numpy as np
from scipy.linalg import solve_triangular
from scipy.optimize import lsq_linear

from leeward.calibrate.lag import lagged
from leeward.calibrate.observed import SCATTER, Observed
from leeward.constants import number
from leeward.heat.grid import Floats
from leeward.heat.records import Bools

ROUNDS = 8  # of reweighting; it has settled long before
STEADY = 1e-3
LAG_STEPS = 8
MOST_STEP = 2.0  # spreads that an unknown is moved by at once
LEAST_CORRELATED, MOST_CORRELATED = 0.05, 0.995  # less is chance in a few hundred samples, more none can tell
WEIGHTY = 0.3  # samples of less weight say nothing about how long misfit lasts


@dataclass(frozen=True, slots=True)
class Prior:
    """What is held of the unknowns before: mean (p,) and covariance (p, p). The last unknown is the log of the lag.

    `most` (p,) is what each can be at most, whatever is held.
    """

    mean: Floats
    covariance: Floats
    most: Floats

    @property
    def spread(self) -> Floats:
        """One standard deviation of each unknown, (p,)."""
        return np.sqrt(np.diag(self.covariance))


@dataclass(frozen=True, slots=True)
class Lines:
    """The model round a point, (n, k) C at every second, and what a unit of each factor's log adds, (p-1, n, k)."""

    at: Floats  # (p - 1,)
    values: Floats
    slopes: Floats


@dataclass(frozen=True, slots=True)
class Lasting:
    """The share of the misfit's square that lasts, and how much of it is left from one sample to the next."""

    share: float
    fade: float

    def seconds(self, every_s: float) -> float:
        """Return how long it lasts, for samples so far apart; 0 where nothing does."""
        return -every_s / float(np.log(self.fade)) if self.share > 0 else 0.0


@dataclass(frozen=True, slots=True)
class Fit:
    """Unknowns as fitted, (p,), their covariance, and what is left of each sample, (m,)."""

    unknowns: Floats
    covariance: Floats
    predicted: Floats  # (m,) C
    left_c: Floats  # (m,) read less predicted
    weight: Floats  # (m,) 1 where a sample counts fully
    scatter_c: float
    lasting: Lasting


@dataclass(frozen=True, slots=True)
class _Design:
    """What is predicted for the samples at one lag: base (m,) and slopes (m, p-1)."""

    base: Floats
    slopes: Floats


def fit(seen: Observed, lines: Lines, prior: Prior, start: Floats, free: Bools) -> Fit:
    """Return the fit of the unknowns that are free, from `start`; the others stay where they are held, (p,) each."""
    found, scatter = start, np.inf
    weight = np.ones(seen.time_s.size)
    for _ in range(ROUNDS):
        left = seen.celsius - predicted(seen, lines, found)
        before, scatter = scatter, _scatter_c(left, seen)
        weight = _weights(left, scatter)
        found = _solved(seen, lines, prior, found, free, _precision(seen, weight, scatter, Lasting(0.0, 0.0)))
        if abs(before - scatter) < STEADY * scatter:
            break
    for _ in range(2):  # with how long the misfit lasts, which the first rounds' own misfit would have swollen
        left = seen.celsius - predicted(seen, lines, found)
        scatter = _scatter_c(left, seen)
        weight = _weights(left, scatter)
        lasts = lasting(left, seen, weight)
        found = _solved(seen, lines, prior, found, free, _precision(seen, weight, scatter, lasts))
    shown = predicted(seen, lines, found)
    return Fit(
        found,
        _covariance(seen, lines, prior, found, _precision(seen, weight, scatter, lasts)),
        shown,
        seen.celsius - shown,
        weight,
        scatter,
        lasts,
    )


def predicted(seen: Observed, lines: Lines, unknowns: Floats) -> Floats:
    """Return what the lines say the probes show, (m,) C."""
    design = _design(seen, lines, float(np.exp(unknowns[-1])))
    return design.base + design.slopes @ (unknowns[:-1] - lines.at)


def at_samples(seen: Observed, values: Floats) -> Floats:
    """Return values (..., n, k) at every second as they are at the samples, (..., m)."""
    second = np.clip(seen.time_s.astype(int), 0, values.shape[-2] - 2)
    share = seen.time_s - second
    low, high = values[..., second, seen.channel], values[..., second + 1, seen.channel]
    between: Floats = low + (high - low) * share
    return between


def lasting(left: Floats, seen: Observed, weight: Floats) -> Lasting:
    """Return how much of the misfit lasts, from its correlation with that of the next sample and the next but one.

    White noise with a part that fades by `a` from one sample to the next is correlated by share a, then share a^2.
    """
    once, twice = (_correlation(left, seen, weight, apart) for apart in (1, 2))
    fade = float(np.clip(twice / once, 0.0, MOST_CORRELATED)) if once > LEAST_CORRELATED else 0.0
    return Lasting(min(1.0, once / fade), fade) if fade > LEAST_CORRELATED else Lasting(0.0, 0.0)


def _correlation(left: Floats, seen: Observed, weight: Floats, apart: int) -> float:
    a, b = slice(apart, None), slice(None, -apart)
    pair = (seen.channel[a] == seen.channel[b]) & (weight[a] > WEIGHTY) & (weight[b] > WEIGHTY)
    if pair.sum() < 10:
        return 0.0
    square = (left[a][pair] ** 2 + left[b][pair] ** 2) / 2
    return float((left[a][pair] * left[b][pair]).sum() / max(square.sum(), 1e-12))


def _design(seen: Observed, lines: Lines, lag_s: float) -> _Design:
    stacked = np.concatenate([lines.values[None], lines.slopes])
    shown = at_samples(seen, lagged(stacked, lag_s, axis=1))
    return _Design(shown[0], shown[1:].T)


def _scatter_c(left: Floats, seen: Observed) -> float:
    return max(SCATTER * float(np.median(np.abs(left))), number("calibrate", "noise", "least_c"))


def _weights(left: Floats, scatter: float) -> Floats:
    """Return Cauchy weights: 1 for small misfits, falling as the square of large ones."""
    weight: Floats = 1 / (1 + (left / (number("calibrate", "fit", "heavy_tail") * scatter)) ** 2)
    return weight


def _precision(seen: Observed, weight: Floats, scatter: float, lasts: Lasting) -> Floats:
    """Return what each sample counts, 1/C2.

    Of misfits of which r is left from one sample to the next each counts as (1-r)/(1+r) of one. The model's own error
    is never under a floor, however well it can be fitted away, and lasts.
    """
    own_c, own_s = number("calibrate", "noise", "model_c"), number("calibrate", "noise", "model_lasts_s")
    seen_c2 = scatter**2 * (1 - lasts.share + lasts.share * (1 + lasts.fade) / (1 - lasts.fade))
    return weight / (seen_c2 + own_c**2 * max(1.0, 2 * own_s / seen.every_s))


def _solved(seen: Observed, lines: Lines, prior: Prior, start: Floats, free: Bools, precision: Floats) -> Floats:
    """Return the unknowns of the least weighed misfit, with those that are not free as they are.

    All but the lag act as straight lines; the lag is moved in a few steps, the rest solved with it in each.
    """
    root, tied = np.sqrt(precision), np.linalg.inv(np.linalg.cholesky(prior.covariance))
    low, high = bounds(prior)
    unknowns = np.where(free, np.clip(start, low, high), start)
    for _ in range(LAG_STEPS):
        slopes = _slopes(seen, lines, unknowns)
        wanted = seen.celsius - predicted(seen, lines, unknowns) + slopes @ unknowns
        rows = np.vstack([root[:, None] * slopes, tied])
        right = np.concatenate([root * wanted, tied @ prior.mean]) - rows[:, ~free] @ unknowns[~free]
        # The same sum of squares but for a constant, in as many rows as there are unknowns.
        small = np.linalg.cholesky(rows[:, free].T @ rows[:, free])
        short = solve_triangular(small, rows[:, free].T @ right, lower=True)
        least = np.maximum(low, unknowns - MOST_STEP * prior.spread)[free]
        most = np.minimum(high, unknowns + MOST_STEP * prior.spread)[free]
        before = unknowns[-1]
        unknowns = unknowns.copy()
        unknowns[free] = lsq_linear(small.T, short, bounds=(least, most)).x
        if abs(unknowns[-1] - before) < STEADY:
            break
    return unknowns


def bounds(prior: Prior) -> tuple[Floats, Floats]:
    """Return the least and the most that each unknown may become, (p,) each."""
    most = number("calibrate", "fit", "most_spreads") * prior.spread
    low, high = prior.mean - most, prior.mean + most
    low[-1] = min(np.log(number("calibrate", "lag", "least_s")), prior.mean[-1] - 1e-3)
    high[-1] = max(np.log(number("calibrate", "lag", "most_s")), prior.mean[-1] + 1e-3)
    return low, np.maximum(np.minimum(high, prior.most), low + 1e-3)


def _slopes(seen: Observed, lines: Lines, unknowns: Floats) -> Floats:
    """Return how the predictions change with each unknown, (m, p)."""
    nudge = 1e-3
    here = predicted(seen, lines, unknowns)
    later = unknowns + nudge * (np.arange(unknowns.size) == unknowns.size - 1)
    by_lag = (predicted(seen, lines, later) - here) / nudge
    return np.column_stack([_design(seen, lines, float(np.exp(unknowns[-1]))).slopes, by_lag])


def _covariance(seen: Observed, lines: Lines, prior: Prior, unknowns: Floats, precision: Floats) -> Floats:
    """Return the covariance of all unknowns, those that were held among them: their doubt is part of the others'."""
    slopes = _slopes(seen, lines, unknowns)
    information = slopes.T @ (precision[:, None] * slopes) + np.linalg.inv(prior.covariance)
    covariance: Floats = np.linalg.inv(information)
    return (covariance + covariance.T) / 2
