"""How long joints were hot."""

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
