"""The numbered marks of risk."""

import shapely

from leeward.report.drawing import Area, Words
from leeward.report.lettering import box_of
from leeward.report.marks import alone, mark, outline
from leeward.review.records import Priority

LEVELS: tuple[Priority, ...] = ("high", "medium", "low")


def test_levels_differ_by_shape() -> None:
    """A diamond stands on its corner, a square on its side, a disc is round: area over that of the box round it."""
    shares = {}
    for level in LEVELS:
        shape = shapely.Polygon(outline(level, 3.0, 4.0, 2.0))
        shares[level] = shape.area / shape.envelope.area
        assert (round(shape.centroid.x, 6), round(shape.centroid.y, 6)) == (3.0, 4.0)
    assert round(shares["high"], 3) == 0.5
    assert round(shares["medium"], 3) == 1.0
    assert 0.75 < shares["low"] < 0.8  # pi / 4 is 0.785


def test_a_number_stays_in_its_mark() -> None:
    """Even three digits lie within the shape."""
    for level in LEVELS:
        shape, words = mark(level, "188", 0.0, 0.0, 4.4)
        assert isinstance(shape, Area)
        assert isinstance(words, Words)
        x0, _, x1, _ = box_of(words)
        assert shapely.Polygon(shape.rings[0]).contains(shapely.box(x0, -words.height_mm / 2, x1, words.height_mm / 2))


def test_a_mark_alone_says_its_level() -> None:
    """What a list shows is told in words to who cannot see it."""
    assert alone("medium", "12").about == "12, medium"
