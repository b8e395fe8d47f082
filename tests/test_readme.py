"""The README says what the program does."""

import re
from pathlib import Path

import pytest

from leeward.cli.exit_codes import ExitCode
from leeward.cli.main import run
from leeward.constants import table
from leeward.survey.waivers import parse_waivers

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


def test_the_waiver_shown_is_read() -> None:
    """The waiver file in the README is one, and accepts a kind of finding that there is."""
    shown = README.split("```\n[[waiver]]")[1].split("```")[0]
    (waiver,) = parse_waivers(f"[[waiver]]{shown}", "README.md")
    assert (waiver.rule, waiver.parts) == ("fragile-in-many-zones", ("J3",))


def test_every_option_of_the_survey_is_one(capsys: pytest.CaptureFixture[str]) -> None:
    """What the section for layout engineers gives to `leeward survey` is in its help."""
    section = README.split("## For layout engineers")[1].split("\n## ")[0]
    assert run(["survey", "-h"]) == ExitCode.DONE
    told = capsys.readouterr().out
    options = set(re.findall(r"--[a-z][a-z-]+", section))
    assert len(options) > 8
    assert [option for option in sorted(options) if option not in told] == []
