"""The copper of zones that the file holds no fill for, estimated as KiCad would pour it.

A zone covers its outline, less the clearance to other nets' copper, to holes and to the board's edge, less keep-outs
and less zones of higher priority; pads of its own net keep the gap and spokes of their thermal relief. What is narrower
than the zone's least width, and islands that nothing of its net touches, are not poured. Not known from the board file
are rules and net classes that ask for more clearance.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from leeward.board.records import NO_COPPER, Artwork, Fill, Footprint, Pad, Track, Via, Zone

# What new boards keep between copper and the board's edge (KiCad source, include/board_design_settings.h,
# DEFAULT_COPPEREDGECLEARANCE); from version 6 on the board's own figure lies in the project file.
EDGE_CLEARANCE_MM = 0.5
ROUND_SEGMENTS = 4  # a quarter circle
MOST_HOLES = 200_000  # of one hatched fill; finer than that is no hatch that anyone draws


@dataclass(frozen=True, slots=True)
class Around:
    """What lies on a board beside its zones."""

    outline: BaseGeometry
    footprints: Sequence[Footprint]
    tracks: Sequence[Track]
    vias: Sequence[Via]
    artwork: Sequence[Artwork]
    copper_layers: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Piece:
    """Copper of one net on one layer, or a hole in it."""

    net: str
    area: BaseGeometry


def unfilled(zones: Iterable[Zone]) -> list[Zone]:
    """Return the zones to be poured of which the file holds no copper.

    A zone that the file calls filled holds none where others leave it no room; where no zone of the file holds any,
    its fills were not saved.
    """
    pours = [zone for zone in zones if zone.kind == "pour"]
    none_saved = not any(zone.fills for zone in pours)
    return [zone for zone in pours if not zone.fills and (none_saved or not zone.pouring.filled)]


def with_estimates(zones: tuple[Zone, ...], around: Around) -> tuple[Zone, ...]:
    """Return the zones, those without a fill with the copper that they would about get."""
    missing = {id(zone) for zone in unfilled(zones)}
    if not missing:
        return zones
    pieces = {layer: pieces_on(layer, around) for layer in around.copper_layers}
    done = {index: zone for index, zone in enumerate(zones) if id(zone) not in missing}
    for index in sorted(range(len(zones)), key=lambda i: -zones[i].pouring.priority):
        if index not in done:
            done[index] = _poured(zones[index], pieces, list(done.values()), around)
    return tuple(done[index] for index in range(len(zones)))


def pieces_on(layer: str, around: Around) -> list[Piece]:
    """Return the copper of pads, tracks, vias and artwork on one layer, and holes through it."""
    pads = [pad for part in around.footprints for pad in part.pads]
    pieces = [Piece(pad.net, pad.copper_on(layer)) for pad in pads]
    pieces += [Piece(pad.net, pad.hole) for pad in pads if pad.hole is not None]
    tracks = [track for track in around.tracks if track.layer == layer]
    lines = [shapely.linestrings(track.points) for track in tracks]
    widths = np.array([track.width_mm / 2 for track in tracks])
    pieces += [Piece(t.net, area) for t, area in zip(tracks, _grown(lines, widths), strict=True)]
    vias = [via for via in around.vias if layer in _spanned(via, around.copper_layers)]
    points = [shapely.points(via.x_mm, via.y_mm) for via in vias]
    radii = np.array([max(via.diameter_on(layer), via.drill_mm) / 2 for via in vias])
    pieces += [Piece(via.net, area) for via, area in zip(vias, _grown(points, radii), strict=True)]
    pieces += [Piece("", art.copper) for art in around.artwork if art.layer == layer]
    return [piece for piece in pieces if not piece.area.is_empty]


def _spanned(via: Via, layers: tuple[str, ...]) -> tuple[str, ...]:
    return layers[layers.index(via.layers[0]) : layers.index(via.layers[1]) + 1]


def _grown(shapes: list[BaseGeometry], by_mm: float | NDArray[np.float64]) -> list[BaseGeometry]:
    return list(shapely.buffer(shapes, by_mm, quad_segs=ROUND_SEGMENTS))


def _poured(zone: Zone, pieces: dict[str, list[Piece]], others: list[Zone], around: Around) -> Zone:
    edge = max(zone.pouring.clearance_mm, EDGE_CLEARANCE_MM)
    room = zone.outline.intersection(shapely.buffer(around.outline, -edge, quad_segs=ROUND_SEGMENTS))
    pads = [pad for part in around.footprints for pad in part.pads if pad.net == zone.net and zone.net]
    fills = tuple(Fill(layer, _fill(zone, room, layer, pieces[layer], pads, others), True) for layer in zone.layers)
    return replace(zone, fills=tuple(fill for fill in fills if not fill.copper.is_empty))


def _fill(
    zone: Zone, room: BaseGeometry, layer: str, pieces: list[Piece], pads: list[Pad], others: list[Zone]
) -> BaseGeometry:
    """Return the copper of a zone on one layer."""
    reach = shapely.buffer(shapely.envelope(room), zone.pouring.clearance_mm)
    near = [pieces[index] for index in shapely.STRtree([piece.area for piece in pieces]).query(reach)]
    own = [piece.area for piece in near if zone.net and piece.net == zone.net]
    foreign = [piece.area for piece in near if not zone.net or piece.net != zone.net]
    cuts = _grown(foreign, zone.pouring.clearance_mm)
    cuts += [
        _cut_by(other, zone, layer, reach)
        for other in others
        if layer in other.layers and other.outline.intersects(reach)
    ]
    cuts += [_relief(pad, zone, layer) for pad in pads if pad.copper_on(layer).intersects(room)]
    copper = _hatched(room.difference(shapely.union_all(cuts)), zone)
    wide = shapely.buffer(copper, -zone.pouring.narrowest_mm / 2, join_style="mitre")
    copper = shapely.buffer(wide, zone.pouring.narrowest_mm / 2, quad_segs=ROUND_SEGMENTS)
    return copper if zone.pouring.keeps_islands or not zone.net else _touched(copper, own)


def _cut_by(other: Zone, zone: Zone, layer: str, reach: BaseGeometry) -> BaseGeometry:
    """Return what a keep-out, or a zone that was poured before, takes from a zone within its reach."""
    if other.kind == "keepout":
        return other.outline if other.bars_pours else NO_COPPER
    copper = shapely.union_all([fill.copper.intersection(reach) for fill in other.fills if fill.layer == layer])
    if other.net == zone.net:
        return copper
    clearance = max(zone.pouring.clearance_mm, other.pouring.clearance_mm)
    return shapely.buffer(copper, clearance, quad_segs=ROUND_SEGMENTS)


def _relief(pad: Pad, zone: Zone, layer: str) -> BaseGeometry:
    """Return the gap round a pad of the zone's own net, its spokes left out of it."""
    how, land = zone.connection(pad), pad.copper_on(layer)
    if how == "solid":
        return NO_COPPER
    if how == "none":
        return shapely.buffer(land, zone.pouring.clearance_mm, quad_segs=ROUND_SEGMENTS)
    gap = shapely.buffer(land, zone.pouring.thermal_gap_mm, quad_segs=ROUND_SEGMENTS).difference(land)
    return gap.difference(_spokes(land, zone.pouring.thermal_gap_mm, zone.pouring.thermal_bridge_mm))


