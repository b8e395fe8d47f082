"""Tests of leeward.cli.streams."""

import pytest

from leeward.cli.streams import one_line, say_error
from leeward.errors import InputError, NothingAssessed, Place


def test_an_error_is_one_line_whatever_it_quotes() -> None:
    """Line breaks and control characters of a quoted name become blanks."""
    assert one_line("no part R1\n\x1b[31m here") == "no part R1 [31m here"


def test_an_error_begins_with_its_place(capsys: pytest.CaptureFixture[str]) -> None:
    """With a place the line is FILE:LINE: what; do, without one it begins with the program."""
    say_error(InputError("not a board", do="give one", place=Place("a.kicad_pcb", 7)))
    say_error(NothingAssessed("no part U9", do="see U1"))
    assert capsys.readouterr().err == "a.kicad_pcb:7: not a board; give one\nleeward: no part U9; see U1\n"
