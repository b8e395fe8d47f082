"""Find the table in a log: the delimiter, the headings, the units under them, the rows, and what is neither."""

import csv
import re
from collections import Counter
from dataclasses import dataclass
from math import isfinite

from leeward.calibrate.cells import clock_s, figure, unit
from leeward.calibrate.lines import HEAD_LINES, TAKE_OUT, Lines
from leeward.errors import InputError, Place

DATE = re.compile(r"\d{1,4}[-./]\d{1,2}[-./]\d{1,4}")
DELIMITERS = ("\t", ";", ",", "|", " ")


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of cells, all of one width, with their line numbers; the headings over them and the units under these."""

    headings: tuple[str, ...]
    units: tuple[str, ...]  # "" where none is given
    rows: tuple[tuple[str, ...], ...]
    numbers: tuple[int, ...]
    junk: tuple[int, ...]  # lines after the headings that are no rows


def find_table(lines: Lines, path: str) -> Table:
    """Return the table of a log. Raises InputError where there are no rows of samples, or no headings over them."""
    head = [text for number, text in lines.text if number <= HEAD_LINES]
    if not any(text.strip() for text in head):
        raise InputError("the log is empty", do=TAKE_OUT, place=Place(path))
    delimiter, width = _delimiter(head, path)
    cells = [(number, _cells(text, delimiter)) for number, text in lines.text]
    first = next(i for i, (_, row) in enumerate(cells) if len(row) == width and is_sample(row))
    above = [row for _, row in cells[:first] if len(row) == width]
    units = tuple(unit(cell) for cell in above[-1]) if len(above) > 1 and _is_units(above[-1]) else ("",) * width
    headings = above[-2] if any(units) else above[-1] if above else None
    if headings is None:
        raise InputError(
            f"no header names the {width} columns",
            do="give each column a name on a line above the samples, and write numbers with a point",
            place=Place(path, cells[first][0]),
        )
    body = [(number, row) for number, row in cells[first:] if row != ("",)]
    rows = [(number, row) for number, row in body if len(row) == width and is_sample(row)]
    junk = tuple(number for number, row in body if not (len(row) == width and is_sample(row)))
    return Table(headings, units, tuple(row for _, row in rows), tuple(number for number, _ in rows), junk)


def is_sample(row: tuple[str, ...]) -> bool:
    """Return whether a row begins as a sample does: with a number, a clock time or a date."""
    first = row[0]
    return isfinite(figure(first)) or isfinite(clock_s(first)) or DATE.fullmatch(first) is not None


def _delimiter(head: list[str], path: str) -> tuple[str, int]:
    """Return the delimiter and the width that make the most samples of the first lines."""
    found = []
    for delimiter in DELIMITERS:
        rows = [_cells(text, delimiter) for text in head]
        widths = Counter(len(row) for row in rows if len(row) > 1 and is_sample(row))
        found += [(count * width, -DELIMITERS.index(delimiter), delimiter, width) for width, count in widths.items()]
    if not found:
        raise InputError(
            f"no rows of samples in the first {len(head)} lines",
            do="log a time and one column a thermocouple, with a delimiter between",
            place=Place(path),
        )
    _, _, delimiter, width = max(found)
    return delimiter, width


def _cells(text: str, delimiter: str) -> tuple[str, ...]:
    """Return a line's cells without blanks round them; one empty cell behind a last delimiter is none."""
    if delimiter == " ":
        return tuple(text.split()) or ("",)
    quoted = next(csv.reader([text], delimiter=delimiter), [""]) if '"' in text else text.split(delimiter)
    return tuple(cell.strip() for cell in quoted)


def _is_units(row: tuple[str, ...]) -> bool:
    return all(unit(cell) or not cell for cell in row) and any(row)
