"""Tests of leeward.cli.main: exit codes, help, and errors in one line each."""

import json
import subprocess
import sys
from pathlib import Path

import pytest

from cli.boards import resistor, transistor, write_board
from leeward.cli import main as module
from leeward.cli.exit_codes import MEANINGS, ExitCode
from leeward.cli.main import run


@pytest.mark.parametrize("flag", ["-h", "--help"])
def test_help_begins_with_two_examples_and_lists_the_exit_codes(flag: str, capsys: pytest.CaptureFixture[str]) -> None:
    """The first words under the usage line are two commands, and every exit code is explained."""
    assert run([flag]) == ExitCode.DONE
    told = capsys.readouterr().out
    words = [line.strip() for line in told.splitlines() if line.strip()]
    assert [line.split()[:2] for line in words[1:3]] == [["leeward", "review"], ["leeward", "parts"]]
    for code, meaning in MEANINGS.items():
        assert f"{code.value}  {meaning}" in told


def test_version_names_tool_python_and_files(capsys: pytest.CaptureFixture[str]) -> None:
    """--version tells the three versions that a fault report needs."""
    assert run(["--version"]) == ExitCode.DONE
    lines = capsys.readouterr().out.splitlines()
    assert [line.split()[0] for line in lines] == ["leeward", "Python", "reads"]


def test_no_arguments_is_a_usage_error_with_short_help(capsys: pytest.CaptureFixture[str]) -> None:
    """Without arguments the commands are listed on standard error, and nothing is on standard output."""
    assert run([]) == ExitCode.USAGE
    captured = capsys.readouterr()
    assert captured.out == ""
    for name in ("parts", "review", "bench", "schema"):
        assert f"\n  {name} " in captured.err


