"""Surveys as a JUnit report: one suite a board, one case a part.

A case fails by the findings of its part at or above the gate; without a gate by those of high priority. Waived ones
are told as skipped. The form wants a time and a host: both are fixed, so that the same surveys give the same bytes.
"""

import xml.etree.ElementTree as ET
from collections.abc import Sequence

from leeward.report.text_survey import figures
from leeward.report.wording import clean
from leeward.review.records import Finding, Priority
from leeward.survey.records import Survey
from leeward.survey.rules import rules
from leeward.survey.survey import at_or_above

NO_TIME, NO_HOST = "1970-01-01T00:00:00", "localhost"


def to_junit(surveys: Sequence[Survey], gate: Priority | None) -> str:
    """Return surveys as a JUnit report."""
    root = ET.Element("testsuites")
    for number, survey in enumerate(surveys):
        root.append(_suite(survey, number, gate or "high"))
    ET.indent(root, " ")
    return '<?xml version="1.0" encoding="UTF-8"?>\n' + ET.tostring(root, encoding="unicode") + "\n"


def _suite(survey: Survey, number: int, gate: Priority) -> ET.Element:
    by_part = _by_first_part(survey)
    named = dict.fromkeys([*(target.part.id for target in survey.targets), *by_part])
    order = {part_id: i for i, part_id in enumerate(survey.parts.by_id)}
    cases = [_case(survey, part_id, by_part.get(part_id, []), gate) for part_id in sorted(named, key=order.__getitem__)]
    suite = ET.Element(
        "testsuite",
        name=_token(survey.board.file),
        package="leeward.survey",
        id=str(number),
        timestamp=NO_TIME,
        hostname=NO_HOST,
        tests=str(len(cases)),
        failures=str(sum(case.find("failure") is not None for case in cases)),
        errors="0",
        skipped=str(sum(case.find("skipped") is not None for case in cases)),
        time="0",
    )
    properties = ET.SubElement(suite, "properties")
    for name, value in (("profile", survey.profile), ("gate", gate), ("sha256", survey.board.sha256)):
        ET.SubElement(properties, "property", name=name, value=value)
    suite.extend(cases)
    ET.SubElement(suite, "system-out").text = ""
    ET.SubElement(suite, "system-err").text = ""
    return suite


def _by_first_part(survey: Survey) -> dict[str, list[Finding]]:
    found: dict[str, list[Finding]] = {}
    for finding in survey.findings:
        found.setdefault(finding.parts[0], []).append(finding)
    return found


def _case(survey: Survey, part_id: str, findings: Sequence[Finding], gate: Priority) -> ET.Element:
    part = survey.parts.by_id[part_id]
    case = ET.Element("testcase", name=_token(f"{part.ref} ({part.id})"), classname=_token(survey.board.file), time="0")
    failing = at_or_above(findings, gate)
    waived = [finding for finding in findings if finding.waived is not None]
    if failing:
        text = "\n".join(_line(survey, finding) for finding in failing)
        worst = failing[0]
        ET.SubElement(case, "failure", message=rules()[worst.rule].title, type=worst.rule).text = text
    elif waived:
        reasons = "; ".join(clean(f"{finding.rule}: {finding.waived}") for finding in waived)
        ET.SubElement(case, "skipped", message=f"waived: {reasons}")
    return case


def _line(survey: Survey, finding: Finding) -> str:
    line = survey.parts.by_id[finding.parts[0]].footprint.line
    refs, told = ", ".join(finding.refs), figures(finding)
    where = f"{survey.board.file}:{line}"
    return clean(
        f"{where}: {finding.priority} {finding.rule} ({refs}){f': {told}' if told else ''}. Remedy: {finding.remedy}."
    )


def _token(text: str) -> str:
    """Return a text as the form's names want it: no line breaks, single blanks."""
    return " ".join(clean(text).split())
