"""Tables as lines: figures in columns, long words in columns too where there is room, else on a line of their own."""

import textwrap
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from rich.cells import cell_len
from rich.text import Text

READABLE = 110  # running text is no wider, whatever the window
INDENT = "    "
EMPTY = ("", "-")


@dataclass(frozen=True, slots=True)
class Column:
    """One column: heading, unit, alignment, and whether its cells are words that may go on a line of their own."""

    heading: str
    unit: str = ""
    align: Literal["left", "right"] = "right"
    long: bool = False


@dataclass(frozen=True, slots=True)
class Rows:
    """A table. `styles` colour the first cell of each row; `more` says what was cut off."""

    columns: Sequence[Column]
    cells: Sequence[Sequence[str]]
    styles: Sequence[str] = ()
    more: str = ""


def words(heading: str) -> Column:
    """Return a column of short words."""
    return Column(heading, align="left")


def long(heading: str) -> Column:
    """Return a column of long words."""
    return Column(heading, align="left", long=True)


def plain_lines(rows: Rows) -> list[Text]:
    """Return a table for a pipe: a line of headings, then one line for each row."""
    return [*_table(rows, range(len(rows.columns)), "  ", head_lines=1), *_more(rows)]


def window_lines(rows: Rows, width: int) -> list[Text]:
    """Return a table for a window: long words on a line of their own where the row would be wider than the window."""
    everything = range(len(rows.columns))
    if _width(rows, everything, "  ") <= width:
        return [*_table(rows, everything, "  ", head_lines=2), *_more(rows)]
    short = [i for i, column in enumerate(rows.columns) if not column.long]
    gap = "  " if _width(rows, short, "  ") <= width else " "
    table = _table(rows, short, gap, head_lines=2)
    heads, body = table[: -len(rows.cells) or None], table[-len(rows.cells) :] if rows.cells else []
    noted = [line for line, cells in zip(body, rows.cells, strict=True) for line in (line, *_note(rows, cells, width))]
    return [*heads, *noted, *_more(rows)]


def _table(rows: Rows, kept: Sequence[int], gap: str, *, head_lines: int) -> list[Text]:
    heads = _heads(rows, kept, head_lines)
    widths = _widths(rows, kept, head_lines)
    aligned = [rows.columns[i].align for i in kept]
    lines = [Text(_joined(head, widths, aligned, gap), style="bold") for head in heads]
    styles = rows.styles or [""] * len(rows.cells)
    for cells, style in zip(rows.cells, styles, strict=True):
        line = Text(_joined([cells[i] for i in kept], widths, aligned, gap))
        line.stylize(style, 0, len(cells[kept[0]]))
        lines.append(line)
    return lines


def _heads(rows: Rows, kept: Sequence[int], lines: int) -> list[list[str]]:
    columns = [rows.columns[i] for i in kept]
    units = [f"[{column.unit}]" if column.unit else "" for column in columns]
    if lines == 1:
        return [[f"{column.heading} {unit}".rstrip() for column, unit in zip(columns, units, strict=True)]]
    headings = [column.heading for column in columns]
    return [headings, units] if any(units) else [headings]


def _widths(rows: Rows, kept: Sequence[int], head_lines: int) -> list[int]:
    texts = [*_heads(rows, kept, head_lines), *([cells[i] for i in kept] for cells in rows.cells)]
    return [max(cell_len(text) for text in column) for column in zip(*texts, strict=True)]


def _width(rows: Rows, kept: Sequence[int], gap: str) -> int:
    return sum(_widths(rows, kept, head_lines=2)) + len(gap) * (len(kept) - 1)


def _joined(cells: Sequence[str], widths: Sequence[int], aligned: Sequence[str], gap: str) -> str:
    padded = [
        " " * (width - cell_len(cell)) + cell if align == "right" else cell + " " * (width - cell_len(cell))
        for cell, width, align in zip(cells, widths, aligned, strict=True)
    ]
    return gap.join(padded).rstrip()


def _note(rows: Rows, cells: Sequence[str], width: int) -> list[Text]:
    told = [
        f"{column.heading.lower()}: {cell}"
        for column, cell in zip(rows.columns, cells, strict=True)
        if column.long and cell not in EMPTY
    ]
    lines = textwrap.wrap("; ".join(told), min(width, READABLE), initial_indent=INDENT, subsequent_indent=INDENT)
    return [Text(line) for line in lines]


def _more(rows: Rows) -> list[Text]:
    return [Text(rows.more)] if rows.more else []
