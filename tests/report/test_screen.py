"""Tests of leeward.report.screen."""

import io
import sys

import pytest

from leeward.report.columns import Rows, words
from leeward.report.screen import Line, Title, screen
from leeward.report.wording import clean

ESCAPE = "\x1b"


class Window(io.StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        """Return True."""
        return True


def open_window(monkeypatch: pytest.MonkeyPatch) -> None:
    """Stand a terminal of 60 columns in for standard output; within a test, for pytest puts its own between phases."""
    for name in ("NO_COLOR", "FORCE_COLOR", "TTY_COMPATIBLE"):
        monkeypatch.delenv(name, raising=False)
    monkeypatch.setenv("TERM", "xterm-256color")
    monkeypatch.setenv("COLUMNS", "60")
    monkeypatch.setattr(sys, "stdout", Window())


ROWS = Rows((words("Priority"), words("Part")), (("HIGH", "U1"),), ("red",))


def test_a_terminal_gets_colour(monkeypatch: pytest.MonkeyPatch) -> None:
    """On a terminal the priority is red, and the word stands there as well."""
    open_window(monkeypatch)
    text = screen(None).text([ROWS])
    assert f"{ESCAPE}[31mHIGH" in text


def test_no_color_is_honoured(monkeypatch: pytest.MonkeyPatch) -> None:
    """With NO_COLOR no colour is sent (https://no-color.org), and the words are the same."""
    open_window(monkeypatch)
    monkeypatch.setenv("NO_COLOR", "1")
    text = screen(None).text([ROWS])
    assert f"{ESCAPE}[31m" not in text
    assert "HIGH      U1" in text


def test_a_window_breaks_paragraphs_at_its_width(monkeypatch: pytest.MonkeyPatch) -> None:
    """A paragraph hangs under its mark and is no wider than the window."""
    open_window(monkeypatch)
    lines = screen(None).text([Line("word " * 30, mark="12.")]).splitlines()
    assert len(lines) > 2
    assert max(map(len, lines)) <= 60
    assert lines[0].startswith("12. word")
    assert lines[1].startswith("    word")


def test_a_file_gets_plain_text_even_from_a_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    """With -o FILE there is neither colour nor a window's width."""
    open_window(monkeypatch)
    assert screen("report.txt").text([Title("Setup"), ROWS]) == "Setup\nPriority  Part\nHIGH      U1\n"


def test_a_pipe_gets_plain_text(monkeypatch: pytest.MonkeyPatch) -> None:
    """A stream that is no terminal gets no escape sequence."""
    monkeypatch.delenv("FORCE_COLOR", raising=False)
    monkeypatch.setattr(sys, "stdout", io.StringIO())
    assert ESCAPE not in screen(None).text([Title("Setup"), ROWS])


def test_a_name_cannot_steer_the_terminal() -> None:
    """Control characters from a board file are replaced; markup is text like any other."""
    assert clean("R1\x1b[2J\n") == "R1\N{REPLACEMENT CHARACTER}[2J\N{REPLACEMENT CHARACTER}"
    assert "[red]R1[/red]" in screen("x.txt").text([Line("[red]R1[/red]")])
