"""Pieces laid flat, the way round that they lie in the plan."""

from dataclasses import replace

import pytest

from builders import case
from leeward.report.drawing import Line
from leeward.report.flat_pieces import flat_pieces
from leeward.shields.records import Pattern

RIM = ((0.0, 0.0), (10.0, 0.0), (10.0, 6.0), (0.0, 6.0))
ENDS = Pattern((RIM,), (), (), (((1.0, 0.0), (1.0, 6.0)), ((0.0, 2.0), (10.0, 2.0))))


@pytest.mark.parametrize(
    ("direction_deg", "below", "first_end", "near_edge"),
    [
        (0.0, False, (1.0, None), (None, 2.0)),  # along x: as it was cut
        (90.0, False, (None, 9.0), (2.0, None)),  # up the page: the first end is below, the near edge left
        (180.0, False, (9.0, None), (None, 4.0)),
        (270.0, False, (None, 1.0), (4.0, None)),  # down the page: the first end is above, the near edge right
        (0.0, True, (9.0, None), (None, 2.0)),  # turned over, left and right change places
        (90.0, True, (None, 9.0), (4.0, None)),
    ],
)
def test_a_strip_is_laid_flat_as_it_lies(
    direction_deg: float, below: bool, first_end: tuple[float | None, float | None], near_edge: tuple[float | None, ...]
) -> None:
    """The folds 1 mm from a strip's first end and 2 mm from its near edge (that of low y) stand where they go down."""
    solved = case()
    (strip,) = solved.shields.pieces
    items, _ = flat_pieces(solved, [replace(strip, direction_deg=direction_deg, pattern=ENDS)], 0.0, 190.0, below=below)
    folds = [item.points for item in items if isinstance(item, Line) and item.ink == "fold"]
    assert [at(points) for points in folds] == [first_end, near_edge]


def at(points: tuple[tuple[float, float], ...]) -> tuple[float | None, ...]:
    """Return the x of an upright line, the y of a level one; None for the other."""
    values = [{round(point[axis], 6) for point in points} for axis in (0, 1)]
    return tuple(value.pop() if len(value) == 1 else None for value in values)
