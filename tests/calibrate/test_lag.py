"""The lag of a probe against the closed solutions of tau dy/dt = u - y."""

import numpy as np
import pytest

from leeward.calibrate.lag import lagged


@pytest.mark.parametrize("lag_s", [0.1, 2.0, 15.0])
def test_a_ramp_is_followed_as_the_closed_solution_says(lag_s: float) -> None:
    """Behind a ramp of slope k that starts at 0 the probe shows k (t - tau (1 - exp(-t / tau)))."""
    time_s = np.arange(0.0, 60.0)
    assert lagged(3.0 * time_s, lag_s) == pytest.approx(3.0 * (time_s - lag_s * (1 - np.exp(-time_s / lag_s))))


def test_what_stands_still_is_shown_as_it_is_and_a_step_fades_in() -> None:
    """A level is shown at once; a rise within one second is caught up with by exp(-t / tau)."""
    values = np.column_stack([np.full(40, 80.0), np.where(np.arange(40) > 0, 100.0, 0.0)])
    shown = lagged(values, 4.0)
    assert shown[:, 0] == pytest.approx(np.full(40, 80.0))
    missing = 100.0 - shown[1:, 1]
    assert missing[1:] / missing[:-1] == pytest.approx(np.full(38, np.exp(-1 / 4.0)))


def test_any_axis_is_the_axis_of_time() -> None:
    """Lagging along another axis is the same as turning the array round."""
    values = np.random.default_rng(3).normal(size=(4, 30, 2)).cumsum(axis=1)
    assert lagged(values, 3.0, axis=1) == pytest.approx(np.moveaxis(lagged(np.moveaxis(values, 1, 0), 3.0), 0, 1))
