"""Surveys in SARIF 2.1.0, the OASIS format that code hosts and editors show findings from.

Priorities are levels: high an error, medium a warning, low a note. A result points at the line where the part begins
in the board file, and at the lines of the other parts beside it.
"""

import json
from collections.abc import Mapping, Sequence
from pathlib import PurePath
from typing import Any
from urllib.parse import quote

from leeward import __version__
from leeward.report.as_json import plain
from leeward.report.text_survey import figures
from leeward.review.records import Finding, Priority
from leeward.survey.records import Survey
from leeward.survey.rules import Rule, rules

LEVELS: Mapping[Priority, str] = {"high": "error", "medium": "warning", "low": "note"}
FINGERPRINT = "leewardFindingKey/v1"


def to_sarif(surveys: Sequence[Survey]) -> str:
    """Return surveys as one SARIF log; the same surveys give the same text."""
    index = {rule_id: i for i, rule_id in enumerate(rules())}
    results = [_result(survey, finding, index) for survey in surveys for finding in survey.findings]
    driver = {"name": "leeward", "version": __version__, "rules": [_rule(rule) for rule in rules().values()]}
    run = {
        "tool": {"driver": driver},
        "columnKind": "unicodeCodePoints",
        "artifacts": [
            {"location": {"uri": _uri(survey)}, "hashes": {"sha-256": survey.board.sha256}} for survey in surveys
        ],
        "results": results,
    }
    log = {"version": "2.1.0", "$schema": "https://json.schemastore.org/sarif-2.1.0.json", "runs": [run]}
    return json.dumps(log, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def _rule(rule: Rule) -> dict[str, Any]:
    return {
        "id": rule.id,
        "shortDescription": {"text": rule.title},
        "fullDescription": {"text": rule.why},
        "help": {"text": f"{rule.why} In the layout: {rule.do}. Source: {rule.source}."},
    }


def _result(survey: Survey, finding: Finding, index: Mapping[str, int]) -> dict[str, Any]:
    first, *others = finding.parts
    result: dict[str, Any] = {
        "ruleId": finding.rule,
        "ruleIndex": index[finding.rule],
        "level": LEVELS[finding.priority],
        "message": {"text": _message(finding)},
        "locations": [_location(survey, first)],
        "partialFingerprints": {FINGERPRINT: finding.key},
        "properties": {
            "severity": finding.severity,
            "likelihood": finding.likelihood,
            "evidence": plain(finding.evidence),
        },
    }
    if others:
        result["relatedLocations"] = [_location(survey, part_id) for part_id in others]
    if finding.waived is not None:
        result["suppressions"] = [{"kind": "external", "justification": finding.waived}]
    return result


def _message(finding: Finding) -> str:
    title = rules()[finding.rule].title
    told = figures(finding)
    return f"{', '.join(finding.refs)}: {title}{f' ({told})' if told else ''}. Remedy: {finding.remedy}."


def _location(survey: Survey, part_id: str) -> dict[str, Any]:
    part = survey.parts.by_id[part_id]
    return {
        "physicalLocation": {
            "artifactLocation": {"uri": _uri(survey)},
            "region": {"startLine": max(1, part.footprint.line)},
        },
        "logicalLocations": [{"name": part.ref, "fullyQualifiedName": part.id, "kind": "object"}],
    }


def _uri(survey: Survey) -> str:
    return quote(PurePath(survey.board.file).as_posix())
