"""Tests of `leeward parts`."""

import json
from pathlib import Path

import jsonschema
import pytest

from cli.boards import UNFILLED, resistor, transistor, write_board
from leeward.cli.exit_codes import ExitCode
from leeward.cli.main import run
from leeward.report.schemas import schema


def test_text_goes_to_standard_output_and_warnings_to_standard_error(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The note about a zone without fill is one warning on standard error, and no line of the result."""
    board = write_board(tmp_path, transistor(), resistor(), extra=UNFILLED)
    assert run(["parts", board]) == ExitCode.DONE
    captured = capsys.readouterr()
    assert captured.err.startswith(f"{board}: warning: 1 zone(s) hold no fill")
    assert captured.err.count("\n") == 1
    assert "hold no fill" not in captured.out
    assert "gull-wing (1)" in captured.out


def test_json_keeps_to_its_schema_and_holds_the_notes(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The document validates, names the file as given, and holds the warnings; standard error is empty."""
    board = write_board(tmp_path, transistor(), resistor(), extra=UNFILLED)
    assert run(["parts", board, "--format", "json"]) == ExitCode.DONE
    captured = capsys.readouterr()
    document = json.loads(captured.out, parse_constant=pytest.fail)
    jsonschema.validate(document, schema("parts"))
    assert captured.err == ""
    assert document["board"]["file"] == board
    assert document["board"]["notes"][0].startswith("1 zone(s) hold no fill")
    assert document["board"]["outline_area_mm2"] == 600.0
    assert [part["ref"] for part in document["parts"]] == ["Q1", "R1"]


def test_the_ending_of_the_output_decides(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """-o parts.json holds JSON and parts.txt text, with nothing on standard output, and the same bytes each time."""
    board = write_board(tmp_path, resistor())
    for _ in range(2):
        assert run(["parts", board, "-o", str(tmp_path / "parts.json")]) == ExitCode.DONE
    assert run(["parts", board, "-o", str(tmp_path / "parts.txt")]) == ExitCode.DONE
    assert run(["parts", board, "--format", "json", "-o", str(tmp_path / "parts")]) == ExitCode.DONE
    assert capsys.readouterr().out == ""
    assert json.loads((tmp_path / "parts.json").read_text(encoding="utf-8"))["schema"] == "leeward.parts/1"
    assert (tmp_path / "parts").read_bytes() == (tmp_path / "parts.json").read_bytes()
    assert (tmp_path / "parts.txt").read_text(encoding="utf-8").startswith(board)


def test_the_parts_file_is_believed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A height from the user's file stands in the document with that file as its source."""
    board = write_board(tmp_path, resistor())
    known = tmp_path / "known.toml"
    known.write_text('[[part]]\nref = "R1"\nheight_mm = 0.77\n', encoding="utf-8")
    assert run(["parts", board, "--parts", str(known), "--format", "json"]) == ExitCode.DONE
    part = json.loads(capsys.readouterr().out)["parts"][0]
    assert part["height_mm"] == 0.77
    assert "known.toml" in part["sources"]["height_mm"]["source"]


def test_entries_about_no_part_are_warned_of(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A pattern that fits no part of the board is told on standard error with its line, and nothing stops."""
    board = write_board(tmp_path, resistor())
    known = tmp_path / "known.toml"
    known.write_text('\n[[part]]\nfootprint = "Nothing:*"\nheight_mm = 0.77\n', encoding="utf-8")
    assert run(["parts", board, "--parts", str(known)]) == ExitCode.DONE
    assert "1 entry fits no part of this board in the parts file known.toml (from line 2)" in capsys.readouterr().err


def test_the_alloy_is_taken_in_any_case(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """--alloy sn63pb37 is Sn63Pb37 in the document."""
    assert run(["parts", write_board(tmp_path, resistor()), "--alloy", "sn63pb37", "--format", "json"]) == ExitCode.DONE
    assert json.loads(capsys.readouterr().out)["alloy"] == "Sn63Pb37"


def test_a_board_without_parts_has_nothing_to_assess(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A bare board exits with 10 and still prints a document that keeps to its schema."""
    board = write_board(tmp_path)
    assert run(["parts", board, "--format", "json"]) == ExitCode.NOTHING_ASSESSED
    captured = capsys.readouterr()
    document = json.loads(captured.out)
    jsonschema.validate(document, schema("parts"))
    assert document["parts"] == []
    assert captured.err.count("\n") == 1
