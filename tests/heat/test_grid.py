"""The graded plan grid."""

import numpy as np
import pytest

from leeward.heat.grid import SUBCELLS, Box, Resolution, graded

RESOLUTION = Resolution(finest_mm=0.5, coarsest_mm=4.0, growth=1.25, reach_mm=40.0)


def test_fine_at_the_core_and_growing_outward() -> None:
    """Cells over the core are no wider than the finest, and none grows faster than the growth allows."""
    grid = graded(Box(0, 0, 10, 10), Box(-100, -100, 100, 100), RESOLUTION)
    widths = np.diff(grid.x_edges_mm)
    over_core = widths[(grid.x_mm > 0) & (grid.x_mm < 10)]
    assert over_core.max() <= 0.5 + 1e-9
    assert widths.max() <= 4.0 + 1e-9
    assert (widths[1:] / widths[:-1]).max() <= 1.25 + 1e-9
    assert (grid.x_edges_mm[0], grid.x_edges_mm[-1]) == pytest.approx((-40, 50))


def test_the_grid_ends_on_the_boards_bounds() -> None:
    """Where the board ends within reach, so does the grid, exactly."""
    grid = graded(Box(1, 1, 9, 9), Box(0, -3, 12, 9.5), RESOLUTION)
    assert (grid.x_edges_mm[0], grid.x_edges_mm[-1]) == pytest.approx((0, 12))
    assert (grid.y_edges_mm[0], grid.y_edges_mm[-1]) == pytest.approx((-3, 9.5))


def test_subcells_divide_every_cell_evenly() -> None:
    """Each cell holds SUBCELLS equal parts a way, and the edges of cells are among the edges of subcells."""
    grid = graded(Box(0, 0, 3, 3), Box(-10, -10, 10, 10), RESOLUTION)
    sub = grid.subgrid()
    np.testing.assert_allclose(sub.x_edges_mm[::SUBCELLS], grid.x_edges_mm)
    np.testing.assert_allclose(np.diff(sub.y_edges_mm), np.repeat(np.diff(grid.y_edges_mm), SUBCELLS) / SUBCELLS)
