"""The strip below a drawing."""

import shapely

from leeward.report.drawing import Area, Drawing, Line, Words
from leeward.report.legend import BAR_MM, Entry, with_legend
from leeward.report.lettering import box_of

PLAIN = Drawing("a board", (0.0, 0.0, 60.0, 40.0), (), scale=2.0)


def test_the_bar_is_ten_millimetres_of_the_board() -> None:
    """Whatever the scale, the bar is as long as ten of the drawing's millimetres, and says so."""
    bar, words = with_legend(PLAIN, (), "seen from above").items
    assert isinstance(bar, Line)
    assert isinstance(words, Words)
    assert bar.points[2][0] - bar.points[1][0] == BAR_MM
    assert words.text == "10 mm, seen from above"


def test_the_strip_stands_below_and_takes_the_rows_that_it_needs() -> None:
    """The frame grows downwards only, by more for more entries; no words overlap or leave it."""
    few = with_legend(PLAIN, [Entry("board", "board")], "")
    many = with_legend(PLAIN, [Entry("board", f"a long word for entry {i}") for i in range(8)], "")
    assert few.frame_mm[:3] == many.frame_mm[:3] == PLAIN.frame_mm[:3]
    assert PLAIN.frame_mm[3] < few.frame_mm[3] < many.frame_mm[3]
    boxes = [shapely.box(*box_of(item)) for item in many.items if isinstance(item, Words)]
    assert all(shapely.box(*many.frame_mm).contains(box) for box in boxes)
    assert shapely.union_all(boxes).area == sum(box.area for box in boxes) or shapely.union_all(
        boxes
    ).area > 0.999 * sum(box.area for box in boxes)


def test_an_entry_shows_its_ink_as_it_is_drawn() -> None:
    """A hatched one is stroked both ways when it is at high risk; lines, pins and rings have their own shapes."""
    shown = with_legend(PLAIN, [Entry("risk-high", "high risk", hatches=2)], "").items[2:]
    assert [type(item) for item in shown] == [Area, Line, Line, Line, Line, Words]
    corners = {}
    for shape in ("box", "stroke", "triangle", "ring"):
        first = with_legend(PLAIN, [Entry("board", "x", shape)], "").items[2]
        corners[shape] = len(first.rings[0]) if isinstance(first, Area) else 0
    assert corners == {"box": 4, "stroke": 0, "triangle": 3, "ring": 24}
