"""The README says what the program does."""

import re
from pathlib import Path

import pytest

from leeward.cli.exit_codes import ExitCode
from leeward.cli.main import run
from leeward.constants import table

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_the_pasted_output_is_what_the_first_command_prints(
    capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Every line of the pasted output stands in what the command prints, and in that order."""
    monkeypatch.chdir(ROOT)
    command = re.search(r"\.venv/bin/leeward (review .*)", README)
    assert command is not None
    assert run(command.group(1).split()) == ExitCode.DONE
    printed = iter([line.rstrip() for line in capsys.readouterr().out.splitlines()])
    pasted = README.split("<!-- output of the first command -->\n```\n")[1].split("\n```")[0]
    missing = [line for line in pasted.splitlines() if line != "..." and line not in printed]
    assert not missing


def test_the_matrix_is_the_one_in_use() -> None:
    """The criticality matrix in the README is the data file's, entry by entry."""
    ranking = table("ranking")
    for severity in ranking["severities"]:
        assert f"| {severity} | {' | '.join(ranking['matrix'][severity])} |" in README
    bounds = [f"{round(least * 100)} %" for least in ranking["at_least"] if least]
    assert all(bound in README for bound in bounds)


def test_every_exit_code_is_told() -> None:
    """The README's table of exit codes has a row for each code there is, and no other."""
    rows = {int(code) for code in re.findall(r"^\| (\d+) \|", README, flags=re.MULTILINE)}
    assert rows == {int(code) for code in ExitCode}
