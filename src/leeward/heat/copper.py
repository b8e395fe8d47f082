"""The board's copper as it lies: what it covers, and how well it joins one cell to the next."""

from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from leeward.board.records import Board, Footprint
from leeward.constants import number
from leeward.heat.coverage import fractions
from leeward.heat.grid import SUBCELLS, Box, Floats, Grid

HALF = SUBCELLS // 2
ROUND_SEGMENTS = 4  # a quarter circle of a track's end or a via's land


@dataclass(frozen=True, slots=True)
class Laminate:
    """The materials that the board is made of; W/mK and J/m3K."""

    copper_w_mk: float
    copper_j_m3k: float
    in_plane_w_mk: float
    through_w_mk: float
    laminate_j_m3k: float
    plating_mm: float


def standard_laminate() -> Laminate:
    """Return copper and FR-4 from the data file `materials`."""
    return Laminate(
        number("materials", "copper", "conductivity_w_mk"),
        number("materials", "copper", "volumetric_heat_j_m3k"),
        number("materials", "laminate", "in_plane_w_mk"),
        number("materials", "laminate", "through_w_mk"),
        number("materials", "laminate", "volumetric_heat_j_m3k"),
        number("materials", "copper", "via_plating_mm"),
    )


def layer_shapes(board: Board, layer: str, window: Box) -> list[BaseGeometry]:
    """Return all copper of a layer that may reach into the window, as polygons in the board frame."""
    shapes = [pad.copper_on(layer) for part in board.footprints for pad in part.pads if layer in pad.layers]
    shapes += [fill.copper for zone in board.zones for fill in zone.fills if fill.layer == layer]
    shapes += [art.copper for art in board.artwork if art.layer == layer]
    return [*_reaching(shapes, window), *_track_shapes(board, layer, window), *_via_shapes(board, layer, window)]


def coverage(board: Board, layer: str, grid: Grid) -> Floats:
    """Return the share of copper in each subcell of one layer, (SUBCELLS ny, SUBCELLS nx) float, 0 to 1."""
    window = Box(grid.x_edges_mm[0], grid.y_edges_mm[0], grid.x_edges_mm[-1], grid.y_edges_mm[-1])
    return fractions(layer_shapes(board, layer, window), grid.subgrid())


def coarse(sub: Floats, grid: Grid) -> Floats:
    """Return the mean over each cell of a quantity given per subcell, (ny, nx)."""
    ny, nx = grid.shape
    mean: Floats = sub.reshape(ny, SUBCELLS, nx, SUBCELLS).mean(axis=(1, 3))
    return mean


def sheet_conductances(sheet_w_k: Floats, grid: Grid) -> tuple[Floats, Floats]:
    """Return the conductances between neighbouring cells of one sheet, W/K: (ny, nx - 1) along x, (ny - 1, nx) along y.

    `sheet_w_k` is conductivity times thickness per subcell. The true conductance lies between that of equipotential
    columns (lower resistance) and of insulated rows (higher); their geometric mean is taken, which keeps a slot
    a barrier and a trace as wide as it is.
    """
    along_x = _conductances_along_x(sheet_w_k, np.diff(grid.x_edges_mm), np.diff(grid.y_edges_mm))
    along_y = _conductances_along_x(sheet_w_k.T, np.diff(grid.y_edges_mm), np.diff(grid.x_edges_mm))
    return along_x, along_y.T


def _conductances_along_x(sheet: Floats, widths: Floats, heights: Floats) -> Floats:
    nx, ny = widths.size, heights.size
    dx, dy = np.repeat(widths, SUBCELLS) / SUBCELLS, np.repeat(heights, SUBCELLS) / SUBCELLS
    between = slice(HALF, SUBCELLS * nx - HALF)  # subcells from one cell's centre to the next one's
    columns = (sheet * dy[:, None]).reshape(ny, SUBCELLS, -1).sum(axis=1)
    upper = 1 / (dx / columns)[:, between].reshape(ny, nx - 1, SUBCELLS).sum(axis=2)
    rows = (dx / sheet)[:, between].reshape(SUBCELLS * ny, nx - 1, SUBCELLS).sum(axis=2)
    lower = (dy[:, None] / rows).reshape(ny, SUBCELLS, nx - 1).sum(axis=1)
    middle: Floats = np.sqrt(upper * lower)
    return middle


@dataclass(frozen=True, slots=True)
class Barrels:
    """Plated holes: place (n,) mm, copper section (n,) mm2, outermost layers they join."""

    x_mm: Floats
    y_mm: Floats
    section_mm2: Floats
    layers: tuple[tuple[str, str], ...]


def barrels(board: Board, plating_mm: float) -> Barrels:
    """Return all vias and plated holes. Section of a barrel: pi (d - p) p for drill d and plating p."""
    rows = [(via.x_mm, via.y_mm, via.drill_mm, via.layers) for via in board.vias]
    outer = (board.copper_layers[0], board.copper_layers[-1])
    rows += [(x, y, drill, outer) for part in board.footprints for x, y, drill in _plated_holes(part)]
    x, y, drill = (np.array([row[i] for row in rows], dtype=float) for i in range(3))
    section = np.pi * np.maximum(drill - plating_mm, 0) * plating_mm
    return Barrels(x, y, section, tuple(row[3] for row in rows))


def _plated_holes(part: Footprint) -> list[tuple[float, float, float]]:
    return [(p.x_mm, p.y_mm, p.drill_mm) for p in part.pads if p.kind == "through-hole" and p.drill_mm]


def _reaching(shapes: list[BaseGeometry], window: Box) -> list[BaseGeometry]:
    bounds = shapely.bounds(np.asarray(shapes, dtype=object)).reshape(-1, 4)
    near = _overlapping(bounds[:, 0], bounds[:, 1], bounds[:, 2], bounds[:, 3], window)
    return [shapes[i] for i in np.flatnonzero(near)]


def _overlapping(x0: Floats, y0: Floats, x1: Floats, y1: Floats, window: Box) -> NDArray[np.bool_]:
    across = (x1 > window.x0_mm) & (x0 < window.x1_mm)
    return across & (y1 > window.y0_mm) & (y0 < window.y1_mm)


def _track_shapes(board: Board, layer: str, window: Box) -> list[BaseGeometry]:
    tracks = [track for track in board.tracks if track.layer == layer]
    if not tracks:
        return []
    points = np.array([point for track in tracks for point in track.points])
    owner = np.repeat(np.arange(len(tracks)), [len(track.points) for track in tracks])
    half = np.array([track.width_mm / 2 for track in tracks])
    lines = shapely.linestrings(points, indices=owner)
    x0, y0, x1, y1 = shapely.bounds(lines).T
    near = _overlapping(x0 - half, y0 - half, x1 + half, y1 + half, window)
    return list(shapely.buffer(lines[near], half[near], quad_segs=ROUND_SEGMENTS))


def _via_shapes(board: Board, layer: str, window: Box) -> list[BaseGeometry]:
    order = {name: i for i, name in enumerate(board.copper_layers)}
    level = order[layer]
    vias = [v for v in board.vias if order[v.layers[0]] <= level <= order[v.layers[1]]]
    if not vias:
        return []
    x, y, half = (
        np.array(column) for column in zip(*((v.x_mm, v.y_mm, v.diameter_on(layer) / 2) for v in vias), strict=True)
    )
    near = _overlapping(x - half, y - half, x + half, y + half, window)
    return list(shapely.buffer(shapely.points(x[near], y[near]), half[near], quad_segs=ROUND_SEGMENTS))
