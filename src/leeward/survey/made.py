"""Make findings of the survey's own, in the shape of the review's."""

from collections.abc import Mapping, Sequence

from leeward.parts.records import Part
from leeward.review.made import made as finding
from leeward.review.records import Finding, Severity
from leeward.survey.rules import rules


def made(
    rule: str,
    parts: Sequence[Part],
    severity: Severity,
    probability: float,
    evidence: Mapping[str, float],
    *,
    why: str = "",
    remedy: str = "",
    source: str = "",
) -> Finding:
    """Return a finding; what is not told is as the rule has it. Its key is the rule and the ids."""
    known, ids = rules()[rule], [part.id for part in parts]
    told = {"why": why or known.why, "remedy": remedy or known.do, "source": source or known.source}
    return finding(rule, ids, parts, severity, probability, evidence, **told)
