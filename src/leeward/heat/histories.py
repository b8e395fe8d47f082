"""What a history of temperatures tells: when a level is reached, for how long, how steeply. Times (k,) s."""

import numpy as np

from leeward.heat.grid import Floats

RAMP_WINDOW_S = 5.0  # rates are means over this time: a thermocouple on a joint follows no faster


def crossings_s(time_s: Floats, histories: Floats, level_c: float, since_s: float) -> Floats:
    """Return when each of the histories (k, n) first reaches a level, (n,), NaN where it does not.

    Counted from `since_s`, by straight lines between samples.
    """
    above = histories >= level_c
    at = above.argmax(axis=0)
    column = np.arange(at.size)
    before, after = histories[np.maximum(at - 1, 0), column], histories[at, column]
    rise = np.where(at > 0, after - before, 1.0)
    start, end = time_s[np.maximum(at - 1, 0)], time_s[at]
    reached = start + (level_c - before) / np.where(rise == 0, 1.0, rise) * (end - start) - since_s
    return np.where(above.any(axis=0), np.where(at == 0, 0.0, reached), np.nan)


def ramps_c_s(time_s: Floats, histories: Floats) -> Floats:
    """Return the steepest rise of each history, (k, n) to (n,), C/s, as the mean over RAMP_WINDOW_S."""
    even = np.arange(time_s[0], time_s[-1] + RAMP_WINDOW_S, 1.0)
    sampled = np.column_stack([np.interp(even, time_s, history) for history in histories.T])
    window = int(RAMP_WINDOW_S)
    steepest: Floats = (sampled[window:] - sampled[:-window]).max(axis=0) / RAMP_WINDOW_S
    return steepest


def seconds_above(time_s: Floats, history: Floats, level_c: float) -> float:
    """Return how long a history stays above a level, by straight lines between samples."""
    return float(all_seconds_above(time_s, history[:, None], level_c)[0])


def all_seconds_above(time_s: Floats, histories: Floats, level_c: float) -> Floats:
    """Return how long each of the histories (k, n) stays above a level, (n,), as `seconds_above`."""
    low, high = np.minimum(histories[:-1], histories[1:]), np.maximum(histories[:-1], histories[1:])
    share = np.clip((high - level_c) / np.maximum(high - low, 1e-9), 0.0, 1.0)
    return np.asarray(np.diff(time_s) @ share)


def ramp_at_c_s(time_s: Floats, history: Floats, level_c: float, end_s: float) -> float:
    """Return the slope of a history as it first passes a level, or at `end_s` where it does not, C/s."""
    slopes = np.diff(history) / np.diff(time_s)
    above = np.flatnonzero(history >= level_c)
    at = int(above[0]) - 1 if above.size else int(np.searchsorted(time_s, end_s)) - 1
    return float(slopes[max(at, 0)])
