"""Try a change of the layout on the record of a board: a part moved or turned, a relief or a via given to a land.

Nothing is routed anew. Tracks, vias and fills lie as they did before a part was moved or turned, and the board's notes
say so.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from leeward.board.records import Board, Fill, Footprint, Pad, Via, Zone

USUAL_GAP_MM = 0.5  # gap and spokes of a relief where the zone states none; KiCad's own, from memory
USUAL_CLEARANCE_MM = 0.2  # between a new via and copper of other nets where the zone states none; KiCad's own, memory


@dataclass(frozen=True, slots=True)
class Move:
    """A part moved along the board's axes."""

    part: str  # its id
    dx_mm: float
    dy_mm: float


@dataclass(frozen=True, slots=True)
class Turn:
    """A part turned about its own origin, counter-clockwise as drawn."""

    part: str
    by_deg: float


@dataclass(frozen=True, slots=True)
class Relief:
    """Spokes in place of the full contact between a pad and the pours of its net."""

    part: str
    pad: str  # its number


@dataclass(frozen=True, slots=True)
class ViaInLand:
    """A through via in the middle of a pad, filled so that the solder stays where it is."""

    part: str
    pad: str
    drill_mm: float
    diameter_mm: float


Edit = Move | Turn | Relief | ViaInLand
Placing = Callable[[BaseGeometry], BaseGeometry]


def apply(board: Board, edit: Edit) -> Board:
    """Return the board after an edit. Raises KeyError where it has no such part or pad."""
    part = _part(board, edit.part)
    if isinstance(edit, Relief):
        return _relieved(board, part, edit.pad)
    if isinstance(edit, ViaInLand):
        return _with_via(board, part, edit)
    moved = _placed(part, edit)
    footprints = tuple(moved if other.id == part.id else other for other in board.footprints)
    note = f"{part.ref} was tried {_words(edit)}: tracks, vias and fills lie as they did before"
    return replace(board, footprints=footprints, notes=(*board.notes, note))


def is_free_for_via(board: Board, edit: ViaInLand) -> bool:
    """Return whether a via meets no track, pad or via of another net on any layer; pours give way to it."""
    part = _part(board, edit.part)
    pad = next(pad for pad in part.pads if pad.number == edit.pad)
    ring = shapely.Point(pad.x_mm, pad.y_mm).buffer(edit.diameter_mm / 2 + USUAL_CLEARANCE_MM)
    pads = [other.copper for each in board.footprints for other in each.pads if other.net != pad.net]
    tracks = [shapely.LineString(track.points).buffer(track.width_mm / 2) for track in board.tracks
              if track.net != pad.net and _reaches(track.points, ring, track.width_mm)]  # fmt: skip
    vias = [shapely.Point(via.x_mm, via.y_mm).buffer(via.diameter_mm / 2) for via in board.vias if via.net != pad.net]
    return not shapely.intersects(ring, [*pads, *tracks, *vias]).any()


def turned(shape: BaseGeometry, by_deg: float, x_mm: float, y_mm: float) -> BaseGeometry:
    """Return a shape turned about a point, counter-clockwise as drawn while y runs down."""
    return affinity.rotate(shape, -by_deg, origin=(x_mm, y_mm))


def _reaches(points: tuple[tuple[float, float], ...], ring: BaseGeometry, width_mm: float) -> bool:
    x0, y0, x1, y1 = ring.bounds
    xs, ys = zip(*points, strict=True)
    half = width_mm / 2
    return bool(min(xs) - half < x1 and max(xs) + half > x0 and min(ys) - half < y1 and max(ys) + half > y0)


def _part(board: Board, part_id: str) -> Footprint:
    for footprint in board.footprints:
        if footprint.id == part_id:
            return footprint
    raise KeyError(part_id)


def _words(edit: Move | Turn) -> str:
    if isinstance(edit, Turn):
        return f"turned by {edit.by_deg:g} degrees"
    return f"moved by {edit.dx_mm:.2f}, {edit.dy_mm:.2f} mm"


