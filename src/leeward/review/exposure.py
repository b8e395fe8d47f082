"""How long a joint was hot, read from the histories that the heat answer keeps."""

import numpy as np

from leeward.heat.grid import Floats
from leeward.heat.histories import seconds_above
from leeward.heat.records import JointHeat
from leeward.review.records import Case

LEAST_SPAN_C = 0.1  # coldest and hottest joint nearer than this are one history


def seconds_over(case: Case, joint: JointHeat, celsius: float) -> float:
    """Return how long a joint of the target was over a temperature, s.

    The answer keeps the histories of the target's coldest and hottest joint; a joint between them is read between
    them, by its peak.
    """
    return seconds_above(case.heat.time_s, _history(case, joint), celsius)


def seconds_until(case: Case, celsius: float) -> float | None:
    """Return how long after the lift the target's hottest joint falls under a temperature, None if not in the run."""
    heat = case.heat
    lift = heat.stage_ends_s["reflow"]
    under = np.flatnonzero((heat.time_s > lift) & (_named(case, "hottest joint") < celsius))
    return float(heat.time_s[under[0]] - lift) if under.size else None


def _history(case: Case, joint: JointHeat) -> Floats:
    cold, hot = _named(case, "coldest joint"), _named(case, "hottest joint")
    least, most = float(cold.max()), float(hot.max())
    share = (joint.peak_c - least) / max(most - least, LEAST_SPAN_C)
    return cold + min(max(share, 0.0), 1.0) * (hot - cold)


def _named(case: Case, beginning: str) -> Floats:
    found = [series for series in case.heat.series if series.name.startswith(beginning)]
    return (found or list(case.heat.series))[0].celsius
