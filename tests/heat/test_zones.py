"""Heat-exposure zones of a peak field."""

import numpy as np
import pytest
import shapely

from leeward.heat.grid import Grid
from leeward.heat.zones import zone

GRID = Grid(np.arange(0.0, 21.0, 2.0), np.arange(0.0, 13.0, 2.0))
X, Y = np.meshgrid(GRID.x_mm, GRID.y_mm)


def test_a_zone_reaches_the_boards_edge() -> None:
    """Where the whole board is hot, the zone is the board: off-board cells and the window's rim cut nothing off."""
    outline = shapely.box(0, 0, 20, 12).difference(shapely.box(8, 4, 12, 8))
    hole = (X > 8) & (X < 12) & (Y > 4) & (Y < 8)
    found = zone(GRID, np.where(hole, np.nan, 200.0), "top", 150.0, outline)
    assert found.area.area == pytest.approx(outline.area)


def test_a_zone_ends_where_the_field_passes_its_temperature() -> None:
    """A field that falls by 10 C a millimetre from 200 C at x 0 passes 150 C at x 5."""
    found = zone(GRID, 200.0 - 10.0 * X, "bottom", 150.0, shapely.box(0, 0, 20, 12))
    assert found.area.bounds == pytest.approx((0, 0, 5, 12))
    assert (found.side, found.above_c) == ("bottom", 150.0)


def test_a_cool_spot_is_a_hole() -> None:
    """A cold cell in a hot field is left out of the zone, all round."""
    spot = (np.abs(X - 9) < 1) & (np.abs(Y - 7) < 1)
    found = zone(GRID, np.where(spot, 50.0, 200.0), "top", 150.0, shapely.box(0, 0, 20, 12))
    assert not found.area.contains(shapely.Point(9, 7))
    assert len(found.area.interiors) == 1


def test_a_cold_board_has_no_zone() -> None:
    """Nothing over the temperature, nothing in the zone."""
    assert zone(GRID, np.full(X.shape, 40.0), "top", 150.0, shapely.box(0, 0, 20, 12)).area.is_empty
