"""Tests of leeward.report.columns."""

import pytest
from rich.cells import cell_len

from leeward.report.columns import Column, Rows, long, plain_lines, window_lines, words

ROWS = Rows(
    columns=(words("Part"), Column("Gap", "mm"), long("Why")),
    cells=(("U1", "1.2", "body may pass its limit of 260 C, north of the target"), ("抵抗", "10.0", "-")),
    styles=("bold red", ""),
    more="and 3 more",
)


def test_a_pipe_gets_one_line_for_each_row() -> None:
    """Headings carry their units, figures end in line, words of two cells a sign are measured as such."""
    assert [line.plain for line in plain_lines(ROWS)] == [
        "Part  Gap [mm]  Why",
        "U1         1.2  body may pass its limit of 260 C, north of the target",
        "抵抗      10.0  -",
        "and 3 more",
    ]


@pytest.mark.parametrize("width", [30, 40, 60])
def test_a_narrow_window_gets_long_words_on_their_own_lines(width: int) -> None:
    """No line is wider than the window, no word is lost, and an empty cell makes no line."""
    lines = [line.plain for line in window_lines(ROWS, width)]
    assert max(cell_len(line) for line in lines) <= width
    assert " ".join(" ".join(lines[3:-2]).split()) == "why: body may pass its limit of 260 C, north of the target"
    assert lines[-2:] == ["抵抗  10.0", "and 3 more"]


def test_a_wide_window_gets_whole_rows() -> None:
    """Where a row has room, it stays on one line."""
    assert "U1     1.2  body may pass its limit of 260 C, north of the target" in [
        line.plain for line in window_lines(ROWS, 120)
    ]


def test_colour_lies_on_the_first_cell_only() -> None:
    """The style of a row covers the word that says the same."""
    spans = window_lines(ROWS, 120)[2].spans
    assert [(span.start, span.end, span.style) for span in spans] == [(0, 2, "bold red")]


def test_an_empty_table_has_headings_only() -> None:
    """A table without rows is drawn as its headings, in a window and in a pipe."""
    empty = Rows((words("Part"), long("Why")), ())
    assert [line.plain for line in plain_lines(empty)] == ["Part  Why"]
    assert [line.plain for line in window_lines(empty, 5)] == ["Part"]
