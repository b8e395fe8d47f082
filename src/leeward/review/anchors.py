"""What copper holds each land, read off the layer that the land lies on.

A trace counts where it crosses the land's edge, with the width and the direction that it leaves with; a teardrop
widens that neck. A pour counts by the length of the land's edge that lies on it. A via counts in the land when its
centre lies there, near it when it lies within a millimetre and copper of that layer joins the two.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from math import atan2, degrees, pi

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import STRtree
from shapely.geometry.base import BaseGeometry

from leeward.board.records import Board, Pad, Side, Via, Zone
from leeward.constants import number

VIA_NEAR_MM = 1.0  # a joined via this near to the land's edge holds its trace; house rule
TOUCH_MM = 1e-3  # copper nearer than this is joined: outlines are good to that
LEAST_CONTACT_MM = 0.02  # shorter contacts are corners of outlines
ROUND_SEGMENTS = 8  # a quarter circle of a trace's end
OUTER = {"top": "F.Cu", "bottom": "B.Cu"}


@dataclass(frozen=True, slots=True)
class Trace:
    """One trace where it leaves a land."""

    neck_mm: float  # width of its copper, with a teardrop, at the land's edge
    direction_deg: float  # counter-clockwise from +x as drawn
    teardrop: bool = False


@dataclass(frozen=True, slots=True)
class Anchors:
    """What holds one land besides its own adhesion."""

    traces: tuple[Trace, ...] = ()
    vias_in: tuple[Via, ...] = ()
    vias_near: tuple[Via, ...] = ()
    pour_contacts_mm: tuple[float, ...] = ()  # lengths of the land's edge that lie on a pour, one for each contact
    pour_solid: bool = False  # the pour is set to meet the land without spokes
    joined_lands: tuple[str, ...] = ()  # numbers of the part's other lands that touch this one
    holes_in: tuple[Pad, ...] = ()  # plated holes of the part in the land: its own, or pads drawn in it
    barrel_mm2: float = 0.0  # copper section of the barrels in the land

    @property
    def nothing(self) -> bool:
        """Whether no copper leaves the land."""
        barrels = self.vias_in or self.vias_near or self.holes_in
        return not (self.traces or barrels or self.pour_contacts_mm or self.joined_lands)


@dataclass(frozen=True, slots=True)
class _Run:
    """One track with its copper."""

    line: BaseGeometry
    copper: BaseGeometry
    width_mm: float


@dataclass(frozen=True, slots=True)
class _Pour:
    """What one zone was filled with, or drawn copper, near the lands."""

    copper: BaseGeometry
    zone: Zone | None


@dataclass(frozen=True, slots=True)
class _Surroundings:
    """Copper of one layer round the lands that are looked at."""

    runs: Sequence[_Run]
    run_tree: STRtree
    pours: Sequence[_Pour]
    teardrops: Sequence[BaseGeometry]
    vias: Sequence[Via]
    via_points: NDArray[np.object_]
    plating_mm: float


def anchors(board: Board, pads: Sequence[Pad], side: Side) -> list[Anchors]:
    """Return what holds each of a part's lands, on the side that the part stands on."""
    layers = [land_layer(pad, side) for pad in pads]
    lands = [pad.copper_on(layer) for pad, layer in zip(pads, layers, strict=True)]
    around = {layer: _surroundings(board, layer, shapely.union_all(lands)) for layer in set(layers)}
    tree = STRtree(lands)
    return [
        _anchors(around[layer], pad, land, [pads[i] for i in sorted(tree.query(land, "intersects")) if pads[i] != pad])
        for pad, layer, land in zip(pads, layers, lands, strict=True)
    ]


def land_layer(pad: Pad, side: Side) -> str:
    """Return the layer on which a pad is looked at: the part's own where the pad is there."""
    return OUTER[side] if OUTER[side] in pad.layers else pad.layers[0]


