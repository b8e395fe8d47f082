"""The other side of the board: what hangs under the target, what shares its heat, where the board can be held up."""

from collections.abc import Sequence

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from leeward.board.records import Pad, Side
from leeward.constants import number
from leeward.heat.bodies import soldered_pads
from leeward.heat.model import own_board
from leeward.parts.records import Part
from leeward.review.anchors import OUTER, VIA_NEAR_MM, Anchors, anchors
from leeward.review.records import Case, Opposite, SharedVia
from leeward.shields.exposed import plan_of

PIN_STEP_MM = 1.0  # places for pins are looked for on a lattice of this step
FEWEST_PINS = 3
OFF_AXIS = 0.27  # tangent of 15 degrees: pins stand no nearer to the target's axes, so that they spread


def opposite(case: Case, own: Sequence[Pad], held: Sequence[Anchors]) -> Opposite:
    """Return the other side under the target; `held` are the anchors of its lands `own`, in order."""
    others = _on_the_other_side(case)
    under = _under(case.target, others)
    pins = supports(case, others)
    tallest = max(others, key=lambda part: (part.height_mm.value, part.id), default=None)
    stands_out = 0.0 if tallest is None else tallest.height_mm.value
    ends = number("lift", "opposite", "lead_end_mm") if _has_lead_ends(case) else 0.0
    return Opposite(
        under=under,
        shared_vias=_shared_vias(case, own, held, others),
        mirrored_grids=_mirrored_grids(case.target, under),
        supports=pins,
        steady=_steady(case.target, pins),
        tallest=None if stands_out < ends else tallest,
        tallest_mm=max(stands_out, ends),
        heater_room_mm=case.bench.board_heater.room_mm,
    )


def supports(case: Case, others: Sequence[Part]) -> tuple[tuple[float, float], ...]:
    """Return places for support pins on the other side, mm, board frame.

    Towards each corner round the target the nearest that is free of parts, joints, lead ends and the board's edge,
    none so near that it cools the joints.
    """
    radius = number("lift", "opposite", "support_radius_mm")
    near, far = (number("lift", "opposite", key) for key in ("support_near_mm", "support_far_mm"))
    board = own_board(case.board, case.target)
    taken = shapely.union_all([*(plan_of(part) for part in others), *_lands_below(case)])
    free = board.buffer(-radius).difference(taken.buffer(radius))
    x, y = _lattice(case.target.leads.buffer(far).intersection(board))
    away = shapely.distance(case.target.leads, shapely.points(x, y))
    middle = case.target.leads.envelope.centroid
    dx, dy = x - middle.x, y - middle.y
    quarter = 2 * (dx > 0).astype(int) + (dy > 0).astype(int)
    cornerwise = np.minimum(np.abs(dx), np.abs(dy)) >= OFF_AXIS * np.maximum(np.abs(dx), np.abs(dy))
    open_to = shapely.contains_xy(free, x, y) & (away >= near) & (away <= far) & cornerwise
    found = [np.flatnonzero(open_to & (quarter == each)) for each in range(4)]
    nearest = [places[np.argmin(away[places])] for places in found if places.size]
    return tuple((float(x[i]), float(y[i])) for i in nearest)


def _lattice(area: BaseGeometry) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Return places on a square lattice over an area's bounds, (k,) each."""
    x0, y0, x1, y1 = area.bounds
    x, y = np.meshgrid(np.arange(np.ceil(x0), x1, PIN_STEP_MM), np.arange(np.ceil(y0), y1, PIN_STEP_MM))
    return x.ravel(), y.ravel()


def _steady(target: Part, pins: Sequence[tuple[float, float]]) -> bool:
    """Return whether the middle of the target lies between the pins."""
    hull = shapely.convex_hull(shapely.multipoints(np.array(pins, dtype=float).reshape(-1, 2)))
    return len(pins) >= FEWEST_PINS and bool(hull.covers(target.leads.envelope.centroid))


def _other_side(case: Case) -> Side:
    return "bottom" if case.target.footprint.side == "top" else "top"


def _on_the_other_side(case: Case) -> list[Part]:
    """Return the fitted parts of the target's own board that stand on its other side."""
    own = case.target.footprint.board_index
    return [
        part
        for part in case.parts.by_id.values()
        if part.footprint.side != case.target.footprint.side
        and part.footprint.board_index == own
        and part.footprint.fitted
        and not part.body.is_empty
    ]


def _lands_below(case: Case) -> list[BaseGeometry]:
    """Return the lands of all parts that are soldered or stick through on the other side."""
    layer = OUTER[_other_side(case)]
    return [pad.copper_on(layer) for part in case.parts.by_id.values() for pad in soldered_pads(part)]


def _has_lead_ends(case: Case) -> bool:
    """Return whether leads of parts on the target's side stick out on the other."""
    side = case.target.footprint.side
    worked = (part for part in case.parts.by_id.values() if part.footprint.side == side and part.footprint.fitted)
    return any(pad.kind == "through-hole" for part in worked for pad in soldered_pads(part) if not part.surface_mount)


def _under(target: Part, others: Sequence[Part]) -> tuple[Part, ...]:
    """Return the parts under the target, those that lie under most of it first."""
    covered = [(float(plan_of(part).intersection(target.leads).area), part) for part in others]
    return tuple(part for area, part in sorted(covered, key=lambda e: (-e[0], e[1].id)) if area > 0)


def _mirrored_grids(target: Part, under: Sequence[Part]) -> tuple[Part, ...]:
    if target.lead_style.value != "ball-grid":
        return ()
    return tuple(part for part in under if part.lead_style.value == "ball-grid")


def _shared_vias(
    case: Case, own: Sequence[Pad], held: Sequence[Anchors], others: Sequence[Part]
) -> tuple[SharedVia, ...]:
    """Return the vias that are in or near a land of the target and a land of a part on the other side at once."""
    vias = {
        (via.x_mm, via.y_mm): (via, pad)
        for pad, anchor in zip(own, held, strict=True)
        for via in (*anchor.vias_near, *anchor.vias_in)
        if OUTER[_other_side(case)] in via.layers
    }
    if not vias:
        return ()
    reach = shapely.multipoints(list(vias)).buffer(VIA_NEAR_MM)
    nets = {via.net for via, _ in vias.values()}
    near = [
        (part, pad)
        for part in others
        for pad in soldered_pads(part)
        if pad.net in nets and pad.copper.intersects(reach)
    ]
    below = anchors(case.board, [pad for _, pad in near], _other_side(case)) if near else []
    found = [
        SharedVia(via.x_mm, via.y_mm, via.net, vias[via.x_mm, via.y_mm][1].number, part, pad.number)
        for (part, pad), anchor in zip(near, below, strict=True)
        for via in (*anchor.vias_in, *anchor.vias_near)
        if (via.x_mm, via.y_mm) in vias
    ]
    return tuple(sorted(found, key=lambda entry: (entry.part.id, entry.part_pad, entry.x_mm, entry.y_mm)))
