"""Which temperatures over time a review shows."""

import numpy as np
import pytest

from cases import case_of
from leeward.review.histories import histories
from leeward.review.judge import judge
from thermal_boards import chip, quad


def test_the_worst_neighbours_are_shown_beside_the_target_and_the_board_behind_it() -> None:
    """Of five chips those are drawn that head the list by shielding need, each as its own body went."""
    solved = case_of(quad("U1", 0, 0, 10.0), *(chip(f"C{i}", 7.5 + i, 2.0 * i - 4) for i in range(5)))
    made = judge(solved)
    shown = histories(solved, made.neighbours)
    assert [series.id for series in shown[4:]] == [entry.part.id for entry in made.neighbours[:3]]
    for series in shown[4:]:
        assert float(series.celsius.max()) == pytest.approx(solved.heat.bodies[series.id or ""].peak_c)
        assert series.celsius.shape == solved.heat.time_s.shape


def test_the_board_behind_the_target_follows_it() -> None:
    """The other face under the target starts at room temperature and ends reflow under the target's joints, warm."""
    solved = case_of(quad("U1", 0, 0, 10.0))
    behind = solved.heat.series[3]
    assert (behind.name, behind.id) == ("board behind the target", None)
    assert float(behind.celsius[0]) == pytest.approx(25.0)
    lift = int(np.searchsorted(solved.heat.time_s, solved.heat.stage_ends_s["reflow"]))
    assert 120.0 < float(behind.celsius[lift]) < float(solved.heat.series[0].celsius[lift])
