"""A grid over the two outer layers: which nodes a track's or a via's middle may stand on.

Every piece of copper is a rounded box: a box about (x, y), turned, with the corners swept by a radius. A track is such
a box without a height, a round pad one without size. A node is closed to a net where copper of another net lies
nearer than clearance plus the half width of what is to be laid.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from math import atan2, cos, degrees, hypot, radians, sin

import numpy as np
import shapely
from numpy.typing import NDArray

STEP = 0.1
CLEARANCE = 0.2
SLACK = 0.01  # a diagonal step passes a corner a little nearer than its two ends do
EDGE_CLEARANCE = 0.5
HOLE_CLEARANCE = 0.25
VIA_DIAMETER, VIA_DRILL = 0.5, 0.3
THIN, THICK = 0.1, 0.25
"""Half widths in mm: of a signal's track; of a power track and of a via."""
NOBODY = -1

Mask = NDArray[np.bool_]


@dataclass(frozen=True, slots=True)
class Copper:
    """A rounded box of copper on some layers (0 top, 1 bottom); `net` is NOBODY where no net may touch it."""

    x: float
    y: float
    half_width: float
    half_height: float
    radius: float
    angle: float
    net: int
    layers: tuple[int, ...]
    clearance: float = CLEARANCE


def track(x0: float, y0: float, x1: float, y1: float, half: float, net: int, layer: int) -> Copper:
    """Return the copper of a straight track."""
    angle = degrees(atan2(-(y1 - y0), x1 - x0))
    return Copper((x0 + x1) / 2, (y0 + y1) / 2, hypot(x1 - x0, y1 - y0) / 2, 0.0, half, angle, net, (layer,))


def via(x: float, y: float, net: int) -> Copper:
    """Return the copper of a via, as the outer layers see it."""
    return Copper(x, y, 0.0, 0.0, VIA_DIAMETER / 2, 0.0, net, (0, 1))


@dataclass(slots=True)
class Grid:
    """The state of the board while it is routed; arrays are (ny, nx), row 0 at y = 0.

    `owner` keeps, for a half width and a layer, 0 where a node is free, the net where only that net may pass, NOBODY
    where none may. `laid` counts the routed nets that close a node, those that may still be taken up again. `fought`
    raises the price of nodes where nets have met. `no_via` closes nodes to vias whatever the net.
    """

    width: int
    height: int
    owner: dict[tuple[float, int], NDArray[np.int32]] = field(default_factory=dict)
    laid: dict[tuple[float, int], NDArray[np.int16]] = field(default_factory=dict)
    fought: dict[int, NDArray[np.int16]] = field(default_factory=dict)
    no_via: NDArray[np.int16] = field(default_factory=lambda: np.zeros((0, 0), np.int16))


def empty(outline: shapely.Polygon, width_mm: float, height_mm: float) -> Grid:
    """Return the grid of a bare board, closed outside its outline and near its edges."""
    nx, ny = round(width_mm / STEP) + 1, round(height_mm / STEP) + 1
    xs, ys = np.meshgrid(np.arange(nx) * STEP, np.arange(ny) * STEP)
    grid = Grid(nx, ny, no_via=np.zeros((ny, nx), np.int16))
    grid.fought = {layer: np.zeros((ny, nx), np.int16) for layer in (0, 1)}
    for half in (THIN, THICK):
        inside = shapely.contains_xy(outline.buffer(-(EDGE_CLEARANCE + half + SLACK)), xs, ys)
        for layer in (0, 1):
            grid.owner[half, layer] = np.where(inside, 0, NOBODY).astype(np.int32)
            grid.laid[half, layer] = np.zeros((ny, nx), np.int16)
    return grid


def near(grid: Grid, copper: Copper, reach: float) -> tuple[tuple[slice, slice], Mask]:
    """Return a window of the grid and, in it, the nodes that lie nearer to the copper than `reach` mm."""
    extent = hypot(copper.half_width, copper.half_height) + copper.radius + reach + STEP
    left, right = (int((copper.x + sign * extent) / STEP) for sign in (-1, 1))
    top, bottom = (int((copper.y + sign * extent) / STEP) for sign in (-1, 1))
    window = slice(max(top, 0), max(bottom + 2, 0)), slice(max(left, 0), max(right + 2, 0))
    rows = np.arange(grid.height)[window[0]] * STEP - copper.y
    columns = np.arange(grid.width)[window[1]] * STEP - copper.x
    dx, dy = np.meshgrid(columns, rows)
    c, s = cos(radians(copper.angle)), sin(radians(copper.angle))
    u = np.abs(dx * c - dy * s) - copper.half_width
    v = np.abs(dx * s + dy * c) - copper.half_height
    distance = np.hypot(np.maximum(u, 0), np.maximum(v, 0)) - copper.radius
    return window, distance < reach - 1e-9


def close(grid: Grid, copper: Copper) -> None:
    """Close the nodes round a piece of fixed copper to every net but its own."""
    for half in (THIN, THICK):
        window, closed = near(grid, copper, copper.clearance + half + SLACK)
        for layer in copper.layers:
            view = grid.owner[half, layer][window]
            other = closed & (view != 0) & (view != copper.net)
            view[closed & (view == 0)] = copper.net
            view[other] = NOBODY


def count(grid: Grid, copper: Copper, change: int) -> None:
    """Count a routed piece of copper in (+1) or out (-1)."""
    for half in (THIN, THICK):
        window, closed = near(grid, copper, copper.clearance + half + SLACK)
        for layer in copper.layers:
            grid.laid[half, layer][window] += np.int16(change) * closed.astype(np.int16)


def close_to_vias(grid: Grid, copper: Copper, reach: float, change: int = 1) -> None:
    """Close the nodes within `reach` mm of something to vias of any net, or open them again (-1)."""
    window, closed = near(grid, copper, reach)
    grid.no_via[window] += np.int16(change) * closed.astype(np.int16)


def drill_reach() -> float:
    """Return how far from a drilled hole's rim the middle of a via must stay, mm."""
    return HOLE_CLEARANCE + VIA_DRILL / 2 + SLACK
