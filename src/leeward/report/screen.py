"""The terminal, or the plain text that stands in for one.

On a terminal: lines no wider than the window, colour as a second signal, off with NO_COLOR. In a pipe or a file:
no colour, one row of a table on one line, columns apart by two blanks or more.
"""

import io
import sys
import textwrap
from collections.abc import Iterable
from dataclasses import dataclass
from typing import TypeAlias

from rich.console import Console
from rich.text import Text

from leeward.report.columns import READABLE, Rows, plain_lines, window_lines
from leeward.report.wording import clean
from leeward.report.write import STDOUT

UNBOUNDED = 100_000  # so wide that rich breaks no line of a pipe


@dataclass(frozen=True, slots=True)
class Title:
    """The heading of a section."""

    text: str


@dataclass(frozen=True, slots=True)
class Line:
    """A paragraph; with a mark before it (a number, a dash) it hangs under that mark."""

    text: str
    style: str = ""
    mark: str = ""


Block: TypeAlias = Rows | Title | Line


@dataclass(frozen=True, slots=True)
class Screen:
    """Where text is shown."""

    console: Console
    plain: bool

    def text(self, blocks: Iterable[Block]) -> str:
        """Return blocks as text that ends in a line break."""
        with self.console.capture() as captured:
            for line in (line for block in blocks for line in self._lines(block)):
                self.console.print(line, soft_wrap=True)
        return captured.get().strip("\n") + "\n"

    def _lines(self, block: Block) -> list[Text]:
        if isinstance(block, Title):
            return [Text(), Text(clean(block.text), style="bold")]
        if isinstance(block, Line):
            return self._paragraph(block)
        rows = Rows(block.columns, [[clean(cell) for cell in cells] for cells in block.cells], block.styles, block.more)
        return plain_lines(rows) if self.plain else window_lines(rows, self.console.width)

    def _paragraph(self, line: Line) -> list[Text]:
        first = f"{clean(line.mark)} " if line.mark else ""
        width = READABLE if self.plain else min(self.console.width, READABLE)
        lines = textwrap.wrap(clean(line.text), width, initial_indent=first, subsequent_indent=" " * len(first))
        return [Text(each, style=line.style) for each in lines]


def screen(output: str | None) -> Screen:
    """Return the screen for a result: standard output, or a file."""
    if output is not None and output != STDOUT:
        return Screen(_console(UNBOUNDED, terminal=False), plain=True)
    on_terminal = sys.stdout is not None and sys.stdout.isatty()
    # Left open, rich still honours FORCE_COLOR in a pipe.
    return Screen(_console(None if on_terminal else UNBOUNDED, terminal=on_terminal or None), plain=not on_terminal)


def _console(width: int | None, *, terminal: bool | None) -> Console:
    """Return a console that draws into memory: what goes wrong in writing is told where the result is written."""
    return Console(file=io.StringIO(), width=width, force_terminal=terminal, markup=False, highlight=False, emoji=False)
