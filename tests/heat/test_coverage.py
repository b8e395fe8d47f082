"""Exact areas of polygons in grid cells."""

import numpy as np
import pytest
import shapely

from leeward.heat.coverage import areas, fractions, overlaps
from leeward.heat.grid import Grid
from thermal_boards import square


def test_areas_equal_shapely_intersections_cell_by_cell() -> None:
    """Polygons with holes, slanted, inside, across and left of an uneven grid leave in each cell what shapely cuts."""
    rng = np.random.default_rng(20240131)
    grid = Grid(np.sort(rng.uniform(-5, 5, 14)), np.sort(rng.uniform(-5, 5, 11)))
    ring = shapely.Point(1, 2).buffer(2.3).difference(shapely.Point(1, 2.2).buffer(1))
    shapes = [ring, shapely.Polygon([(-9, -9), (7, -3), (2, 8), (-4, 3)]), shapely.box(-20, -20, -19, 20)]
    x, y = grid.x_edges_mm, grid.y_edges_mm
    expected = [
        [sum(s.intersection(shapely.box(x[i], y[j], x[i + 1], y[j + 1])).area for s in shapes) for i in range(13)]
        for j in range(10)
    ]
    np.testing.assert_allclose(areas(shapes, grid), expected, atol=1e-12)


def test_a_thin_diagonal_trace_keeps_its_area() -> None:
    """A 0.15 mm trace at 45 degrees over 1 mm cells has its own area in them, whichever way its ring runs."""
    trace = shapely.LineString([(1, 1), (9, 9)]).buffer(0.075)
    grid = Grid(np.arange(11.0), np.arange(11.0))
    for shape in (trace, shapely.reverse(trace)):
        assert abs(areas([shape], grid).sum() - trace.area) < 1e-12


def test_overlapping_copper_counts_once_at_full_cover() -> None:
    """Two copies of one square cover its cells fully, not twice."""
    grid = Grid(np.arange(5.0), np.arange(5.0))
    np.testing.assert_allclose(fractions([shapely.box(0, 0, 2, 4)] * 2, grid), [[1, 1, 0, 0]] * 4)


def test_overlaps_share_a_shape_among_cells() -> None:
    """A square over four cells covers each by its own part, and the parts add up to the square."""
    grid = Grid(np.arange(4.0), np.arange(4.0))
    found = overlaps([square(1.25, 1.25, 1.0)], grid)
    assert dict(zip(found.cell.tolist(), found.area_mm2.tolist(), strict=True)) == pytest.approx(
        {0: 0.0625, 1: 0.1875, 3: 0.1875, 4: 0.5625}
    )


def test_overlaps_equal_shapely_intersections_shape_by_shape() -> None:
    """Small, large, holed, empty, far and half outlying shapes each cover what shapely cuts, in their own order."""
    rng = np.random.default_rng(7)
    grid = Grid(np.sort(rng.uniform(-5, 5, 12)), np.sort(rng.uniform(-5, 5, 9)))
    on_a_line = shapely.box(grid.x_edges_mm[3], grid.y_edges_mm[2], grid.x_edges_mm[5], grid.y_edges_mm[4])
    ring = shapely.Point(1, 1).buffer(2.0).difference(shapely.Point(1, 1).buffer(1.5))
    dots = [shapely.Point(*rng.uniform(-6, 6, 2)).buffer(0.2, quad_segs=3) for _ in range(40)]
    shapes = [ring, shapely.Polygon(), *dots, on_a_line, shapely.box(30, 30, 31, 31), shapely.box(-9, -9, 0, 9)]
    found = overlaps(shapes, grid)
    x, y = grid.x_edges_mm, grid.y_edges_mm
    cells = [shapely.box(x[i], y[j], x[i + 1], y[j + 1]) for j in range(8) for i in range(11)]
    told = np.zeros((len(shapes), len(cells)))
    told[found.shape, found.cell] = found.area_mm2
    np.testing.assert_allclose(told, [[shape.intersection(cell).area for cell in cells] for shape in shapes], atol=1e-9)
    assert (np.diff(found.shape) >= 0).all()


def test_nothing_overlaps_without_shapes() -> None:
    """No shapes, and shapes off the grid, leave nothing."""
    grid = Grid(np.arange(4.0), np.arange(4.0))
    assert overlaps([], grid).cell.size == 0
    assert overlaps([square(50, 50, 1.0)], grid).cell.size == 0
