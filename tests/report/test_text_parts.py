"""Tests of leeward.report.text_parts."""

from builders import board, part, parts_of
from leeward.known import NotAssessed
from leeward.report.screen import screen
from leeward.report.text_parts import parts_text


def test_parts_are_grouped_by_lead_style_with_the_unsure_first() -> None:
    """R10, of whose height nothing is sure, stands before R2; groups carry their counts."""
    parts = parts_of(part("R2", lead_style="end-cap"), part("R10", lead_style="end-cap", sure="low"), part("U1"))
    lines = screen("x.txt").text(parts_text(board(), parts)).splitlines()
    assert lines[0] == "lamp.kicad_pcb: 3 parts with pads, 1 of them unsure (marked ?), 0 not assessed; solder SAC305"
    group = lines.index("end-cap (2, 1 unsure)")
    assert [line.split()[0] for line in lines[group + 2 : group + 4]] == ["R10", "R2"]
    assert lines.index("gull-wing (1)") > group


def test_a_value_shows_its_doubt_and_its_source() -> None:
    """A guessed height and limit carry a question mark, and the row says where they come from."""
    text = screen("x.txt").text(parts_text(board(), parts_of(part("U1", sure="low"))))
    row = next(line for line in text.splitlines() if line.startswith("U1"))
    assert "1.50?" in row
    assert "245?" in row
    assert "invented table" in row


def test_what_is_not_assessed_is_printed() -> None:
    """Nothing vanishes: the part, the reason and the id stand in a list of their own."""
    parts = parts_of(part("U1"), not_assessed=(NotAssessed("id-H1", "H1", "mounting hole"),))
    text = screen("x.txt").text(parts_text(board(), parts))
    assert "Not assessed (1)\nPart  Why            Id\nH1    mounting hole  id-H1\n" in text


def test_a_board_without_parts_is_one_line() -> None:
    """With no part there is no table and no legend."""
    assert screen("x.txt").text(parts_text(board(), parts_of())).count("\n") == 1