def _surroundings(board: Board, layer: str, lands: BaseGeometry) -> _Surroundings:
    window = shapely.box(*lands.bounds).buffer(2 * VIA_NEAR_MM).envelope
    lines = [shapely.LineString(track.points) for track in board.tracks if track.layer == layer]
    widths = [track.width_mm for track in board.tracks if track.layer == layer]
    runs = [
        _Run(line, line.buffer(width / 2, quad_segs=ROUND_SEGMENTS), width)
        for line, width in zip(lines, widths, strict=True)
        if line.distance(window) < width
    ]
    fills = [(zone, fill.copper) for zone in board.zones for fill in zone.fills if fill.layer == layer]
    near = [_Pour(copper.intersection(window), zone) for zone, copper in fills if copper.intersects(window)]
    drawn = [art.copper for art in board.artwork if art.layer == layer and art.copper.intersects(window)]
    vias = [via for via in board.vias if window.covers(shapely.Point(via.x_mm, via.y_mm)) and layer in span(board, via)]
    return _Surroundings(
        runs=runs,
        run_tree=STRtree([run.copper for run in runs]),
        pours=[*(p for p in near if p.zone and p.zone.kind == "pour"), *(_Pour(copper, None) for copper in drawn)],
        teardrops=[p.copper for p in near if p.zone and p.zone.kind == "teardrop"],
        vias=vias,
        via_points=shapely.points(np.array([(via.x_mm, via.y_mm) for via in vias], dtype=float).reshape(-1, 2)),
        plating_mm=number("materials", "copper", "via_plating_mm"),
    )


def span(board: Board, via: Via) -> tuple[str, ...]:
    """Return the copper layers that a via passes through."""
    first, last = (board.copper_layers.index(layer) for layer in via.layers)
    return board.copper_layers[first : last + 1]


def _anchors(around: _Surroundings, pad: Pad, land: BaseGeometry, touching: Sequence[Pad]) -> Anchors:
    runs = [around.runs[i] for i in around.run_tree.query(land, predicate="dwithin", distance=TOUCH_MM)]
    pours = [pour for pour in around.pours if pour.copper.distance(land) < TOUCH_MM]
    drops = [copper for copper in around.teardrops if copper.distance(land) < TOUCH_MM]
    inside, near = _vias(around, pad, land, [pour.copper for pour in pours])
    holes = tuple(hole for hole in (pad, *touching) if _is_hole_in(hole, land))
    return Anchors(
        traces=_traces(land, runs, drops),
        vias_in=tuple(inside),
        vias_near=tuple(near),
        pour_contacts_mm=_contacts_mm(land, [pour.copper for pour in pours]),
        pour_solid=any(pour.zone is None or pour.zone.connection(pad) == "solid" for pour in pours),
        joined_lands=tuple(other.number for other in touching if other.kind != "through-hole"),
        holes_in=holes,
        barrel_mm2=_barrels_mm2(
            around.plating_mm, [*(via.drill_mm for via in inside), *(h.drill_mm or 0.0 for h in holes)]
        ),
    )


def _barrels_mm2(plating_mm: float, drills_mm: Sequence[float]) -> float:
    """Return the copper section of plated barrels."""
    return sum(pi * max(drill - plating_mm, 0.0) * plating_mm for drill in drills_mm)


def _is_hole_in(pad: Pad, land: BaseGeometry) -> bool:
    return pad.kind == "through-hole" and bool(land.covers(shapely.Point(pad.x_mm, pad.y_mm)))


def _contacts_mm(land: BaseGeometry, copper: Sequence[BaseGeometry]) -> tuple[float, ...]:
    """Return the lengths of the land's edge that lie on copper, each stretch by itself, the longest first."""
    if not copper:
        return ()
    on_edge = land.boundary.intersection(shapely.union_all([piece.buffer(TOUCH_MM) for piece in copper]))
    merged = shapely.line_merge(on_edge) if on_edge.geom_type == "MultiLineString" else on_edge
    lengths = [float(piece.length) for piece in shapely.get_parts(merged)]
    return tuple(sorted((length for length in lengths if length > LEAST_CONTACT_MM), reverse=True))


def _traces(land: BaseGeometry, runs: Sequence[_Run], teardrops: Sequence[BaseGeometry]) -> tuple[Trace, ...]:
    """Return the traces that leave a land, each once, counter-clockwise from +x."""
    found: dict[tuple[int, int, int], Trace] = {}
    for run, points in _exits(land, runs):
        (x, y), direction = points[0], _direction_deg(points)
        drop = max((_crossing_mm(land, piece, x, y) for piece in teardrops), default=0.0)
        trace = Trace(max(run.width_mm, drop), direction, teardrop=drop > run.width_mm)
        key = round(x * 50), round(y * 50), round(direction / 5)  # the same trace drawn twice is one
        if key not in found or found[key].neck_mm < trace.neck_mm:
            found[key] = trace
    return tuple(sorted(found.values(), key=lambda trace: trace.direction_deg))