def _placed(part: Footprint, edit: Move | Turn) -> Footprint:
    place = _placing(part, edit)
    origin = place(shapely.Point(part.x_mm, part.y_mm))
    return replace(
        part,
        x_mm=origin.x,
        y_mm=origin.y,
        rotation_deg=(part.rotation_deg + edit.by_deg) % 360 if isinstance(edit, Turn) else part.rotation_deg,
        pads=tuple(_placed_pad(pad, place) for pad in part.pads),
        courtyard=None if part.courtyard is None else place(part.courtyard),
        fab=None if part.fab is None else place(part.fab),
        silk=None if part.silk is None else place(part.silk),
    )


def _placing(part: Footprint, edit: Move | Turn) -> Placing:
    if isinstance(edit, Turn):
        return lambda shape: turned(shape, edit.by_deg, part.x_mm, part.y_mm)
    return lambda shape: affinity.translate(shape, edit.dx_mm, edit.dy_mm)


def _placed_pad(pad: Pad, place: Placing) -> Pad:
    at = place(shapely.Point(pad.x_mm, pad.y_mm))
    return replace(
        pad,
        x_mm=at.x,
        y_mm=at.y,
        copper=place(pad.copper),
        hole=None if pad.hole is None else place(pad.hole),
        exceptions={layer: place(copper) for layer, copper in pad.exceptions.items()},
    )


def _relieved(board: Board, part: Footprint, number: str) -> Board:
    pads = [pad for pad in part.pads if pad.number == number]
    if not pads:
        raise KeyError(number)
    own = tuple(replace(pad, zone_connection="thermal") if pad.number == number else pad for pad in part.pads)
    eased = replace(part, pads=own)
    zones = tuple(_with_reliefs(zone, pads, part.rotation_deg) for zone in board.zones)
    footprints = tuple(eased if other.id == part.id else other for other in board.footprints)
    return replace(board, footprints=footprints, zones=zones)


def _with_reliefs(zone: Zone, pads: list[Pad], rotation_deg: float) -> Zone:
    gap = zone.pouring.thermal_gap_mm or USUAL_GAP_MM
    bridge = zone.pouring.thermal_bridge_mm or USUAL_GAP_MM
    of_net = [pad for pad in pads if pad.net and pad.net == zone.net]
    return _cut(zone, lambda fill: [_gap(pad.copper_on(fill.layer), gap, bridge, rotation_deg) for pad in of_net])


def _gap(copper: BaseGeometry, gap_mm: float, bridge_mm: float, rotation_deg: float) -> BaseGeometry:
    """Return what is taken out of a pour round a pad: a ring with four spokes left standing."""
    if copper.is_empty:
        return copper
    middle, reach = copper.centroid, copper.length / 2 + gap_mm
    across = shapely.box(middle.x - reach, middle.y - bridge_mm / 2, middle.x + reach, middle.y + bridge_mm / 2)
    spokes = [turned(across, rotation_deg + quarter, middle.x, middle.y) for quarter in (0, 90)]
    return copper.buffer(gap_mm).difference(shapely.union_all(spokes))


def _with_via(board: Board, part: Footprint, edit: ViaInLand) -> Board:
    pad = next((pad for pad in part.pads if pad.number == edit.pad), None)
    if pad is None:
        raise KeyError(edit.pad)
    outer = (board.copper_layers[0], board.copper_layers[-1])
    via = Via(pad.x_mm, pad.y_mm, edit.diameter_mm, edit.drill_mm, outer, pad.net)
    land = shapely.Point(via.x_mm, via.y_mm).buffer(via.diameter_mm / 2)
    zones = tuple(_giving_way(zone, land) if zone.net != pad.net else zone for zone in board.zones)
    return replace(board, vias=(*board.vias, via), zones=zones)


def _giving_way(zone: Zone, land: BaseGeometry) -> Zone:
    room = land.buffer(zone.pouring.clearance_mm or USUAL_CLEARANCE_MM)
    return _cut(zone, lambda _fill: [room])


def _cut(zone: Zone, taken: Callable[[Fill], list[BaseGeometry]]) -> Zone:
    """Return a zone with shapes taken out of each of its fills; the zone itself where none meets them."""
    fills = tuple(_without(fill, taken(fill)) for fill in zone.fills)
    return replace(zone, fills=fills) if any(a is not b for a, b in zip(fills, zone.fills, strict=True)) else zone


def _without(fill: Fill, shapes: list[BaseGeometry]) -> Fill:
    meeting = [shape for shape in shapes if fill.copper.intersects(shape)]
    return replace(fill, copper=fill.copper.difference(shapely.union_all(meeting))) if meeting else fill
