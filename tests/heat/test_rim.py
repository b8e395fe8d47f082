"""Where the board ends."""

import numpy as np
import pytest
import shapely

from leeward.heat.grid import Grid
from leeward.heat.rim import rim

GRID = Grid(np.arange(0.0, 11.0), np.arange(0.0, 7.0))


def columns(held: "np.ndarray") -> "np.ndarray":
    """Return the numbers of the cells that hold board."""
    numbered = np.full(held.shape, -1)
    numbered[held] = np.arange(held.sum())
    return numbered


def test_the_rim_is_as_long_as_the_outline() -> None:
    """A board of 10 by 6 mm with a window of 2 by 2 mm has 32 mm outside and 8 mm inside, half a cell away."""
    held = np.ones(GRID.shape, bool)
    held[2:4, 4:6] = False
    found = rim(GRID, columns(held), shapely.box(0, 0, 10, 6).difference(shapely.box(4, 2, 6, 4)))
    assert found.length_mm.sum() == pytest.approx(40.0)
    assert set(found.half_mm) == {0.5}
    in_window = (np.abs(found.x_mm - 5) <= 1) & (np.abs(found.y_mm - 3) <= 1)
    assert found.length_mm[in_window].sum() == pytest.approx(8.0)


def test_stairs_are_no_longer_than_the_slant_they_follow() -> None:
    """Cells that follow a slant in stairs open no more than the slant's own length to the air."""
    outline = shapely.Polygon([(0, 0), (10, 0), (0, 6)])
    x, y = np.meshgrid(GRID.x_mm, GRID.y_mm)
    held = shapely.contains_xy(outline, x, y)
    assert rim(GRID, columns(held), outline).length_mm.sum() == pytest.approx(outline.length)


def test_where_the_window_cuts_the_board_there_is_no_rim() -> None:
    """Of a board that goes on to the right of the window, three sides are open."""
    found = rim(GRID, columns(np.ones(GRID.shape, bool)), shapely.box(0, 0, 50, 6))
    assert found.length_mm.sum() == pytest.approx(26.0)
    assert (found.x_mm < 10.0).all()
