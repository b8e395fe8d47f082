"""What the targets of one board share: the board, its parts, the bench, the copper's map, the bounds of everything."""

from dataclasses import dataclass, replace

import shapely

from leeward.bench.records import Bench
from leeward.board.records import Board
from leeward.board.window import Bounds, Extents, extents, window
from leeward.heat.bodies import soldered_pads
from leeward.heat.copper_map import CopperMap, LocalCopper, copper_map
from leeward.heat.grid import Box, Resolution
from leeward.heat.model import own_board, window_grid
from leeward.parts.records import Part, Parts

AT_LANDS_MM = 3.0  # so far round the lands copper is looked at as it lies: reliefs and necks are no wider


@dataclass(frozen=True, slots=True)
class Ground:
    """All that a target is judged on. `copper` is None where only the geometry is looked at."""

    board: Board
    parts: Parts
    bench: Bench
    extents: Extents
    copper: CopperMap | None


def ground(board: Board, parts: Parts, bench: Bench, *, geometry_only: bool) -> Ground:
    """Return the ground of a board's targets."""
    return Ground(board, parts, bench, extents(board), None if geometry_only else copper_map(board))


def targets(parts: Parts) -> tuple[Part, ...]:
    """Return the fitted surface-mount parts that hot air can take off, in the parts' own order."""
    return tuple(
        part for part in parts.by_id.values() if part.reworkable and part.surface_mount and soldered_pads(part)
    )


def near(shared: Ground, target: Part, resolution: Resolution) -> tuple[Board, Parts]:
    """Return the board and the parts cut down to the window that a target is solved in.

    Parts that must be kept cold stay wherever they are: they are judged at any distance. Fills stay whole: the copper
    comes from the map.
    """
    grid = window_grid(own_board(shared.board, target), target, resolution)
    x, y = grid.x_edges_mm, grid.y_edges_mm
    cold = {part.id for part in shared.parts.by_id.values() if part.fragile_class == "E"}
    bounds = float(x[0]), float(y[0]), float(x[-1]), float(y[-1])
    board = window(shared.board, shared.extents, bounds, cold, fills=False)
    kept = {footprint.id for footprint in board.footprints}
    by_id = {part_id: part for part_id, part in shared.parts.by_id.items() if part_id in kept}
    return board, replace(shared.parts, by_id=by_id)


def round_lands(shared: Ground, target: Part, margin_mm: float) -> Board:
    """Return the board cut down to what lies round a target's lands."""
    return window(shared.board, shared.extents, _bounds(target, margin_mm))


def copper_near(shared: Ground, target: Part) -> LocalCopper | None:
    """Return the copper that a target's model is made of."""
    if shared.copper is None:
        return None
    return LocalCopper(shared.copper, Box(*_bounds(target, AT_LANDS_MM)), round_lands(shared, target, AT_LANDS_MM))


def _bounds(target: Part, margin_mm: float) -> Bounds:
    lands = [target.leads, *(pad.copper for pad in target.footprint.pads if not pad.copper.is_empty)]
    x0, y0, x1, y1 = shapely.total_bounds(lands).tolist()
    return x0 - margin_mm, y0 - margin_mm, x1 + margin_mm, y1 + margin_mm
