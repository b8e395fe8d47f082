"""What a probe makes of the temperature it sits on: a lag of the first order, tau dy/dt = u - y."""

import numpy as np
from scipy.signal import lfilter

from leeward.heat.grid import Floats


def lagged(values: Floats, lag_s: float, axis: int = 0, step_s: float = 1.0) -> Floats:
    """Return what a probe of that lag shows of evenly spaced values; exact for straight lines between them.

    It starts at rest, on the first value.
    """
    fade = np.exp(-step_s / lag_s)
    level = (1 - fade) * lag_s / step_s
    first = np.take(values, [0], axis=axis)
    shown: Floats = lfilter([1 - level, level - fade], [1.0, -fade], values - first, axis=axis) + first
    return shown
