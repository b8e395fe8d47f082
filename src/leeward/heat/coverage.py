"""Exact areas of polygons in the cells of a plan grid.

Every directed edge of a ring leaves in each cell that it crosses the area between itself and the cell's right
side, and in each cell further right the full strip; summed round a closed ring this is the ring's area in each
cell (the signed-area accumulation that outline fonts are filled with).
"""

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from leeward.heat.grid import Floats, Grid

Ints = NDArray[np.intp]


def areas(shapes: list[BaseGeometry], grid: Grid) -> Floats:
    """Return the area of the shapes in each cell, (ny, nx) float, mm2; overlaps count twice."""
    return _accumulate(_directed_edges(shapes), grid)


def fractions(shapes: list[BaseGeometry], grid: Grid) -> Floats:
    """Return the covered share of each cell, (ny, nx) float, 0 to 1; overlaps are cut off at full cover."""
    return np.clip(areas(shapes, grid) / grid.areas_mm2, 0.0, 1.0)


def _directed_edges(shapes: list[BaseGeometry]) -> Floats:
    """Return the edges of all rings as rows x0, y0, x1, y1; outer rings counter-clockwise for y up, holes against."""
    polygons = shapely.get_parts(np.asarray(shapes, dtype=object))
    polygons = polygons[(shapely.get_type_id(polygons) == shapely.GeometryType.POLYGON) & ~shapely.is_empty(polygons)]
    rings = shapely.get_rings(shapely.orient_polygons(polygons))
    points, ring_of = shapely.get_coordinates(rings, return_index=True)
    edges: Floats = np.hstack([points[:-1], points[1:]])[ring_of[:-1] == ring_of[1:]]
    return edges


def _accumulate(edges: Floats, grid: Grid) -> Floats:
    ny, nx = grid.shape
    pieces, row, _ = _split(edges, grid.y_edges_mm, axis=1)
    inside = (row >= 0) & (row < ny)
    pieces, column, parent = _split(pieces[inside], grid.x_edges_mm, axis=0)
    row = row[inside][parent]
    rise = pieces[:, 3] - pieces[:, 1]
    # An edge left of the grid opens the strip from the first column on, one right of it opens nothing.
    opened = np.clip(column + 1, 0, nx)
    strips = np.bincount(row * (nx + 1) + opened, -rise, minlength=ny * (nx + 1)).reshape(ny, nx + 1)
    full = np.cumsum(strips, axis=1)[:, :nx] * np.diff(grid.x_edges_mm)
    here = (column >= 0) & (column < nx)
    to_right_side = grid.x_edges_mm[opened] - (pieces[:, 0] + pieces[:, 2]) / 2
    cell = (row * nx + column)[here]
    return full + np.bincount(cell, (-rise * to_right_side)[here], minlength=ny * nx).reshape(ny, nx)


def _split(edges: Floats, cuts: Floats, *, axis: int) -> tuple[Floats, Ints, Ints]:
    """Cut each edge where it crosses a grid line of one axis.

    Return the pieces (m, 4), the slot between grid lines that each lies in (-1 before the first line, the number
    of slots after the last) and the edge that each came from.
    """
    start, end = edges[:, axis], edges[:, axis + 2]
    low, high = np.minimum(start, end), np.maximum(start, end)
    first = np.searchsorted(cuts, low, side="right") - 1
    last = np.maximum(np.searchsorted(cuts, high, side="left") - 1, first)
    parent = np.repeat(np.arange(len(edges)), last - first + 1)
    begins = np.cumsum(last - first + 1) - (last - first + 1)
    slot = first[parent] + np.arange(parent.size) - begins[parent]
    bounds = np.concatenate([[-np.inf], cuts, [np.inf]])
    ends = np.stack([np.clip(bounds[slot + side], low[parent], high[parent]) for side in (1, 2)])
    length = end - start
    flat = length[parent] == 0
    shares = np.where(flat, [[0.0], [1.0]], (ends - start[parent]) / np.where(flat, 1.0, length[parent]))
    return _between(edges[parent], shares.min(axis=0), shares.max(axis=0)), slot, parent


def _between(edges: Floats, share_from: Floats, share_to: Floats) -> Floats:
    """Return of each edge the piece between two shares of its length."""
    origin, run = edges[:, :2], edges[:, 2:] - edges[:, :2]
    return np.hstack([origin + share_from[:, None] * run, origin + share_to[:, None] * run])
