"""What a history of temperatures tells."""

import numpy as np
import pytest

from leeward.heat.histories import crossings_s, ramp_at_c_s, ramps_c_s, seconds_above

TIME_S = np.array([0.0, 10.0, 20.0, 30.0, 40.0])
HUMP_C = np.array([20.0, 100.0, 220.0, 120.0, 60.0])


def test_a_level_is_reached_between_samples() -> None:
    """The history passes 160 C halfway from 10 s to 20 s; counted from 12 s that is 3 s; 230 C is never reached."""
    assert crossings_s(TIME_S, HUMP_C[:, None], 160.0, 12.0) == pytest.approx([3.0])
    assert np.isnan(crossings_s(TIME_S, HUMP_C[:, None], 230.0, 0.0)).tolist() == [True]


def test_time_above_a_level_counts_both_flanks() -> None:
    """Above 160 C from 15 s to 26 s: half of the rise and six tenths of the fall."""
    assert seconds_above(TIME_S, HUMP_C, 160.0) == pytest.approx(11.0)


def test_rates_are_means_over_five_seconds() -> None:
    """A steady 12 C/s shows whole; a jump of 30 C in one second shows as 6 C/s."""
    fine = np.arange(0.0, 41.0)
    histories = np.column_stack([12.0 * fine, np.where(fine > 15, 30.0, 0.0)])
    np.testing.assert_allclose(ramps_c_s(fine, histories), [12.0, 6.0])


def test_the_slope_at_a_level_is_the_first_crossings() -> None:
    """160 C is first passed at 12 C/s; a level that is not reached gives the slope at the time asked for."""
    assert ramp_at_c_s(TIME_S, HUMP_C, 160.0, 40.0) == pytest.approx(12.0)
    assert ramp_at_c_s(TIME_S, HUMP_C, 999.0, 10.0) == pytest.approx(8.0)
