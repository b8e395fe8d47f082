"""Tests of leeward.cli.group."""

import click
import pytest

from leeward.cli.group import COMMANDS
from leeward.cli.main import leeward, run


def test_every_command_is_listed_and_found() -> None:
    """Shell completion sees all commands, each is made by the module of its name, and no other name is one."""
    context = click.Context(leeward)
    assert leeward.list_commands(context) == list(COMMANDS)
    assert [getattr(leeward.get_command(context, name), "name", None) for name in COMMANDS] == list(COMMANDS)
    assert leeward.get_command(context, "main") is None


@pytest.mark.parametrize("name", list(COMMANDS))
def test_each_command_shows_two_examples(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    """The help of a command begins, under its usage line, with two commands to copy."""
    assert run([name, "-h"]) == 0
    words = [line.split() for line in capsys.readouterr().out.splitlines() if line.strip()]
    assert [line[:2] for line in words[1:3]] == [["leeward", name]] * 2
