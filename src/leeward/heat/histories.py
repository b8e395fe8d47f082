"""What a history of temperatures tells: when a level is reached, for how long, how steeply. Times (k,) s."""

import numpy as np

from leeward.heat.grid import Floats

RAMP_WINDOW_S = 5.0  # rates are means over this time: a thermocouple on a joint follows no faster


def crossing_s(time_s: Floats, history: Floats, level_c: float, since_s: float) -> float | None:
    """Return when a history first reaches a level, counted from `since_s`, by straight lines between samples."""
    above = np.flatnonzero(history >= level_c)
    if above.size == 0:
        return None
    i = int(above[0])
    if i == 0:
        return 0.0
    share = (level_c - history[i - 1]) / (history[i] - history[i - 1])
    return float(time_s[i - 1] + share * (time_s[i] - time_s[i - 1]) - since_s)


def ramps_c_s(time_s: Floats, histories: Floats) -> Floats:
    """Return the steepest rise of each history, (k, n) to (n,), C/s, as the mean over RAMP_WINDOW_S."""
    even = np.arange(time_s[0], time_s[-1] + RAMP_WINDOW_S, 1.0)
    sampled = np.column_stack([np.interp(even, time_s, history) for history in histories.T])
    window = int(RAMP_WINDOW_S)
    steepest: Floats = (sampled[window:] - sampled[:-window]).max(axis=0) / RAMP_WINDOW_S
    return steepest


def seconds_above(time_s: Floats, history: Floats, level_c: float) -> float:
    """Return how long a history stays above a level, by straight lines between samples."""
    low, high = np.minimum(history[:-1], history[1:]), np.maximum(history[:-1], history[1:])
    share = np.clip((high - level_c) / np.maximum(high - low, 1e-9), 0.0, 1.0)
    return float((share * np.diff(time_s)).sum())


def ramp_at_c_s(time_s: Floats, history: Floats, level_c: float, end_s: float) -> float:
    """Return the slope of a history as it first passes a level, or at `end_s` where it does not, C/s."""
    slopes = np.diff(history) / np.diff(time_s)
    above = np.flatnonzero(history >= level_c)
    at = int(above[0]) - 1 if above.size else int(np.searchsorted(time_s, end_s)) - 1
    return float(slopes[max(at, 0)])
