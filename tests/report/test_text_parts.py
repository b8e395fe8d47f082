"""Tests of leeward.report.text_parts."""

from dataclasses import replace

import shapely

from builders import board, footprint, part, parts_of
from leeward.known import Known, NotAssessed
from leeward.parts.records import Msl
from leeward.parts.unsure import only_unsure
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


def test_groups_with_something_unsure_come_first() -> None:
    """The gull-wings, one of them guessed, stand before the end caps; the rest keeps the order of the alphabet."""
    sure = part("R1", lead_style="end-cap"), part("C1", lead_style="can")
    lines = screen("x.txt").text(parts_text(board(), parts_of(*sure, part("U1", sure="low")))).splitlines()
    heads = [line for line in lines if line.endswith(("(1)", "(1, 1 unsure)"))]
    assert heads == ["gull-wing (1, 1 unsure)", "can (1)", "end-cap (1)"]


def test_moisture_and_cans_are_shown_where_they_are_known() -> None:
    """A level with its floor life and the can over a part have columns; a group without them has not."""
    level: Known[Msl] = Known("3", "field MSL of the footprint", "high")
    wet = replace(part("U1"), msl=level, floor_life="late", under="id-SH1")
    drawn = replace(board(), footprints=tuple(footprint(ref, 20, 20) for ref in ("SH1", "U1", "R1")))
    parts = parts_of(wet, part("R1", lead_style="end-cap"), part("SH1", lead_style="hardware"))
    text = screen("x.txt").text(parts_text(drawn, parts))
    lines = text.splitlines()
    gull_wings, end_caps = (lines.index(title) for title in ("gull-wing (1)", "end-cap (1)"))
    assert "MSL" in lines[gull_wings + 1]
    assert "3, over 72 h past floor life  SH1" in lines[gull_wings + 2]
    assert "MSL" not in lines[end_caps + 1]
    assert "is given for 1 of 3 parts" in text
    only = only_unsure(parts_of(replace(wet, height_mm=Known(1.0, "guess", "low"))))
    assert "SH1" in screen("x.txt").text(parts_text(drawn, only))


def test_lands_alone_have_no_figures() -> None:
    """Where no body stands, size, height, mass and limit are dashes."""
    bare = replace(part("TP1"), body=shapely.Polygon())
    lines = screen("x.txt").text(parts_text(board(), parts_of(bare))).splitlines()
    row = next(line for line in lines if line.startswith("TP1"))
    assert row.split()[-1] == "-"
    assert row.count(" - ") >= 4
