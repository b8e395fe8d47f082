"""Tests of `leeward survey`, end to end."""

import contextlib
import io
import json
import os
import pty
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import jsonschema
import pytest

from cli.boards import UNFILLED, resistor, transistor, write_board
from leeward.cli import progress as progress_of
from leeward.cli.exit_codes import ExitCode
from leeward.cli.main import run
from leeward.report.schemas import schema

SAMPLE = str(Path(__file__).parents[2] / "sample_boards" / "tide_logger.kicad_pcb")
AT_ONCE_S = 5.0


@pytest.fixture(scope="module")
def board(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Return a board with a transistor and a resistor that all but touches it."""
    return write_board(tmp_path_factory.mktemp("board"), transistor(), resistor(x_mm=117.4), extra=UNFILLED)


def document(arguments: list[str], capsys: pytest.CaptureFixture[str], code: ExitCode = ExitCode.DONE) -> Any:
    """Run a survey that answers JSON, and return what it answers, validated."""
    assert run(["survey", *arguments, "--format", "json"]) == code
    found = json.loads(capsys.readouterr().out, parse_constant=pytest.fail)
    jsonschema.validate(found, schema("survey"))
    return found


def test_every_target_is_told(board: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Both parts are targets; the transistor has the resistor among those in its heat, the chip is hand work."""
    (found,) = document([board], capsys)["boards"]
    targets = {target["ref"]: target for target in found["targets"]}
    assert set(targets) == {"Q1", "R1"}
    assert targets["Q1"]["worst_neighbour"] == targets["R1"]["id"]
    assert targets["Q1"]["hand_tool"] is None
    assert targets["R1"]["hand_tool"].startswith("use hand tool")
    assert found["profile"] == "physics"
    assert {key for target in found["targets"] for key in target["findings"]} <= {f["key"] for f in found["findings"]}


def test_targets_are_chosen_by_pattern(board: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Only what matches is surveyed; a pattern without a match has its own exit code, and JSON all the same."""
    (found,) = document([board, "--targets", "Q*"], capsys)["boards"]
    assert [target["ref"] for target in found["targets"]] == ["Q1"]
    (none,) = document([board, "--targets", "U*"], capsys, ExitCode.NOTHING_ASSESSED)["boards"]
    assert none["targets"] == []


def test_geometry_alone(board: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Without heat the figures of heat are null, and the document says why."""
    (found,) = document([board, "--geometry", "--profile", "designer-preferred"], capsys)["boards"]
    assert found["geometry_only"] is True
    assert all(target["worst_margin_c"] is None for target in found["targets"])
    assert [f["rule"] for f in found["findings"]] == ["too-close-for-profile"]


def test_the_gate_has_its_exit_code_in_every_form(board: str, capsys: pytest.CaptureFixture[str]) -> None:
    """A finding at or above the gate gives 1 whatever the form; without a gate, or under it, the code is 0."""
    spacing = ["survey", board, "--geometry", "--profile", "designer-preferred"]
    for form in ("text", "json", "sarif", "junit"):
        assert run([*spacing, "--fail-on", "low", "--format", form]) == ExitCode.GATE
        assert run([*spacing, "--format", form]) == ExitCode.DONE
        assert capsys.readouterr().out


def test_a_waiver_opens_the_gate_and_is_still_shown(
    board: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What is accepted with a reason no longer stops; it stays in the document, and what accepts nothing is told."""
    file = tmp_path / "waivers.toml"
    file.write_text(
        '[[waiver]]\nrule = "too-close-for-profile"\nparts = ["R1", "Q1"]\nreason = "placed by hand"\n'
        '[[waiver]]\nrule = "wall-too-close"\nparts = ["U9"]\nreason = "no such part"\n',
        encoding="utf-8",
    )
    options = [board, "--geometry", "--profile", "designer-preferred", "--fail-on", "low", "--waivers", str(file)]
    (found,) = document(options, capsys)["boards"]
    assert found["waived"] == 1
    assert [finding["waived"] for finding in found["findings"]] == ["placed by hand"]
    assert [unused["rule"] for unused in found["unused_waivers"]] == ["wall-too-close"]


def test_a_baseline_leaves_what_is_new(board: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Against its own earlier answer a board has no new finding, and says how many it knew."""
    earlier, options = str(tmp_path / "earlier.json"), ["--geometry", "--profile", "designer-preferred"]
    assert run(["survey", board, *options, "-o", earlier]) == ExitCode.DONE
    (found,) = document([board, *options, "--baseline", earlier, "--fail-on", "low"], capsys)["boards"]
    assert (found["findings"], found["known"]) == ([], 1)


def test_several_boards_have_one_answer_and_the_worst_code(
    board: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """A board that cannot be read is told and does not stop the others; its code is the worst."""
    missing = str(tmp_path / "none.kicad_pcb")
    assert run(["survey", board, missing, "--geometry", "--format", "json"]) == ExitCode.INPUT
    told = capsys.readouterr()
    assert [each["board"]["file"] for each in json.loads(told.out)["boards"]] == [board]
    assert "none.kicad_pcb" in told.err
    assert run(["survey", board, board, "--geometry"]) == ExitCode.DONE
    assert "All boards" in capsys.readouterr().out


def test_nothing_to_survey_has_its_own_code(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A board without a fitted surface-mount part gives 10, and says what to give."""
    bare = write_board(tmp_path)
    assert run(["survey", bare]) == ExitCode.NOTHING_ASSESSED
    assert "no part on this board is a target; give a board" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "code"),
    [
        ([], ExitCode.USAGE),
        (["x.kicad_pcb", "--profile", "nobody"], ExitCode.USAGE),
        (["x.kicad_pcb", "-o", "x.pdf"], ExitCode.USAGE),
        (["x.kicad_pcb", "-o", "x.kicad_pcb", "--format", "json"], ExitCode.INPUT),
        (["x.kicad_pcb", "--waivers", "none.toml"], ExitCode.INPUT),
        (["x.kicad_pcb", "--baseline", "none.json"], ExitCode.INPUT),
        (["--explain", "nobody-knows"], ExitCode.USAGE),
    ],
)
def test_what_cannot_be_done_is_said_in_a_line(
    arguments: list[str], code: ExitCode, capsys: pytest.CaptureFixture[str]
) -> None:
    """Wrong words and missing files have their codes and one line each."""
    assert run(["survey", *arguments]) == code
    told = capsys.readouterr()
    assert told.out == ""
    assert len(told.err.splitlines()) == 1


def test_kinds_are_explained_and_listed_without_a_board(capsys: pytest.CaptureFixture[str]) -> None:
    """--explain and --list answer by themselves."""
    assert run(["survey", "--explain", "wall-too-close"]) == ExitCode.DONE
    assert "Why: " in capsys.readouterr().out
    assert run(["survey", "--list"]) == ExitCode.DONE
    assert "physics" in capsys.readouterr().out


def test_the_ending_of_the_output_tells_its_form(board: str, tmp_path: Path) -> None:
    """.html, .sarif, .xml, .json and .txt are written as what they say."""
    begins = {
        "a.html": "<!doctype html>",
        "a.sarif": '{\n "version": "2.1.0"',
        "a.xml": "<?xml",
        "a.json": '{\n "schema"',
        "a.txt": board,
    }
    for name, beginning in begins.items():
        assert run(["survey", board, "--geometry", "-o", str(tmp_path / name)]) == ExitCode.DONE
        assert (tmp_path / name).read_text(encoding="utf-8").startswith(beginning)


def test_the_same_board_gives_the_same_bytes(board: str, tmp_path: Path) -> None:
    """Every form of a survey with heat is the same twice over."""
    for ending in ("json", "html", "sarif", "xml", "txt"):
        both = [tmp_path / f"{i}.{ending}" for i in (1, 2)]
        for path in both:
            assert run(["survey", board, "-o", str(path)]) == ExitCode.DONE
        assert both[0].read_bytes() == both[1].read_bytes()


def test_ctrl_c_stops_at_once_and_cleanly() -> None:
    """An interrupt in the middle of the work ends the program and its processes within seconds, without a word."""
    command = [sys.executable, "-m", "leeward", "survey", SAMPLE]
    running = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE, start_new_session=True)
    try:
        wait_for_children(running.pid)
        os.killpg(running.pid, signal.SIGINT)  # as a terminal does, to the whole group
        interrupted = time.monotonic()
        out, err = running.communicate(timeout=60)
        assert time.monotonic() - interrupted < AT_ONCE_S
    finally:
        running.kill()
    assert running.returncode == ExitCode.INTERRUPTED
    assert out == b""
    assert err.strip() == b""


def wait_for_children(pid: int) -> None:
    """Wait until a process has started two others."""
    children = Path(f"/proc/{pid}/task/{pid}/children")
    for _ in range(600):
        if len(children.read_text(encoding="ascii").split()) >= 2:
            time.sleep(2.0)  # so that they are at work
            return
        time.sleep(0.1)
    pytest.fail("no process was started")


def test_progress_is_for_terminals_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    """In a pipe nothing is shown; on a terminal a bar is, from the first moment that patience is over."""
    quiet = io.StringIO()
    monkeypatch.setattr(sys, "stderr", quiet)
    with progress_of.progress("lamp.kicad_pcb") as told:
        told(1, 2)
    assert quiet.getvalue() == ""
    monkeypatch.setattr(progress_of, "PATIENCE_S", 0.0)
    ours, theirs = pty.openpty()
    with os.fdopen(theirs, "w", encoding="utf-8") as terminal:
        monkeypatch.setattr(sys, "stderr", terminal)
        with progress_of.progress("lamp.kicad_pcb") as told:
            told(1, 2)
    assert b"lamp.kicad_pcb" in all_of(ours)
    os.close(ours)


def all_of(terminal: int) -> bytes:
    """Return what was written to a terminal whose other end is closed; it may come in pieces."""
    written = b""
    with contextlib.suppress(OSError):  # how Linux ends it
        while piece := os.read(terminal, 10_000):
            written += piece
    return written
