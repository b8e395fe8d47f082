"""Find probes that came off, that sit elsewhere than said, or that are changed over."""

from itertools import combinations

import numpy as np

from leeward.calibrate.fit import Fit, Lines, Prior, fit
from leeward.calibrate.log import Log
from leeward.calibrate.observed import SCATTER, Observed, swapped
from leeward.constants import number
from leeward.errors import InputError, Place
from leeward.heat.grid import Floats

LEAST_CHANNELS = 2  # none is set aside for being off by itself where so few would remain
SWAPPED_FROM_C = 2.0
SWAPPED_SHARE = 0.33  # two channels changed over leave less than this of the misfit
CAME_OFF_SHARE = 0.9  # of the readings after a probe came off that are far out
LEAST_READINGS = 10
MOMENT = 5  # readings over which a probe that comes off does so


def check_swapped(seen: Observed, made: Fit, lines: Lines, prior: Prior, log: Log) -> None:
    """Raise InputError where two channels changed over fit much better."""
    misfit = _mean_misfit(made)
    if misfit < SWAPPED_FROM_C:
        return
    free = np.ones(prior.mean.size, dtype=bool)
    pairs = list(combinations(np.unique(seen.channel).tolist(), 2))
    tried = [_mean_misfit(fit(swapped(seen, a, b), lines, prior, made.unknowns, free)) for a, b in pairs]
    best = int(np.argmin(tried)) if pairs else 0
    if pairs and tried[best] < SWAPPED_SHARE * misfit:
        a, b = (log.names[channel] for channel in pairs[best])
        raise InputError(
            f"channels {a} and {b} read as if they were swapped: changed over they leave {tried[best]:.1f} C, "
            f"not {misfit:.1f} C",
            do="change their names over in the run file, or leave one out",
            place=Place(log.file),
        )


def _mean_misfit(made: Fit) -> float:
    return float(np.mean(np.abs(made.left_c)))


def came_off(seen: Observed, made: Fit, known: dict[int, float]) -> tuple[int, float] | None:
    """Return a channel that went with the model and left it for good within moments, and when; None without one."""
    bound = max(number("calibrate", "screen", "apart_c"), 4 * made.scatter_c)
    for channel in np.unique(seen.channel).tolist():
        own = seen.of(channel)
        at = None if channel in known else _leaves(made.left_c[own], bound)
        if at is not None:
            return channel, float(seen.time_s[own][at])
    return None


def _leaves(left: Floats, bound: float) -> int | None:
    """Return the sample from which on misfits (m,) of one channel are out of bounds, at once and for good."""
    far, count = np.abs(left) > bound, left.size
    if count < 2 * LEAST_READINGS or not far[-1]:
        return None
    after = np.cumsum(far[::-1])[::-1] / np.arange(count, 0, -1)
    before = np.concatenate([[0], np.cumsum(~far)[:-1]]) / np.maximum(np.arange(count), 1)
    for at in np.flatnonzero(far & (after > CAME_OFF_SHARE) & (before > CAME_OFF_SHARE)):
        if LEAST_READINGS <= at <= count - LEAST_READINGS / 2:
            jump = np.median(left[at : at + MOMENT]) - np.median(left[at - MOMENT : at])
            return int(at) if abs(jump) > bound else None
    return None


def apart(seen: Observed, made: Fit) -> tuple[int, None] | None:
    """Return the channel that is off by far more than the others, None where there is none or too few remain."""
    channels = np.unique(seen.channel)
    if channels.size <= LEAST_CHANNELS:
        return None
    off = np.array([SCATTER * np.median(np.abs(made.left_c[seen.of(channel)])) for channel in channels])
    worst = int(np.argmax(off))
    others = float(np.median(np.delete(off, worst)))
    far = off[worst] > max(number("calibrate", "screen", "apart_c"), 4 * others)
    return (int(channels[worst]), None) if far else None