def _spokes(land: BaseGeometry, gap_mm: float, width_mm: float) -> BaseGeometry:
    """Return an upright cross over a land that reaches a spoke's width beyond the gap."""
    left, top, right, bottom = land.bounds
    x, y, reach, half = (left + right) / 2, (top + bottom) / 2, gap_mm + width_mm, width_mm / 2
    across = shapely.box(left - reach, y - half, right + reach, y + half)
    return across.union(shapely.box(x - half, top - reach, x + half, bottom + reach))


def _hatched(copper: BaseGeometry, zone: Zone) -> BaseGeometry:
    """Return the copper with the holes of a hatched fill cut out, within a border of one line's width."""
    gap, line = zone.pouring.hatch_gap_mm, zone.pouring.hatch_line_mm
    if gap <= 0 or copper.is_empty:
        return copper
    left, top, right, bottom = copper.bounds
    if (right - left) * (bottom - top) > MOST_HOLES * (gap + line) ** 2:
        return copper
    x, y = np.meshgrid(np.arange(left + line, right, gap + line), np.arange(top + line, bottom, gap + line))
    holes = shapely.union_all(shapely.box(x.ravel(), y.ravel(), x.ravel() + gap, y.ravel() + gap))
    return copper.difference(holes.intersection(shapely.buffer(copper, -line)))


def _touched(copper: BaseGeometry, own: list[BaseGeometry]) -> BaseGeometry:
    """Return the pieces of copper that something of the zone's net touches."""
    islands = shapely.get_parts(copper)
    touched, _ = shapely.STRtree(own).query(islands, predicate="intersects")
    return shapely.multipolygons(islands[np.unique(touched)])
