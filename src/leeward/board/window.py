"""The part of a board that lies in a window: a record of a few tracks, vias and parts instead of thousands."""

from collections.abc import Collection
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray

from leeward.board.records import Board, Fill, Footprint, Zone

Bounds = tuple[float, float, float, float]  # least x and y, greatest x and y, mm, board frame


@dataclass(frozen=True, slots=True)
class Extents:
    """The bounds of everything on a board, (n, 4) each, in the board's own order."""

    footprints: NDArray[np.float64]
    tracks: NDArray[np.float64]
    vias: NDArray[np.float64]


def extents(board: Board) -> Extents:
    """Return the bounds of a board's parts, tracks and vias, to cut windows from."""
    tracks = [_run(track.points, track.width_mm / 2) for track in board.tracks]
    vias = [_run(((via.x_mm, via.y_mm),), via.diameter_mm / 2) for via in board.vias]
    return Extents(_rows([_outer(part) for part in board.footprints]), _rows(tracks), _rows(vias))


def window(board: Board, known: Extents, bounds: Bounds, keep: Collection[str] = (), *, fills: bool = True) -> Board:
    """Return a board with the parts, tracks and vias that reach into bounds and the fills cut down to them.

    Parts whose id is in `keep` stay wherever they are. Outline, stackup and notes stay the whole board's. Cutting
    fills takes the most of the time: without them the zones stay as they are.
    """
    near = reaching(known.footprints, bounds)
    return replace(
        board,
        footprints=tuple(
            part for part, inside in zip(board.footprints, near, strict=True) if inside or part.id in keep
        ),
        tracks=tuple(board.tracks[i] for i in np.flatnonzero(reaching(known.tracks, bounds))),
        vias=tuple(board.vias[i] for i in np.flatnonzero(reaching(known.vias, bounds))),
        zones=tuple(_cut(zone, bounds) for zone in board.zones) if fills else board.zones,
    )


def _outer(part: Footprint) -> Bounds:
    shapes = [pad.copper for pad in part.pads]
    shapes += [shape for shape in (part.courtyard, part.fab) if shape is not None]
    held = [shape for shape in shapes if not shape.is_empty]
    x0, y0, x1, y1 = shapely.total_bounds(held) if held else (part.x_mm, part.y_mm, part.x_mm, part.y_mm)
    return float(x0), float(y0), float(x1), float(y1)


def _run(points: tuple[tuple[float, float], ...], half_mm: float) -> Bounds:
    xs, ys = zip(*points, strict=True)
    return min(xs) - half_mm, min(ys) - half_mm, max(xs) + half_mm, max(ys) + half_mm


def _rows(bounds: list[Bounds]) -> NDArray[np.float64]:
    return np.array(bounds, dtype=float).reshape(-1, 4)


def reaching(rows: NDArray[np.float64], bounds: Bounds) -> NDArray[np.bool_]:
    """Return which rows of bounds (n, 4) meet given ones, (n,)."""
    x0, y0, x1, y1 = bounds
    across = (rows[:, 2] >= x0) & (rows[:, 0] <= x1)
    return across & (rows[:, 3] >= y0) & (rows[:, 1] <= y1)


def _cut(zone: Zone, bounds: Bounds) -> Zone:
    fills = tuple(
        Fill(fill.layer, cut, fill.estimated)
        for fill in zone.fills
        for cut in [shapely.clip_by_rect(fill.copper, *bounds)]
        if not cut.is_empty
    )
    return replace(zone, fills=fills)
