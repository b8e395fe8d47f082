"""How long joints were hot."""

from dataclasses import replace

import numpy as np
import pytest

from builders import case
from leeward.review.exposure import seconds_over, seconds_until


def test_time_over_a_level_is_read_off_the_history() -> None:
    """The invented history rises by half a degree a second from 25 C for 400 s: it is over 140 C for 170 s."""
    solved = case()
    joint = solved.heat.of_part(solved.target.id)[0]
    assert seconds_over(solved, joint, 140.0) == pytest.approx(170.0, abs=0.5)
    assert seconds_over(solved, joint, 300.0) == 0.0


def test_what_never_cools_in_the_run_has_no_time() -> None:
    """A history that only rises never falls under a level after the lift."""
    assert seconds_until(case(), 100.0) is None


def test_the_wait_is_counted_from_the_lift() -> None:
    """A history that falls by a degree a second from 220 C at the lift is under 200 C 21 s after it."""
    solved = case()
    time_s = solved.heat.time_s
    falling = 220.0 - np.maximum(time_s - solved.heat.stage_ends_s["reflow"], 0.0)
    series = replace(solved.heat.series[0], name="hottest joint", celsius=falling)
    assert seconds_until(replace(solved, heat=replace(solved.heat, series=(series,))), 200.0) == 21.0


def test_a_joint_beyond_both_histories_has_the_nearer_one() -> None:
    """Joints between the coldest and the hottest are read between them, those beyond as these."""
    solved = case()
    cold = solved.heat.series[0]
    hot = replace(cold, name="hottest joint", celsius=cold.celsius + 20.0)
    both = replace(solved, heat=replace(solved.heat, series=(cold, hot)))
    joint = both.heat.of_part(both.target.id)[0]
    peaks = (100.0, 225.0, 235.0, 245.0, 400.0)
    seconds = [seconds_over(both, replace(joint, peak_c=peak), 140.0) for peak in peaks]
    assert seconds == pytest.approx([170.0, 170.0, 190.0, 210.0, 210.0], abs=0.5)
