"""The streams: UTF-8 whatever the locale, and everything but the result on standard error, one line each."""

import io
import sys

from leeward.errors import LeewardError


def use_utf8() -> None:
    """Make both streams write UTF-8; what UTF-8 cannot hold is written with backslashes."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            stream.reconfigure(encoding="utf-8", errors="backslashreplace")


def say(line: str) -> None:
    """Write one line to standard error."""
    if sys.stderr is not None:
        sys.stderr.write(one_line(line) + "\n")


def say_text(text: str) -> None:
    """Write a text of several lines to standard error."""
    if sys.stderr is not None:
        sys.stderr.write(text)


def say_error(error: LeewardError) -> None:
    """Write an expected error as `FILE:LINE: what, and what to do`."""
    say(str(error) if error.place is not None else f"leeward: {error}")


def say_notes(file: str, notes: tuple[str, ...]) -> None:
    """Write what was guessed, dropped or not understood about a board as warnings."""
    for note in notes:
        say(f"{file}: warning: {note}")


def one_line(text: str) -> str:
    """Return a text without line breaks and control characters, which names in a board file may hold."""
    return " ".join("".join(sign if sign.isprintable() else " " for sign in text).split())
