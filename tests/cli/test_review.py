"""Tests of `leeward review`, end to end on a small invented board."""

import json
import os
import subprocess
import sys
from dataclasses import replace
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from builders import finding, review
from cli.boards import UNFILLED, resistor, transistor, write_board
from leeward.cli.exit_codes import ExitCode
from leeward.cli.main import run
from leeward.cli.review import exit_code
from leeward.report.schemas import schema
from leeward.review.records import Priority


@pytest.fixture(scope="module")
def board(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Return a board with a transistor and a resistor 4 mm from it."""
    return write_board(tmp_path_factory.mktemp("board"), transistor(), resistor(), extra=UNFILLED)


def document(arguments: list[str], capsys: pytest.CaptureFixture[str], code: ExitCode = ExitCode.DONE) -> Any:
    """Run a review that answers JSON, and return what it answers, validated."""
    assert run(["review", *arguments, "--format", "json"]) == code
    found = json.loads(capsys.readouterr().out, parse_constant=pytest.fail)
    jsonschema.validate(found, schema("review"))
    return found


def test_a_review_answers_about_its_target(board: str, capsys: pytest.CaptureFixture[str]) -> None:
    """The document is about Q1, has R1 among its neighbours, and the two stand 4 mm apart less their halves."""
    found = document([board, "Q1"], capsys)
    (reviewed,) = found["reviews"]
    (near,) = reviewed["neighbours"]
    assert reviewed["target"]["ref"] == "Q1"
    assert found["sequence"]["order"] == [reviewed["target"]["id"]]
    assert near["ref"] == "R1"
    # SOT-23 spans 2.1 to 2.64 mm over its leads (JEDEC TO-236AB, from memory), a 0603 is 1.6 mm long.
    assert 4.0 - 1.32 - 0.8 - 0.1 < near["gap_mm"] < 4.0 - 1.05 - 0.8 + 0.1
    assert near["direction_deg"] == pytest.approx(0.0, abs=0.1)
    assert near["arrives_by"]["air"] + near["arrives_by"]["copper"] == pytest.approx(1.0, abs=0.002)
    assert found["board"]["notes"][0].startswith("1 zone(s) hold no fill")


def test_what_is_held_is_held(board: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Nozzle, turn, height, air, flow, heater and a stage's time are as the options say, and are named."""
    options = ["--nozzle", "bore-5", "--rotation", "30", "--standoff", "7.5", "--air", "320", "--flow", "7",
               "--board-heater", "155", "--stage", "reflow=33"]  # fmt: skip
    setup = document([board, "Q1", *options], capsys)["reviews"][0]["setup"]
    reflow = next(stage for stage in setup["stages"] if stage["name"] == "reflow")
    assert (setup["nozzle"]["id"], setup["nozzle"]["rotation_deg"], setup["nozzle"]["standoff_mm"]) == (
        "bore-5",
        30.0,
        7.5,
    )
    assert reflow == {"name": "reflow", "seconds": 33.0, "air_c": 320.0, "flow_l_min": 7.0, "board_heater_c": 155.0}
    assert setup["held"] == ["nozzle", "rotation", "standoff", "air", "flow", "board-heater", "stage reflow"]


def test_several_targets_come_in_work_order(board: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Two targets, one of them named twice, make two reviews in the order of the sequence."""
    found = document([board, "R1", "Q1", "R1"], capsys)
    assert sorted(each["target"]["ref"] for each in found["reviews"]) == ["Q1", "R1"]
    assert [each["target"]["id"] for each in found["reviews"]] == found["sequence"]["order"]


def test_text_has_the_verdict_first_and_warnings_aside(board: str, capsys: pytest.CaptureFixture[str]) -> None:
    """The first line of the text is the verdict; the unfilled zone is told on standard error."""
    assert run(["review", board, "Q1"]) == ExitCode.DONE
    captured = capsys.readouterr()
    assert captured.out.startswith("Q1 (small outline transistor, top): ")
    assert "\x1b" not in captured.out
    assert captured.err.startswith(f"{board}: warning: 1 zone(s) hold no fill")
    assert captured.err.count("\n") == 1


def test_a_reference_that_is_not_there_has_nothing_to_assess(board: str, capsys: pytest.CaptureFixture[str]) -> None:
    """An unknown reference exits with 10, one line that names near ones, and a document with the reason."""
    assert run(["review", board, "Q9", "--format", "json"]) == ExitCode.NOTHING_ASSESSED
    captured = capsys.readouterr()
    found = json.loads(captured.out)
    jsonschema.validate(found, schema("review"))
    assert found["reviews"] == []
    assert found["not_assessed"][0]["ref"] == "Q9"
    assert "Q1" in found["not_assessed"][0]["reason"]
    assert captured.err.count("\n") == 1
    assert run(["review", board, "Q9"]) == ExitCode.NOTHING_ASSESSED
    assert capsys.readouterr().out == ""


def test_a_file_gets_the_review(board: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """-o FILE holds the document and nothing is on standard output."""
    output = tmp_path / "review.json"
    assert run(["review", board, "Q1", "-o", str(output)]) == ExitCode.DONE
    assert capsys.readouterr().out == ""
    jsonschema.validate(json.loads(output.read_text(encoding="utf-8")), schema("review"))


@pytest.mark.parametrize(
    ("ending", "start"), [(".html", b"<!doctype html>"), (".htm", b"<!doctype"), (".pdf", b"%PDF-")]
)
def test_the_sheet_is_written_by_its_ending(board: str, tmp_path: Path, ending: str, start: bytes) -> None:
    """-o job.html and -o job.pdf write the job sheet."""
    output = tmp_path / f"job{ending}"
    assert run(["review", board, "Q1", "-o", str(output)]) == ExitCode.DONE
    assert output.read_bytes().startswith(start)


@pytest.mark.parametrize(("form", "start"), [("json", b"{"), ("html", b"<!doctype html>"), ("pdf", b"%PDF-")])
def test_the_same_input_gives_the_same_bytes(board: str, form: str, start: bytes) -> None:
    """Two runs of the program, with other hash seeds, answer the same to the byte."""
    command = [sys.executable, "-m", "leeward", "review", board, "Q1", "R1", "--format", form]
    first, second = (
        subprocess.run(command, capture_output=True, check=True, env={**os.environ, "PYTHONHASHSEED": seed}).stdout
        for seed in ("1", "2")
    )
    assert first == second
    assert first.startswith(start)


@pytest.mark.parametrize(
    ("worst", "gate", "code"),
    [
        ("high", None, ExitCode.DONE),
        ("high", "high", ExitCode.GATE),
        ("medium", "high", ExitCode.DONE),
        ("medium", "medium", ExitCode.GATE),
        ("high", "medium", ExitCode.GATE),
        ("low", "medium", ExitCode.DONE),
        ("low", "low", ExitCode.GATE),
    ],
)
def test_the_gate_closes_at_its_priority(worst: Priority, gate: Priority | None, code: ExitCode) -> None:
    """Findings at or above --fail-on exit with 1, others and an absent gate with 0."""
    assert exit_code([review(findings=(finding(worst),))], gate) == code


def test_a_waived_finding_does_not_close_the_gate() -> None:
    """What the user has accepted with a reason passes; without findings everything does."""
    waived = replace(finding("high"), waived="seen under the microscope")
    assert exit_code([review(findings=(waived,))], "low") == ExitCode.DONE
    assert exit_code([review(findings=())], "low") == ExitCode.DONE


@pytest.mark.parametrize("form", ["text", "json", "html"])
def test_the_gate_is_the_same_in_each_form(
    form: str, board: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A closed gate exits with 1 in text, in JSON and in HTML, and the result is printed all the same."""
    judged = review()
    monkeypatch.setattr("leeward.cli.review.find_targets", lambda *_: (judged.case.target,))
    monkeypatch.setattr("leeward.cli.review.settle", lambda *_: judged.case)
    monkeypatch.setattr("leeward.cli.review.judge", lambda _: judged)
    assert run(["review", board, "U1", "--fail-on", "medium", "--format", form]) == ExitCode.GATE
    assert "neighbour-over-limit" in capsys.readouterr().out
