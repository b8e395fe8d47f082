"""Exact areas of polygons in grid cells."""

import numpy as np
import shapely

from leeward.heat.coverage import areas, fractions
from leeward.heat.grid import Grid


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
