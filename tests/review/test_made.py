"""How findings are made and ordered."""

from builders import part
from leeward.review.made import made, rank
from leeward.review.records import Finding, Severity


def found(severity: Severity, probability: float, gap_mm: float = 1.0, ref: str = "U1") -> Finding:
    """Return a finding of one rule about a part."""
    evidence = {"gap_mm": gap_mm}
    entry = part(ref)
    return made("rule", [entry.id], (entry,), severity, probability, evidence, why="why", remedy="do", source="source")


def test_a_finding_carries_its_chance_and_the_words_for_it() -> None:
    """Key, references, likelihood and priority follow from the parts, the chance and the severity."""
    finding = found("part lost", 0.95)
    assert (finding.key, finding.parts, finding.refs) == ("rule:id-U1", ("id-U1",), ("U1",))
    assert finding.evidence == {"probability": 0.95, "gap_mm": 1.0}
    assert (finding.likelihood, finding.priority) == ("expected", "high")


def test_findings_stand_by_priority_severity_likelihood_gap_and_key() -> None:
    """Each comparison decides where those before it are alike."""
    ordered = [
        found("injury", 0.95),
        found("part lost", 0.97),
        found("part lost", 0.95, 0.5),
        found("part lost", 0.95, 1.5),
        found("part lost", 0.95, 1.5, "U2"),
        found("cosmetic", 0.95),
    ]
    shuffled = [ordered[i] for i in (3, 0, 5, 1, 4, 2)]
    assert sorted(shuffled, key=rank) == ordered
