"""The unknowns of a fit: the logarithms of the factors and of the probes' lag, and what is held of them before."""

import numpy as np

from leeward.calibrate.fit import Lines, Prior
from leeward.calibrate.rig import Rig, shown
from leeward.constants import number
from leeward.heat.boxed import MOST_VENTED
from leeward.heat.doubt import Doubt
from leeward.heat.factors import NAMES, Factors
from leeward.heat.grid import Floats
from leeward.heat.records import Bools


def prior_of(before: Doubt, vented_up: float) -> Prior:
    """Return what is held before as unknowns: the logarithms of the factors, and that of the probes' lag.

    No more than MOST_VENTED of the air can leave upward.
    """
    mean = [np.log(getattr(before.factors, name)) for name in NAMES]
    covariance = np.zeros((len(NAMES) + 1, len(NAMES) + 1))
    covariance[:-1, :-1] = before.covariance
    covariance[-1, -1] = number("calibrate", "lag", "spread") ** 2
    most = np.full(len(NAMES) + 1, np.inf)
    most[NAMES.index("vented")] = np.log(MOST_VENTED / vented_up) if vented_up > 0 else 0.0
    return Prior(np.array([*mean, np.log(number("calibrate", "lag", "usual_s"))]), covariance, most)


def factors_at(unknowns: Floats) -> Factors:
    """Return the factors of unknowns, (p,)."""
    return Factors(**dict(zip(NAMES, np.exp(unknowns[: len(NAMES)]).tolist(), strict=True)))


def told(covariance: Floats, prior: Prior) -> Bools:
    """Return which unknowns are known better than before, (p,)."""
    better: Bools = np.sqrt(np.diag(covariance)) < number("calibrate", "fit", "told_below") * prior.spread
    return better


def lines_at(on: Rig, at: Floats, offset: Floats, most: Floats) -> Lines:
    """Return the model as straight lines round the logarithms of factors `at`, (p-1,), which can be `most` at most."""
    nudge = number("calibrate", "step", "nudge")
    nudges = np.where(at + nudge > most, -nudge, nudge)
    moved = shown(on, [factors_at(at), *(factors_at(at + step) for step in np.diag(nudges))])
    slopes = (moved[1:] - moved[0]) / nudges[:, None, None]
    return Lines(at, moved[0] + offset, slopes)
