"""The errors that a user can meet, each with its exit code.

LeewardError
  UsageError            2   the command's words are off, or a reference is ambiguous
  InputError            3   a board, bench, parts, waiver, run or log file is unreadable or unsupported
  OutputError           4   the result cannot be written
  NothingAssessed      10   no such reference, nothing to solder
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Place:
    """Where in a file something was found: a path as the user gave it, a line from 1 where known."""

    file: str
    line: int | None = None

    def __str__(self) -> str:
        return self.file if self.line is None else f"{self.file}:{self.line}"


class LeewardError(Exception):
    """What went wrong, where, and what to do about it, in one line."""

    exit_code = 70

    def __init__(self, what: str, *, do: str, place: Place | None = None) -> None:
        super().__init__(what)
        self.what = what
        self.do = do
        self.place = place

    def __str__(self) -> str:
        where = "" if self.place is None else f"{self.place}: "
        return f"{where}{self.what}; {self.do}"


class UsageError(LeewardError):
    """The command cannot be carried out as worded."""

    exit_code = 2


class InputError(LeewardError):
    """A file that was read cannot be understood."""

    exit_code = 3


class OutputError(LeewardError):
    """The result cannot be written."""

    exit_code = 4


class NothingAssessed(LeewardError):
    """There is nothing to judge: no such reference, or nothing to solder."""

    exit_code = 10
