"""Closing lines to areas, and the board's outline."""

from itertools import pairwise
from math import cos, pi, sin

import numpy as np
import pytest
import shapely

from leeward.board.edge import outline
from leeward.board.graphics import Graphic, graphic
from leeward.board.outlines import GAP_MM, area_of, box, courtyard, enclosed, rings
from leeward.board.sexpr import parse


def line(*points: tuple[float, float]) -> Graphic:
    """Return an open run of lines."""
    return Graphic("Edge.Cuts", np.array(points, dtype=float), closed=False, filled=False, width_mm=0.1)


def square(left: float, top: float, side: float, gap: float = 0.0) -> list[Graphic]:
    """Return four lines round a square, shuffled and partly backwards, with a gap at one corner."""
    right, bottom = left + side, top + side
    return [
        line((right, bottom), (left, bottom)),
        line((left, top), (right, top)),
        line((left, bottom), (left, top + gap)),
        line((right, bottom), (right, top)),
    ]


def test_lines_in_any_order_close() -> None:
    """Four lines in any order and direction make one ring of their area."""
    found, open_runs = rings(square(0, 0, 10))
    assert (len(found), open_runs) == (1, 0)
    assert area_of(found).area == pytest.approx(100)


@pytest.mark.parametrize(("gap", "closes"), [(0.9 * GAP_MM, True), (1.5 * GAP_MM, False)])
def test_small_gaps_are_closed_and_large_ones_told(gap: float, closes: bool) -> None:
    """Ends that nearly meet are joined; those that do not stay open and are counted."""
    found, open_runs = rings(square(0, 0, 10, gap))
    assert (len(found), open_runs) == ((1, 0) if closes else (0, 1))
    assert (courtyard(square(0, 0, 10, gap)) is not None) == closes


def test_thousands_of_ends_in_one_place_are_joined_soon() -> None:
    """Lines that all begin in one point are joined in the order they are drawn, at no more than a few visits an end."""
    rays = [line((0, 0), (500 * cos(turn), 500 * sin(turn))) for turn in np.linspace(0, 6.2, 20_000)]
    assert rings(rays) == ([], 10_000)  # some 90 s if each end were held against all others
    again = [line(*corners) for corners in pairwise([(0, 0), (9, 0), (9, 9), (0, 9), (0, 0)])] * 5_000
    found, left_open = rings(again)
    assert (len(found), left_open) == (5_000, 0)
    assert np.array_equal(found[-1], found[0])


def test_the_nearest_end_is_joined_and_of_several_the_first_drawn() -> None:
    """Of ends within the gap the nearest continues a run, of ends in the same place that of the line drawn first."""
    first, near, same = line((0, 0), (9, 0)), line((9.01, 0), (9, 9)), line((9, 0), (0, 9))
    (found,), left_open = rings([first, near, same, line((0, 9), (0, 0))])
    assert left_open == 1
    assert found.tolist() == [[0, 0], [9, 0], [0, 9]]


def test_rings_inside_rings_are_holes() -> None:
    """A ring in a ring is a hole, a ring in the hole is land, and rings side by side add up."""
    drawn = [*square(0, 0, 10), *square(1, 1, 8), *square(2, 2, 2), *square(20, 0, 3)]
    found, _ = rings(drawn)
    assert area_of(found).area == pytest.approx(100 - 64 + 4 + 9)


def test_an_outline_with_a_round_hole() -> None:
    """A circle on the edge layer is cut out of the board."""
    hole = graphic(parse("(gr_circle (center 5 5) (end 7 5) (layer Edge.Cuts) (width 0.1))", "f"))
    area, source, notes = outline([*square(0, 0, 10), hole], [])
    assert area.area == pytest.approx(100 - pi * 4, rel=1e-4)
    assert (source, notes) == ("Edge.Cuts", [])


def test_no_outline_and_nothing_on_the_board() -> None:
    """Without edge and content the board is empty, and a note says what stood in."""
    area, source, notes = outline([], [])
    assert area.is_empty
    assert source == "box round everything"
    assert len(notes) == 1


def test_open_lines_beside_a_closed_outline_are_told() -> None:
    """Stray lines on the edge layer do not spoil the outline and are counted in a note."""
    area, _, notes = outline([*square(0, 0, 10), line((20, 0), (30, 0))], [])
    assert area.area == pytest.approx(100)
    assert notes == ["1 run(s) of lines on Edge.Cuts do not close and were left out of the outline"]


def test_both_kinds_of_arc() -> None:
    """A half circle by centre and angle (up to KiCad 5) and by three points (from 6) cover the same."""
    old = graphic(parse("(gr_arc (start 0 0) (end 1 0) (angle 180) (layer Edge.Cuts) (width 0.1))", "f"))
    new = graphic(parse("(gr_arc (start 1 0) (mid 0 1) (end -1 0) (layer Edge.Cuts) (width 0.1))", "f"))
    for half in (old, new):
        found, open_runs = rings([half, line((-1, 0), (1, 0))])
        assert open_runs == 0
        assert area_of(found).area == pytest.approx(pi / 2, rel=2e-3)
        assert area_of(found).bounds == pytest.approx((-1, 0, 1, 1), abs=2e-3)


def test_a_fab_drawing_encloses_its_faces() -> None:
    """Lines that cross or stick out do not change the area inside; where nothing closes the hull stands in."""
    body = [*square(0, 0, 4), line((-1, 2), (0, 2)), line((0, 1), (1, 0))]
    inside = enclosed(body)
    assert inside is not None
    assert inside.area == pytest.approx(16)
    hull = enclosed([line((0, 0), (4, 0)), line((0, 2), (4, 2))])
    assert hull is not None
    assert hull.area == pytest.approx(8)
    assert enclosed([]) is None
    assert enclosed([line((0, 0), (4, 0))]) is None


def test_the_box_round_lines() -> None:
    """The box runs through the outermost middles of the lines."""
    found = box([line((0, 0), (4, 1)), line((2, -3), (2, 0))])
    assert found is not None
    assert found.equals(shapely.box(0, -3, 4, 1))
    assert box([]) is None


@pytest.mark.parametrize(
    ("text", "area"),
    [
        ("(gr_line (start 0 0) (end 3 0) (layer F.Cu) (width 1))", 3 + pi / 4),
        ("(gr_rect (start 0 0) (end 3 2) (layer F.Cu) (width 0) (fill solid))", 6),
        (
            "(gr_rect (start 0 0) (end 3 2) (layer F.Cu) (stroke (width 0.2) (type solid)) (fill no))",
            10 * 0.2 + 0.04 * (pi / 4 - 1),
        ),
        ("(gr_circle (center 0 0) (end 2 0) (layer F.Cu) (width 0.2) (fill none))", 2 * pi * 2 * 0.2),
        ("(gr_circle (center 0 0) (end 2 0) (layer F.Cu) (width 0))", pi * 4),
        ("(gr_poly (pts (xy 0 0) (xy 2 0) (xy 0 2)) (layer F.Cu) (width 0))", 2),
        ("(gr_curve (pts (xy 0 0) (xy 1 0) (xy 2 0) (xy 3 0)) (layer F.Cu) (width 1))", 3 + pi / 4),
    ],
)
def test_drawn_copper(text: str, area: float) -> None:
    """A drawn shape covers its line, and its inside where it is filled."""
    assert graphic(parse(text, "f")).area().area == pytest.approx(area, rel=3e-3)
