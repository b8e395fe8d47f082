"""Where the board ends: the open sides of the cells at its outline and its cut-outs."""

from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from leeward.heat.grid import Floats, Grid
from leeward.heat.records import Ints

ON_BOUNDS_MM = 1e-6


@dataclass(frozen=True, slots=True)
class Rim:
    """Open sides of cells, (k,) each: the cell's column, the side's length, how far it is from the middle, its place.

    Lengths are those of the outline: where cells follow it in stairs they are cut down in proportion.
    """

    column: Ints
    length_mm: Floats
    half_mm: Floats
    x_mm: Floats
    y_mm: Floats


def rim(grid: Grid, column: Ints, outline: BaseGeometry) -> Rim:
    """Return the rim of the board in the window; where the window cuts the board there is none."""
    held = column >= 0
    around = _surrounded(held, grid, outline)
    wide, high = (np.broadcast_to(width, held.shape) for width in (np.diff(grid.x_edges_mm), _upright(grid.y_edges_mm)))
    x, y = (np.broadcast_to(centre, held.shape) for centre in (grid.x_mm, grid.y_mm[:, None]))
    ways = (
        (around[1:-1, :-2], high, wide, (-0.5, 0.0)),
        (around[1:-1, 2:], high, wide, (0.5, 0.0)),
        (around[:-2, 1:-1], wide, high, (0.0, -0.5)),
        (around[2:, 1:-1], wide, high, (0.0, 0.5)),
    )
    sides = []
    for neighbour, length, across, (right, down) in ways:
        open_ = held & ~neighbour
        place = (x + right * wide)[open_], (y + down * high)[open_]
        sides.append((column[open_], length[open_], across[open_] / 2, *place))
    at, length_mm, half_mm, x_mm, y_mm = (np.concatenate(part) for part in zip(*sides, strict=True))
    window = shapely.box(grid.x_edges_mm[0], grid.y_edges_mm[0], grid.x_edges_mm[-1], grid.y_edges_mm[-1])
    true_mm = outline.boundary.intersection(window.buffer(ON_BOUNDS_MM)).length
    return Rim(at, length_mm * min(1.0, true_mm / max(length_mm.sum(), 1e-9)), half_mm, x_mm, y_mm)


def _surrounded(held: "np.ndarray", grid: Grid, outline: BaseGeometry) -> "np.ndarray":
    """Return the cells that hold board with one more round them: board there where the window cuts it."""
    x0, y0, x1, y1 = outline.bounds
    around = np.pad(held, 1, constant_values=True)
    around[:, 0] = grid.x_edges_mm[0] > x0 + ON_BOUNDS_MM
    around[:, -1] = grid.x_edges_mm[-1] < x1 - ON_BOUNDS_MM
    around[0] = grid.y_edges_mm[0] > y0 + ON_BOUNDS_MM
    around[-1] = grid.y_edges_mm[-1] < y1 - ON_BOUNDS_MM
    return around


def _upright(edges: Floats) -> Floats:
    widths: Floats = np.diff(edges)[:, None]
    return widths
