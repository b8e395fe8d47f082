"""Probabilities, the words for them, and the priority that severity and likelihood make."""

from math import erfc, hypot, sqrt

from leeward.constants import table
from leeward.review.records import Likelihood, Priority, Severity

PRIORITIES: tuple[Priority, ...] = ("high", "medium", "low")


def probability_above(value: float, limit: float, spread: float, limit_spread: float = 0.0) -> float:
    """Return P(value + error > limit + error), both errors normal with the standard deviations given."""
    return 0.5 * erfc((limit - value) / max(hypot(spread, limit_spread), 1e-9) / sqrt(2))


def likelihood(probability: float) -> Likelihood:
    """Return the word for a probability."""
    ranking = table("ranking")
    bands = zip(ranking["likelihoods"], ranking["at_least"], strict=True)
    return next(name for name, least in bands if probability >= least)


def priority(severity: Severity, probability: float) -> Priority:
    """Return the matrix entry of a severity and the likelihood of a probability."""
    ranking = table("ranking")
    entry: Priority = ranking["matrix"][severity][ranking["likelihoods"].index(likelihood(probability))]
    return entry


def severity_rank(severity: Severity) -> int:
    """Return 0 for the worst."""
    rank: int = table("ranking")["severities"].index(severity)
    return rank