def _exits(land: BaseGeometry, runs: Sequence[_Run]) -> list[tuple[_Run, NDArray[np.float64]]]:
    """Return where tracks leave a land: each with the points of its centre line, the one on the land's edge first.

    A track whose centre line stays outside counts only if its round end or its side is what touches the land, not
    if it carries on a track that left the land before.
    """
    crossing = [run for run in runs if run.line.distance(land) < TOUCH_MM]
    outside = [run for run in runs if run.line.distance(land) >= TOUCH_MM]
    beside = [run for run in outside if not any(_carries_on(run, other) for other in crossing)]
    return [
        *((run, points) for run in crossing for points in _leaving(land, run.line)),
        *((run, _from_nearest(land, shapely.get_coordinates(run.line))) for run in beside),
    ]


def _carries_on(run: _Run, other: _Run) -> bool:
    return bool(run.line.distance(other.line.boundary) < TOUCH_MM)


def _leaving(land: BaseGeometry, line: BaseGeometry) -> list[NDArray[np.float64]]:
    pieces = [piece for piece in shapely.get_parts(line.difference(land)) if piece.length > TOUCH_MM]
    both_ways = [way for piece in pieces for way in _both_ways(shapely.get_coordinates(piece))]
    return [points for points in both_ways if shapely.Point(points[0]).distance(land) < TOUCH_MM]


def _both_ways(points: NDArray[np.float64]) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    return points, points[::-1]


def _from_nearest(land: BaseGeometry, points: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return a line's points from its end nearer to the land."""
    return min(_both_ways(points), key=lambda way: float(shapely.Point(way[0]).distance(land)))


def _direction_deg(points: NDArray[np.float64]) -> float:
    dx, dy = points[1] - points[0]
    return round(degrees(atan2(-dy, dx)), 3) % 360  # y runs down


def _crossing_mm(land: BaseGeometry, teardrop: BaseGeometry, x: float, y: float) -> float:
    """Return how much of the land's edge a teardrop takes where a trace leaves it."""
    if teardrop.distance(shapely.Point(x, y)) > TOUCH_MM:
        return 0.0
    return max(_contacts_mm(land, [teardrop]), default=0.0)


def _vias(
    around: _Surroundings, pad: Pad, land: BaseGeometry, pours: Sequence[BaseGeometry]
) -> tuple[list[Via], list[Via]]:
    """Return the vias of the pad's net in the land, and those near it that its copper reaches."""
    distance = shapely.distance(land, around.via_points)
    close: list[int] = np.flatnonzero(distance <= VIA_NEAR_MM).tolist()
    close = [i for i in close if around.vias[i].net == pad.net]
    inside = [around.vias[i] for i in close if distance[i] == 0]
    others = [around.vias[i] for i in close if distance[i] > 0]
    joined = _joined(around, land, pours) if others else land
    near = [via for via in others if disc(via).distance(joined) < TOUCH_MM]
    return inside, near


def _joined(around: _Surroundings, land: BaseGeometry, pours: Sequence[BaseGeometry]) -> BaseGeometry:
    """Return the copper that a land is joined with, no further off than a via may be near."""
    reach = land.buffer(VIA_NEAR_MM, quad_segs=ROUND_SEGMENTS)
    runs = [around.runs[i].copper for i in around.run_tree.query(reach, predicate="intersects")]
    copper = [piece.intersection(reach) for piece in (*runs, *around.teardrops, *pours)]
    together = shapely.union_all([land.buffer(TOUCH_MM), *copper])
    return next(part for part in shapely.get_parts(together) if part.intersects(land))


def disc(via: Via) -> BaseGeometry:
    """Return a via's land in plan."""
    return shapely.Point(via.x_mm, via.y_mm).buffer(via.diameter_mm / 2, quad_segs=ROUND_SEGMENTS)
