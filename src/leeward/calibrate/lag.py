"""What a probe makes of the temperature it sits on: a lag of the first order, tau dy/dt = u - y."""

import numpy as np

from leeward.heat.grid import Floats


def lagged(values: Floats, lag_s: float, axis: int = 0, step_s: float = 1.0) -> Floats:
    """Return what a probe of that lag shows of evenly spaced values; exact for straight lines between them.

    It starts at rest, on the first value.
    """
    fade = np.exp(-step_s / lag_s)
    level = (1 - fade) * lag_s / step_s
    course = np.moveaxis(values, axis, 0)
    brought = (level - fade) * course[:-1] + (1 - level) * course[1:]
    shown = np.empty_like(course)
    shown[0] = course[0]
    for i, new in enumerate(brought, 1):
        shown[i] = fade * shown[i - 1] + new
    return np.moveaxis(shown, 0, axis)
