"""The copper of a whole board on one fine even raster, from which the cover of any window's cells is read.

Where many targets of one board are solved, each layer's polygons are gone through once. Sums over any rectangle come
from running sums of the raster (summed areas), exact on its lines and linear between them. The raster is too coarse
for the gaps of a thermal relief: at a target's own lands the polygons themselves are looked at.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from math import ceil

import numpy as np
from numpy.typing import NDArray

from leeward.board.records import Board
from leeward.constants import number
from leeward.heat.copper import layer_shapes
from leeward.heat.coverage import fractions
from leeward.heat.grid import Box, Floats, Grid

Raster = NDArray[np.float32]
ROWS_AT_ONCE = 256  # bounds the memory that filling the raster takes


@dataclass(frozen=True, slots=True)
class CopperMap:
    """Share of copper in square cells, by layer: (ny, nx) float32, 0 to 1, row 0 at the smallest y."""

    x0_mm: float
    y0_mm: float
    cell_mm: float
    share: Mapping[str, Raster]


@dataclass(frozen=True, slots=True)
class LocalCopper:
    """A board's map, and in a box round a target what lies there: a record of the few things that do."""

    map: CopperMap
    box: Box
    close: Board


def copper_map(board: Board, cell_mm: float | None = None) -> CopperMap:
    """Return the map of all copper layers over a board's bounds, in cells of `cell_mm` (the data file's when None)."""
    cell = number("heat", "survey", "map_cell_mm") if cell_mm is None else cell_mm
    bounds = Box(*board.outline.bounds)
    nx, ny = (max(1, ceil(side / cell)) for side in (bounds.x1_mm - bounds.x0_mm, bounds.y1_mm - bounds.y0_mm))
    raster = _raster(bounds.x0_mm, bounds.y0_mm, cell, nx, ny)
    return CopperMap(
        bounds.x0_mm, bounds.y0_mm, cell, {layer: _filled(board, layer, raster) for layer in board.copper_layers}
    )


def remapped(known: CopperMap, board: Board, layers: set[str], changed: Box) -> CopperMap:
    """Return a map with some layers gone through again where a box has changed."""
    i, j = _cells(known, changed)
    if i.start >= i.stop or j.start >= j.stop:
        return known
    patch = _raster(
        known.x0_mm + i.start * known.cell_mm, known.y0_mm + j.start * known.cell_mm, known.cell_mm,
        i.stop - i.start, j.stop - j.start,
    )  # fmt: skip
    share = dict(known.share)
    for layer in sorted(layers & share.keys()):
        share[layer] = share[layer].copy()
        share[layer][j, i] = _filled(board, layer, patch)
    return CopperMap(known.x0_mm, known.y0_mm, known.cell_mm, share)


def mapped_cover(known: CopperMap, layer: str, grid: Grid) -> Floats:
    """Return the share of copper in the cells of a grid, (ny, nx) float, 0 to 1; nothing lies outside the map."""
    box = Box(grid.x_edges_mm[0], grid.y_edges_mm[0], grid.x_edges_mm[-1], grid.y_edges_mm[-1])
    i, j = _cells(known, box)
    near = known.share[layer][j, i].astype(float)
    running = np.pad(np.cumsum(np.cumsum(near, axis=0), axis=1), ((1, 0), (1, 0)))
    columns = _between(running.T, (grid.x_edges_mm - known.x0_mm) / known.cell_mm - i.start)
    summed = _between(columns.T, (grid.y_edges_mm - known.y0_mm) / known.cell_mm - j.start)
    cells = np.diff(np.diff(summed, axis=0), axis=1) * known.cell_mm**2
    return np.clip(cells / grid.areas_mm2, 0.0, 1.0)


def local_cover(known: LocalCopper, layer: str, grid: Grid) -> Floats:
    """Return the share of copper in the cells of a grid, (ny, nx) float, 0 to 1: of those in the box from polygons."""
    share = mapped_cover(known.map, layer, grid)
    i, j = (
        slice(int(np.searchsorted(edges, least)), int(np.searchsorted(edges, most, side="right")))
        for edges, least, most in (
            (grid.x_edges_mm, known.box.x0_mm, known.box.x1_mm),
            (grid.y_edges_mm, known.box.y0_mm, known.box.y1_mm),
        )
    )
    inner = Grid(grid.x_edges_mm[i], grid.y_edges_mm[j])
    if min(inner.shape) > 0:
        shapes = layer_shapes(known.close, layer, known.box)
        share[j.start : j.stop - 1, i.start : i.stop - 1] = fractions(shapes, inner)
    return share


def _raster(x0_mm: float, y0_mm: float, cell_mm: float, nx: int, ny: int) -> Grid:
    x, y = (np.arange(count + 1, dtype=np.float64) * cell_mm for count in (nx, ny))
    return Grid(x0_mm + x, y0_mm + y)


def _filled(board: Board, layer: str, raster: Grid) -> Raster:
    x, y = raster.x_edges_mm, raster.y_edges_mm
    strips = []
    for first in range(0, y.size - 1, ROWS_AT_ONCE):
        rows = y[first : first + ROWS_AT_ONCE + 1]
        strip = Grid(x, rows)
        shapes = layer_shapes(board, layer, Box(x[0], rows[0], x[-1], rows[-1]))
        strips.append(fractions(shapes, strip).astype(np.float32))
    return np.concatenate(strips)


def _cells(known: CopperMap, box: Box) -> tuple[slice, slice]:
    """Return the columns and rows of a map that a box reaches into."""
    ny, nx = next(iter(known.share.values())).shape
    x0, x1 = ((edge - known.x0_mm) / known.cell_mm for edge in (box.x0_mm, box.x1_mm))
    y0, y1 = ((edge - known.y0_mm) / known.cell_mm for edge in (box.y0_mm, box.y1_mm))
    return _slice(x0, x1, nx), _slice(y0, y1, ny)


def _slice(start: float, end: float, count: int) -> slice:
    return slice(int(np.clip(np.floor(start), 0, count)), int(np.clip(np.ceil(end), 0, count)))


def _between(rows: Floats, at: Floats) -> Floats:
    """Return rows at places between them, by straight lines; the first and last row go on outside."""
    place = np.clip(at, 0, len(rows) - 1)
    lower = np.minimum(place.astype(np.intp), max(len(rows) - 2, 0))
    upper = np.minimum(lower + 1, len(rows) - 1)
    share = (place - lower)[:, None]
    values: Floats = rows[lower] * (1 - share) + rows[upper] * share
    return values
