"""Probabilities, likelihood words and the matrix."""

from dataclasses import replace

import pytest

from builders import case
from leeward.chance import probability_above
from leeward.constants import table
from leeward.review.odds import likelihood, priority, probability_target_over


def test_normal_tail() -> None:
    """One standard deviation over the limit is 84.1 %, and independent spreads add as squares."""
    assert probability_above(220, 200, 20) == pytest.approx(0.8413, abs=1e-4)
    assert probability_above(200, 250, 30, 40) == pytest.approx(0.1587, abs=1e-4)


@pytest.mark.parametrize(
    ("probability", "word"),
    [(0.5, "expected"), (0.499, "likely"), (0.2, "likely"), (0.05, "possible"), (0.01, "unlikely"), (0.0, "remote")],
)
def test_words_for_probabilities(probability: float, word: str) -> None:
    """Each band begins at its own bound."""
    assert likelihood(probability) == word


def test_the_matrix_never_falls_as_risk_grows() -> None:
    """Priority does not fall as severity or likelihood grows, and every severity has an entry for each likelihood."""
    ranking = table("ranking")
    height = {"low": 0, "medium": 1, "high": 2}
    rows = [[height[entry] for entry in ranking["matrix"][severity]] for severity in ranking["severities"]]
    assert all(len(row) == 5 and row == sorted(row, reverse=True) for row in rows)
    columns = [list(column) for column in zip(*rows, strict=True)]
    assert all(column == sorted(column, reverse=True) for column in columns)


def test_injury_is_never_low() -> None:
    """Even a remote injury stays on the list at medium."""
    assert priority("injury", 0.0) == "medium"
    assert priority("cosmetic", 1.0) == "low"


def test_the_targets_own_limit_is_in_doubt_as_its_heat_is() -> None:
    """A top 20 C under its limit passes it with 15 % where its heat is good to 12 C and the limit to 16 C: 1 in z."""
    solved = case()
    own = replace(solved.heat.bodies[solved.target.id], spread_c=12.0)
    heat = replace(solved.heat, bodies={solved.target.id: own}, target_top_peak_c=240.0)
    limit = replace(solved.target.limit_c, value=260.0)
    judged = replace(solved, heat=heat, target=replace(solved.target, limit_c=limit, limit_spread_c=16.0))
    assert probability_target_over(judged) == pytest.approx(0.1587, abs=1e-4)