@pytest.mark.parametrize(
    "arguments",
    [
        ["frobnicate"],
        ["--frobnicate"],
        ["parts"],
        ["parts", "{board}", "--alloy", "tin"],
        ["parts", "{board}", "--format", "pdf"],
        ["parts", "{board}", "-o", "out.docx"],
        ["parts", "{board}", "--format", "text", "-o", "out.json"],
        ["parts", "{board}", "-o", "{board}", "--format", "json"],
        ["parts", "{board}", "extra"],
        ["schema", "nonsense"],
        ["review", "{board}"],
        ["review", "{board}", "Q1", "--standoff", "-1"],
        ["review", "{board}", "Q1", "--standoff", "nan"],
        ["review", "{board}", "Q1", "--standoff", "0"],
        ["review", "{board}", "Q1", "--rotation", "inf"],
        ["review", "{board}", "Q1", "--rotation", "north"],
        ["review", "{board}", "Q1", "--air", "nan"],
        ["review", "{board}", "Q1", "--air", "5"],
        ["review", "{board}", "Q1", "--flow", "1e9"],
        ["review", "{board}", "Q1", "--board-heater", "-20"],
        ["review", "{board}", "Q1", "--stage", "reflow=abc"],
        ["review", "{board}", "Q1", "--stage", "reflow=0"],
        ["review", "{board}", "Q1", "--stage", "reflow"],
        ["review", "{board}", "Q1", "--stage", "roast=10"],
        ["review", "{board}", "Q1", "--stage", "soak=-1"],
        ["review", "{board}", "Q1", "--stage", "soak=10", "--stage", "soak=20"],
        ["review", "{board}", "Q1", "--cycles", "X"],
        ["review", "{board}", "Q1", "--cycles", "Q1=1.5"],
        ["review", "{board}", "Q1", "--cycles", "Q1=-1"],
        ["review", "{board}", "Q1", "--cycles", "R1=2"],
        ["review", "{board}", "Q1", "--fail-on", "severe"],
        ["review", "{board}", "Q1", "--nozzle", "none-such"],
        ["review", "{board}", "R1"],
    ],
)
def test_nonsense_is_a_usage_error_in_one_line(
    arguments: list[str], tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Each exits with 2 and one line on standard error, writes no file, and leaves standard output empty."""
    monkeypatch.chdir(tmp_path)
    board = write_board(tmp_path, transistor(), resistor(), resistor("R1", 123.0).replace("0000-4000", "0001-4000"))
    before = Path(board).read_bytes()
    assert run([word.format(board=board) for word in arguments]) == ExitCode.USAGE
    captured = capsys.readouterr()
    assert captured.out == ""
    assert captured.err.count("\n") == 1
    assert captured.err.startswith("leeward: ")
    assert Path(board).read_bytes() == before
    assert [path.name for path in tmp_path.iterdir()] == ["lamp.kicad_pcb"]


def test_an_ambiguous_reference_lists_the_choices(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Two parts called R1 are told apart by their ids."""
    board = write_board(tmp_path, resistor(), resistor("R1", 123.0).replace("0000-4000", "0001-4000"))
    assert run(["review", board, "R1"]) == ExitCode.USAGE
    assert capsys.readouterr().err.count("-8000-") == 2


@pytest.mark.parametrize(
    ("name", "text"),
    [
        ("none.kicad_pcb", None),
        ("cut.kicad_pcb", "(kicad_pcb (version 20240108)"),
        ("other.kicad_pcb", "(kicad_sch (version 20240108))"),
        ("empty.kicad_pcb", ""),
    ],
)
@pytest.mark.parametrize("command", [["parts"], ["review", "Q1"]])
def test_a_board_that_cannot_be_read_is_told_with_its_place(
    command: list[str], name: str, text: str | None, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """An unreadable board exits with 3 and one line that begins with the file."""
    path = tmp_path / name
    if text is not None:
        path.write_text(text, encoding="utf-8")
    assert run([command[0], str(path), *command[1:], "--format", "json"]) == ExitCode.INPUT
    captured = capsys.readouterr()
    assert captured.out == ""
    assert captured.err.count("\n") == 1
    assert captured.err.startswith(str(path))


@pytest.mark.parametrize("option", ["--parts", "--bench"])
def test_a_side_file_that_cannot_be_read_is_told(
    option: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Missing and broken parts and bench files exit with 3 and one line that begins with the file."""
    board = write_board(tmp_path, transistor())
    (tmp_path / "broken.toml").write_text("= 3\n", encoding="utf-8")
    for name in ("broken.toml", "missing.toml"):
        assert run(["review", board, "Q1", option, str(tmp_path / name)]) == ExitCode.INPUT
        captured = capsys.readouterr()
        assert captured.err.count("\n") == 1
        assert captured.err.startswith(str(tmp_path / name))


@pytest.mark.parametrize("output", ["no/folder/out.json", "folder.json"])
def test_output_that_cannot_be_written_is_told(output: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A missing folder and a folder in the file's place exit with 4."""
    board = write_board(tmp_path, transistor())
    (tmp_path / "folder.json").mkdir()
    assert run(["parts", board, "-o", str(tmp_path / output)]) == ExitCode.OUTPUT
    captured = capsys.readouterr()
    assert captured.err.count("\n") == 1
    assert captured.err.startswith(str(tmp_path / output))


def test_a_fault_is_one_line_and_its_own_code(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """What was not foreseen exits with 70; with --debug the place in the program follows."""
    monkeypatch.setattr("leeward.cli.inputs.identify", lambda *_: 1 / 0)
    board = write_board(tmp_path, transistor())
    assert run(["parts", board]) == ExitCode.FAULT
    told = capsys.readouterr().err
    assert told.startswith("a fault in leeward: ZeroDivisionError: division by zero")
    assert told.count("\n") == 1
    assert run(["--debug", "parts", board]) == ExitCode.FAULT
    assert "Traceback" in capsys.readouterr().err


def test_an_interruption_has_its_own_code(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C exits with 130."""

    def interrupt(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("leeward.cli.inputs.identify", interrupt)
    assert run(["parts", write_board(tmp_path, transistor())]) == ExitCode.INTERRUPTED


def test_main_ends_the_program_with_the_code(monkeypatch: pytest.MonkeyPatch) -> None:
    """The program's exit code is the command's."""
    monkeypatch.setattr(module, "use_utf8", lambda: None)
    with pytest.raises(SystemExit) as ended:
        module.main(["frobnicate"])
    assert ended.value.code == ExitCode.USAGE


def leeward(*arguments: str, **settings: object) -> "subprocess.CompletedProcess[bytes]":
    """Run the program as a user does."""
    command = [sys.executable, "-m", "leeward", *arguments]
    return subprocess.run(command, capture_output=True, check=False, **settings)  # type: ignore[call-overload, no-any-return]  # settings are passed on


def test_a_quick_answer_imports_nothing_heavy() -> None:
    """--version loads neither the solver's nor the drawing libraries."""
    heavy = ("scipy", "rich", "ezdxf", "reportlab", "shapely", "pydantic", "networkx", "kiutils")
    code = (
        "import sys; from leeward.cli.main import run; run(['--version']); "
        f"sys.exit(','.join(name for name in {heavy!r} if name in sys.modules) or 0)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, check=False)
    assert (done.returncode, done.stderr) == (0, b"")


def test_output_is_utf8_in_the_c_locale(tmp_path: Path) -> None:
    """A value of ohms survives a locale that knows ASCII only, as text and as JSON."""
    board = write_board(tmp_path, resistor().replace("10k", "10 kΩ"))
    settings = {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0", "PYTHONPATH": ":".join(sys.path)}
    for form in ("text", "json"):
        done = leeward("parts", board, "--format", form, env=settings)
        assert done.returncode == 0
        assert "10 kΩ" in done.stdout.decode("utf-8")


def test_a_reader_that_leaves_is_no_fault(tmp_path: Path) -> None:
    """`leeward parts ... | head -1` is quiet and keeps the command's own exit code."""
    board = write_board(tmp_path, *(resistor(f"R{i}", 101 + i / 20) for i in range(400)))
    for form in ("text", "json"):
        script = f'"$0" -m leeward parts "$1" --format {form} | head -n 1; exit "${{PIPESTATUS[0]}}"'
        done = subprocess.run(["bash", "-c", script, sys.executable, board], capture_output=True, check=False)
        assert (done.returncode, done.stderr) == (0, b"")
        assert done.stdout.count(b"\n") == 1


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="needs /dev/full, a device of Linux")
def test_a_full_disk_is_an_output_error(tmp_path: Path) -> None:
    """Standard output that takes nothing exits with 4 and one line."""
    board = write_board(tmp_path, resistor())
    script = '"$0" -m leeward parts "$1" > /dev/full'
    done = subprocess.run(["bash", "-c", script, sys.executable, board], capture_output=True, check=False)
    assert done.returncode == ExitCode.OUTPUT
    assert done.stderr.count(b"\n") == 1


def test_the_program_answers_json_that_a_pipe_can_read(tmp_path: Path) -> None:
    """Standard output holds the document and nothing else, even where there are warnings."""
    done = leeward("parts", write_board(tmp_path, resistor()), "--format", "json")
    assert json.loads(done.stdout)["parts"][0]["ref"] == "R1"
