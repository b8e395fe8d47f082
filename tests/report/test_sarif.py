"""Surveys in SARIF."""

import json
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from builders import finding
from leeward.report.sarif import to_sarif
from leeward.survey.records import Survey
from leeward.survey.rules import rules
from needs import outside_schema
from surveys import heavy, survey


def log_of(*surveys: Survey) -> Any:
    """Return the SARIF log of surveys as what JSON holds."""
    return json.loads(to_sarif(surveys), parse_constant=pytest.fail)


def test_the_log_is_valid_by_the_standard() -> None:
    """The log of several boards, waived findings among them, keeps the OASIS schema of SARIF 2.1.0."""
    schema = json.loads(outside_schema("sarif-2.1.0.json").read_text(encoding="utf-8"))
    log = log_of(survey(), survey(file="boards/a lamp & more.kicad_pcb"))
    checker = jsonschema.validators.validator_for(schema)(schema, format_checker=jsonschema.FormatChecker())
    assert [error.message for error in checker.iter_errors(log)] == []


def test_a_schema_that_is_broken_is_seen() -> None:
    """The same check refuses a log whose level is none of the standard's."""
    schema = json.loads(outside_schema("sarif-2.1.0.json").read_text(encoding="utf-8"))
    log = log_of(survey())
    log["runs"][0]["results"][0]["level"] = "loud"
    assert list(jsonschema.validators.validator_for(schema)(schema).iter_errors(log))


def test_a_result_points_at_the_line_of_its_part() -> None:
    """Rule, level, place and key of a finding stand in its result; the second part is a related place."""
    first, _ = log_of(survey())["runs"][0]["results"]
    assert first["ruleId"] == "neighbour-over-limit"
    assert first["level"] == "error"
    place = first["locations"][0]["physicalLocation"]
    assert place == {"artifactLocation": {"uri": "lamp.kicad_pcb"}, "region": {"startLine": 42}}
    assert first["locations"][0]["logicalLocations"][0]["name"] == "U1"
    assert [each["logicalLocations"][0]["name"] for each in first["relatedLocations"]] == ["C2"]
    assert list(first["partialFingerprints"].values()) == [finding().key]
    assert "gap 1.23 mm" in first["message"]["text"]
    assert "Remedy: put a heat barrier over it." in first["message"]["text"]


def test_rules_are_found_by_their_index() -> None:
    """Each result's index leads to the rule of its id, and every kind of finding is listed with its reason."""
    (run,) = log_of(survey())["runs"]
    listed = run["tool"]["driver"]["rules"]
    assert [rule["id"] for rule in listed] == list(rules())
    for result in run["results"]:
        assert listed[result["ruleIndex"]]["id"] == result["ruleId"]


def test_what_is_waived_is_suppressed_with_its_reason() -> None:
    """A waived finding is in the log with a suppression and its reason; one that stands has none."""
    stands, waived = log_of(survey())["runs"][0]["results"]
    assert "suppressions" not in stands
    assert waived["suppressions"] == [{"kind": "external", "justification": "glued on"}]


def test_levels_go_by_priority() -> None:
    """High is an error, medium a warning, low a note."""
    found = [replace(heavy(), priority=level, key=level) for level in ("high", "medium", "low")]
    assert [each["level"] for each in log_of(survey(*found))["runs"][0]["results"]] == ["error", "warning", "note"]


def test_a_file_name_becomes_an_address() -> None:
    """Blanks and signs in a path are written as an address wants them, and separators stay."""
    log = log_of(survey(file=str(Path("boards") / "a lamp & more.kicad_pcb")))
    assert log["runs"][0]["artifacts"][0]["location"]["uri"] == "boards/a%20lamp%20%26%20more.kicad_pcb"


def test_the_same_survey_gives_the_same_sarif() -> None:
    """Two logs of one survey are equal byte by byte, and end in a line break."""
    assert to_sarif([survey()]) == to_sarif([survey()])
    assert to_sarif([survey()]).endswith("\n")
