"""How likely a value passes a limit when both are in doubt, and from which chance on that counts."""

from math import erfc, hypot, sqrt

from leeward.constants import table

EXPECTED, LIKELY, POSSIBLE = (float(table("ranking")["at_least"][i]) for i in range(3))


def probability_above(value: float, limit: float, spread: float, limit_spread: float = 0.0) -> float:
    """Return P(value + error > limit + error), both errors normal with the standard deviations given."""
    return 0.5 * erfc((limit - value) / max(hypot(spread, limit_spread), 1e-9) / sqrt(2))
