"""Exact areas of polygons in the cells of a plan grid.

Every directed edge of a ring leaves in each cell that it crosses the area between itself and the cell's right
side, and in each cell further right the full strip; summed round a closed ring this is the ring's area in each
cell (the signed-area accumulation that outline fonts are filled with).
"""

from dataclasses import dataclass
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from leeward.heat.grid import Floats, Grid

Ints = NDArray[np.intp]


LEAST_MM2 = 1e-9  # overlaps smaller than this are rounding


@dataclass(frozen=True, slots=True)
class Overlap:
    """Which shape covers which cell by how much: index of the shape, flat index of the cell, mm2; (k,) each."""

    shape: Ints
    cell: Ints
    area_mm2: Floats


def areas(shapes: list[BaseGeometry], grid: Grid) -> Floats:
    """Return the area of the shapes in each cell, (ny, nx) float, mm2; overlaps count twice."""
    return _accumulate(_directed_edges(shapes)[0], grid)


def fractions(shapes: list[BaseGeometry], grid: Grid) -> Floats:
    """Return the covered share of each cell, (ny, nx) float, 0 to 1; overlaps are cut off at full cover."""
    return np.clip(areas(shapes, grid) / grid.areas_mm2, 0.0, 1.0)


def overlaps(shapes: list[BaseGeometry], grid: Grid) -> Overlap:
    """Return the overlap of each shape with the grid's cells, shapes in order."""
    geometries = np.asarray(shapes, dtype=object)
    bounds = shapely.bounds(geometries).reshape(-1, 4)
    first, last = _slots(bounds[:, :2], grid, "right"), _slots(bounds[:, 2:], grid, "left")
    last = np.maximum(first, last)
    ny, nx = grid.shape
    inside = (first < [nx, ny]).all(axis=1) & (last >= 0).all(axis=1) & ~shapely.is_empty(geometries)
    alone = inside & (first == last).all(axis=1)
    whole = np.flatnonzero(alone)
    cut = np.flatnonzero(inside & ~alone)
    some = _overlaps([shapes[i] for i in cut], grid, first[cut], last[cut])
    shape = np.concatenate([whole, cut[some.shape]])
    cell = np.concatenate([first[whole, 1] * nx + first[whole, 0], some.cell])
    area = np.concatenate([shapely.area(geometries[whole]), some.area_mm2])
    order = np.argsort(shape, kind="stable")
    return Overlap(shape[order], cell[order], area[order])


def _overlaps(shapes: list[BaseGeometry], grid: Grid, first: Ints, last: Ints) -> Overlap:
    """Return the overlaps of shapes that lie between the first and last columns and rows given, (n, 2) each.

    Each shape is summed in a window of its own; the windows stand behind one another in one row of cells.
    """
    edges, owner = _directed_edges(shapes)
    if not len(edges):
        return Overlap(np.empty(0, dtype=np.intp), np.empty(0, dtype=np.intp), np.empty(0))
    width, height = (last - first + 1).T
    offset = np.cumsum(width * height) - width * height
    pieces, row, parent = _split(edges, grid.y_edges_mm, axis=1)
    pieces, column, again = _split(pieces, grid.x_edges_mm, axis=0)
    shape = owner[parent][again]
    # Points are computed where an edge is cut: rounding must not put one beside its shape's window.
    row = np.clip(row[again], first[shape, 1], last[shape, 1])
    column = np.clip(column, first[shape, 0], last[shape, 0])
    place = offset[shape] + (row - first[shape, 1]) * width[shape] + column - first[shape, 0]
    size = int((width * height).sum())
    fall = pieces[:, 1] - pieces[:, 3]
    ends = np.concatenate([grid.x_edges_mm, grid.x_edges_mm[-1:]])  # what lies outside is dropped below
    strips = np.bincount(place, fall, minlength=size).astype(float)
    own = np.bincount(place, fall * (ends[column + 1] - (pieces[:, 0] + pieces[:, 2]) / 2), minlength=size)
    of, j, i = _window_places(first, width, height, offset)
    ny, nx = grid.shape
    # A closed ring rises as much as it falls in every row, so each row of a window sums up to nothing.
    area = (np.cumsum(strips) - strips) * np.diff(ends)[np.clip(i, 0, nx - 1)] + own
    kept = (area > LEAST_MM2) & (i >= 0) & (i < nx) & (j >= 0) & (j < ny)
    return Overlap(of[kept], (j * nx + i)[kept], area[kept])


def _slots(points: Floats, grid: Grid, side: Literal["left", "right"]) -> Ints:
    """Return the column and row of each point, (n, 2): -1 before the grid, their number behind it."""
    found = [
        np.searchsorted(cuts, points[:, k], side=side) for k, cuts in enumerate((grid.x_edges_mm, grid.y_edges_mm))
    ]
    return np.column_stack(found) - 1


def _window_places(first: Ints, width: Ints, height: Ints, offset: Ints) -> tuple[Ints, Ints, Ints]:
    """Return the shape, row and column of every cell of the windows, (n,) each."""
    of = np.repeat(np.arange(width.size), width * height)
    within = np.arange(of.size) - offset[of]
    return of, first[of, 1] + within // width[of], first[of, 0] + within % width[of]


def _directed_edges(shapes: list[BaseGeometry]) -> tuple[Floats, Ints]:
    """Return the edges of all rings as rows x0, y0, x1, y1, and the shape that each is of.

    Outer rings run counter-clockwise for y up, holes against.
    """
    polygons, shape_of = shapely.get_parts(np.asarray(shapes, dtype=object), return_index=True)
    held = (shapely.get_type_id(polygons) == shapely.GeometryType.POLYGON) & ~shapely.is_empty(polygons)
    rings, polygon_of = shapely.get_rings(shapely.orient_polygons(polygons[held]), return_index=True)
    points, ring_of = shapely.get_coordinates(rings, return_index=True)
    same = ring_of[:-1] == ring_of[1:]
    edges: Floats = np.hstack([points[:-1], points[1:]])[same]
    return edges, shape_of[held][polygon_of][ring_of[:-1][same]]


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
