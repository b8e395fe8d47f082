"""Make findings of the survey's own, in the shape of the review's."""

from collections.abc import Mapping, Sequence

from leeward.parts.records import Part
from leeward.review.odds import PRIORITIES, likelihood, priority, severity_rank
from leeward.review.records import Finding, Severity
from leeward.survey.rules import rules


def made(
    rule: str,
    parts: Sequence[Part],
    severity: Severity,
    probability: float,
    evidence: Mapping[str, float],
    *,
    remedy: str = "",
    source: str = "",
) -> Finding:
    """Return a finding; its remedy and source are the rule's where none is given. Its key is the rule and the ids."""
    known = rules()[rule]
    ids = tuple(part.id for part in parts)
    return Finding(
        key=":".join((rule, *ids)),
        rule=rule,
        parts=ids,
        refs=tuple(part.ref for part in parts),
        severity=severity,
        likelihood=likelihood(probability),
        priority=priority(severity, probability),
        evidence={"probability": probability, **evidence},
        why=known.why,
        remedy=remedy or known.do,
        source=source or known.source,
    )


def rank(finding: Finding) -> tuple[int, int, float, float, str]:
    """Return what findings are ordered by: priority, severity, likelihood, gap, key."""
    return (
        PRIORITIES.index(finding.priority),
        severity_rank(finding.severity),
        -finding.evidence["probability"],
        finding.evidence.get("gap_mm", 0.0),
        finding.key,
    )
