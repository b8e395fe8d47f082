"""Heat-exposure zones: where the board's peak passes a temperature, as polygons."""

from typing import cast

import contourpy
import numpy as np
import shapely
from scipy import ndimage
from shapely.geometry.base import BaseGeometry

from leeward.board.records import Side
from leeward.heat.grid import Floats, Grid
from leeward.heat.records import Ints, Zone


def zone(grid: Grid, peak_c: Floats, side: Side, above_c: float, outline: BaseGeometry) -> Zone:
    """Return the zone of a peak field, (ny, nx) float C with NaN off the board, cut off at the board's outline."""
    x, y, z = _padded(grid, peak_c)
    generator = contourpy.contour_generator(x=x, y=y, z=z, fill_type="OuterOffset")
    points, offsets = cast("tuple[list[Floats], list[Ints]]", generator.filled(above_c, np.inf))
    shapes = [_polygon(ring, offset) for ring, offset in zip(points, offsets, strict=True)]
    area = shapely.intersection(shapely.union_all(shapely.make_valid(np.array(shapes, dtype=object))), outline)
    return Zone(side, above_c, area)


def _padded(grid: Grid, field: Floats) -> tuple[Floats, Floats, Floats]:
    """Carry the outer cells' values past the board's and the window's edge, so that no zone ends half a cell early."""
    nearest = ndimage.distance_transform_edt(np.isnan(field), return_distances=False, return_indices=True)
    z = np.pad(field[tuple(nearest)], 1, mode="edge")
    x = np.concatenate([grid.x_edges_mm[:1], grid.x_mm, grid.x_edges_mm[-1:]])
    y = np.concatenate([grid.y_edges_mm[:1], grid.y_mm, grid.y_edges_mm[-1:]])
    return x, y, z


def _polygon(points: Floats, offsets: Ints) -> BaseGeometry:
    rings = [points[a:b] for a, b in zip(offsets[:-1], offsets[1:], strict=True)]
    return shapely.Polygon(rings[0], rings[1:])
