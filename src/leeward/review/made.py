"""Make findings and put them in order, the same for a review and a survey."""

from collections.abc import Mapping, Sequence

from leeward.parts.records import Part
from leeward.review.odds import PRIORITIES, likelihood, priority, severity_rank
from leeward.review.records import Finding, Severity


def made(
    rule: str,
    key: Sequence[str],
    parts: Sequence[Part],
    severity: Severity,
    probability: float,
    evidence: Mapping[str, float],
    *,
    why: str,
    remedy: str,
    source: str,
) -> Finding:
    """Return a finding; its key is the rule and the ids of `key`, which tell it from others of the rule."""
    return Finding(
        key=":".join((rule, *key)),
        rule=rule,
        parts=tuple(part.id for part in parts),
        refs=tuple(part.ref for part in parts),
        severity=severity,
        likelihood=likelihood(probability),
        priority=priority(severity, probability),
        evidence={"probability": probability, **evidence},
        why=why,
        remedy=remedy,
        source=source,
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
