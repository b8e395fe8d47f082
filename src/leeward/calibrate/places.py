"""Places on a board where a probe can sit: pads, tops of parts, bare board on both sides."""

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from leeward.board.records import Board, Side
from leeward.calibrate.spots import Spot, board_spot, pad_spot, top_spot
from leeward.constants import number
from leeward.heat.bodies import soldered_pads
from leeward.heat.loads import Loads
from leeward.heat.model import own_board
from leeward.parts.records import Part, Parts

MOST_PADS = 12
MOST_NEIGHBOURS = 12
RINGS_MM = (3.0, 6.0, 10.0, 15.0, 20.0, 28.0)  # outside the nozzle's wall
WAYS = 4
GLUED_MM = 1.5  # a body shorter than this holds no probe; house rule


def candidates(board: Board, parts: Parts, target: Part, loads: Loads) -> tuple[Spot, ...]:
    """Return places where a probe can sit: the target's pads and top, neighbours, bare board on both sides."""
    window = target.body.buffer(number("heat", "grid", "reach_mm") - 5.0)
    outline = own_board(board, target)
    fitted = [part for part in parts.by_id.values() if part.footprint.fitted and not part.body.is_empty]
    near = sorted((p for p in fitted if _holds_a_probe(p, target, window)), key=lambda p: p.body.distance(target.body))
    spread_out = [*_some_pads(target), top_spot(target), *(top_spot(part) for part in near[:MOST_NEIGHBOURS])]
    bare = [spot for side in _sides(loads.side) for spot in _bare(outline, fitted, loads, side, window)]
    return (*spread_out, *bare)


def _holds_a_probe(part: Part, target: Part, window: BaseGeometry) -> bool:
    same_board = part.footprint.board_index == target.footprint.board_index
    large = max(part.body_mm.value) >= GLUED_MM
    sound = not part.hazards and part.fragile_class != "E"  # what must come off first is not there to be measured
    return same_board and large and sound and part.id != target.id and window.contains(part.body.centroid)


def _some_pads(target: Part) -> list[Spot]:
    """Return up to MOST_PADS of the target's pads, each as far as can be from those before it."""
    pads = soldered_pads(target)
    places = np.array([(pad.x_mm, pad.y_mm) for pad in pads])
    chosen = [0]
    while len(chosen) < min(MOST_PADS, len(pads)):
        away = np.hypot(*(places[:, None] - places[chosen]).transpose(2, 0, 1)).min(axis=1)
        chosen.append(int(np.argmax(away)))
    return [pad_spot(target, pads[i].number, pads[i].x_mm, pads[i].y_mm) for i in sorted(chosen)]


def _sides(worked: Side) -> tuple[Side, Side]:
    return ("top", "bottom") if worked == "top" else ("bottom", "top")


def _bare(outline: BaseGeometry, fitted: Sequence[Part], loads: Loads, side: Side, window: BaseGeometry) -> list[Spot]:
    """Return places on bare board of a side: in rings outside the nozzle, and under its middle on the other side."""
    fit, turn = loads.fit, np.deg2rad(loads.fit.rotation_deg)
    bodies = shapely.unary_union([part.body for part in fitted if part.footprint.side == side]).buffer(0.5)
    free = outline.buffer(-1.0).intersection(window).difference(bodies)
    half = np.array(fit.nozzle.aperture_mm) / 2 + fit.nozzle.wall_mm
    places = [] if side == loads.side else [(fit.x_mm, fit.y_mm)]
    for ring in RINGS_MM:
        for way in range(WAYS):
            angle = turn + way * np.pi / 2
            reach = half[way % 2] + ring
            places.append((fit.x_mm + reach * np.cos(angle), fit.y_mm - reach * np.sin(angle)))
    return [board_spot(round(x, 1), round(y, 1), side) for x, y in places if free.contains(shapely.Point(x, y))]
