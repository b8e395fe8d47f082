"""Surveys as JUnit reports."""

from dataclasses import replace
from pathlib import Path

import junitparser
import pytest
import xmlschema

from builders import finding
from leeward.report.junit import to_junit
from leeward.review.records import Priority
from needs import outside_schema
from surveys import heavy, survey

HOSTILE = replace(finding(), remedy='keep <it> & "that" apart\n\x07', waived=None)


def read_back(text: str, folder: Path) -> junitparser.JUnitXml:
    """Return a report as a reader of the registry reads it."""
    path = folder / "report.xml"
    path.write_text(text, encoding="utf-8")
    return junitparser.JUnitXml.fromfile(str(path))


def test_the_report_is_valid_by_the_common_schema(tmp_path: Path) -> None:
    """The report of two boards, one with signs that XML minds, keeps the common JUnit schema."""
    path = tmp_path / "report.xml"
    path.write_text(to_junit([survey(), survey(HOSTILE, file="a & b.kicad_pcb")], "high"), encoding="utf-8")
    schema = xmlschema.XMLSchema(str(outside_schema("junit.xsd")))
    assert [error.reason for error in schema.iter_errors(str(path))] == []


def test_a_report_that_is_broken_is_seen(tmp_path: Path) -> None:
    """The same check refuses a case without a class."""
    path = tmp_path / "report.xml"
    path.write_text(to_junit([survey()], "high").replace(" classname=", " class="), encoding="utf-8")
    assert list(xmlschema.XMLSchema(str(outside_schema("junit.xsd"))).iter_errors(str(path)))


def test_a_reader_finds_cases_failures_and_waivers(tmp_path: Path) -> None:
    """One suite a board, one case a part: U1 fails by its finding, D3 is skipped by its waiver, C2 passes."""
    (suite,) = read_back(to_junit([survey()], "high"), tmp_path)
    assert (suite.name, suite.tests, suite.failures, suite.skipped, suite.errors) == ("lamp.kicad_pcb", 3, 1, 1, 0)
    cases = {case.name.split()[0]: case for case in suite}
    (failure,) = cases["U1"].result
    assert failure.type == "neighbour-over-limit"
    assert "lamp.kicad_pcb:42: high neighbour-over-limit (U1, C2)" in failure.text
    (skipped,) = cases["D3"].result
    assert skipped.message == "waived: heavy-on-second-side: glued on"
    assert cases["C2"].result == []


@pytest.mark.parametrize(("gate", "failures"), [(None, 0), ("high", 0), ("medium", 1), ("low", 1)])
def test_the_gate_decides_what_fails(gate: Priority | None, failures: int, tmp_path: Path) -> None:
    """A finding of medium priority fails its case from the gate of medium on; without a gate only high ones do."""
    (suite,) = read_back(to_junit([survey(heavy())], gate), tmp_path)
    assert suite.failures == failures


def test_a_clean_board_passes_whole(tmp_path: Path) -> None:
    """Without findings every case passes."""
    clean = replace(survey(), findings=())
    (suite,) = read_back(to_junit([clean], "low"), tmp_path)
    assert (suite.tests, suite.failures, suite.skipped) == (3, 0, 0)


def test_the_same_survey_gives_the_same_report() -> None:
    """Two reports of one survey are equal byte by byte: no clock, no host."""
    assert to_junit([survey()], "high") == to_junit([survey()], "high")
