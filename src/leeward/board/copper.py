"""Copper beside the pads: tracks, vias, zones with their fills, and artwork."""

from collections.abc import Mapping
from typing import Literal

import shapely
from shapely.geometry.base import BaseGeometry

from leeward.board.arcs import arc_through
from leeward.board.graphics import Graphic, polyline
from leeward.board.mended import apart, joined, mended
from leeward.board.names import Names
from leeward.board.nodes import (
    Points,
    UnreadableError,
    atoms,
    child,
    children,
    extent,
    flag,
    layer_of,
    line_of,
    point,
    text,
)
from leeward.board.pads import by_layer, optional_layers
from leeward.board.records import Artwork, Fill, Pouring, Track, Via, ViaKind, Zone, ZoneConnection
from leeward.board.sexpr import Node

ZONE_CONNECTIONS: dict[str, ZoneConnection] = {
    "yes": "solid",
    "no": "none",
    "thru_hole_only": "thermal-through-hole-only",
}
FIRST_WITH_WHOLE_FILLS = 20220000  # from KiCad 7 on a fill's outline is the copper's edge, whatever the zone says


def track(node: Node, names: Names) -> Track:
    """Return a `segment` or `arc` of copper."""
    start, end = point(node, "start"), point(node, "end")
    points: tuple[tuple[float, float], ...] = (start, end)
    if node[0] == "arc":
        points = tuple((float(x), float(y)) for x, y in arc_through(start, point(node, "mid"), end))
    layer = names.layer(layer_of(node))
    if layer not in names.copper:
        raise UnreadableError(f"a track lies on layer {layer!r}, which is no copper layer")
    return Track(layer, names.net(node), extent(node, "width", 0.0), points)


def via(node: Node, names: Names, drills: Mapping[str, float]) -> Via:
    """Return a via; its drill is that of its net's class where it gives none itself (up to KiCad 5)."""
    x, y = point(node, "at")
    spanned = names.copper_of(atoms(child(node, "layers"))) or names.copper
    if not spanned:
        raise UnreadableError("a via lies on no copper layer")
    net = names.net(node)
    spanned = names.copper[names.copper.index(spanned[0]) : names.copper.index(spanned[-1]) + 1]
    diameter, others = _diameters(node, spanned)
    return Via(
        x_mm=x,
        y_mm=y,
        diameter_mm=diameter,
        drill_mm=extent(node, "drill", drills.get(net, 0.0)),
        layers=(spanned[0], spanned[-1]),
        net=net,
        kind=_via_kind(node, spanned, names),
        optional_layers=optional_layers(node, spanned),
        exceptions=others,
    )


def _diameters(node: Node, spanned: tuple[str, ...]) -> tuple[float, dict[str, float]]:
    """Return a via's diameter, and those of the layers where its pad stack or `start_end_only` has another."""
    own = extent(node, "size", 0.0)
    found = {layer: extent(entry, "size", own) for layer, entry in by_layer(node, spanned).items()}
    if flag(node, "start_end_only"):
        found |= dict.fromkeys(spanned[1:-1], 0.0)
    return own, {layer: diameter for layer, diameter in found.items() if diameter != own}


def _via_kind(node: Node, spanned: tuple[str, ...], names: Names) -> ViaKind:
    """Return the via's kind; before KiCad 10 the file writes "blind" for buried vias too."""
    if "micro" in node:
        return "micro"
    if spanned == names.copper:
        return "through"
    return "blind" if {spanned[0], spanned[-1]} & {names.copper[0], names.copper[-1]} else "buried"


def class_drills(root: Node) -> dict[str, float]:
    """Return the via drill of each net by its net class, as KiCad up to 5 keeps it in the board file."""
    return {
        name: extent(node, "via_drill", 0.0)
        for node in children(root, "net_class")
        for member in children(node, "add_net")
        for name in atoms(member)
    }


def zone(node: Node, names: Names, version: int) -> Zone:
    """Return a zone with its fills by layer.

    A fill's area is KiCad's: in files that draw the fill with a pen of the zone's minimum width, that pen's
    width is part of the copper.
    """
    written = atoms(child(node, "layers")) or atoms(child(node, "layer"))
    layers = names.copper_of(written)
    pen = extent(node, "min_thickness", 0.0) if _drawn_with_pen(node, version) else 0.0
    kind = _kind(node)
    return Zone(
        kind=kind,
        net=names.net(node),
        layers=layers,
        outline=_outline(node),
        fills=() if kind == "keepout" else _fills(node, layers, names, pen),
        line=line_of(node),
        pouring=_pouring(node),
        bars_pours=_bars_pours(node),
    )


def artwork(shape: Graphic, names: Names) -> Artwork:
    """Return a graphic on a copper layer as copper."""
    return Artwork(names.layer(shape.layer), shape.area())


def _kind(node: Node) -> Literal["pour", "teardrop", "keepout"]:
    if child(node, "keepout") is not None:
        return "keepout"
    attributes = child(node, "attr")
    return "pour" if attributes is None or child(attributes, "teardrop") is None else "teardrop"


def _bars_pours(node: Node) -> bool:
    keepout = child(node, "keepout")
    return keepout is not None and text(keepout, "copperpour") == "not_allowed"


def _pouring(node: Node) -> Pouring:
    fill, connected = child(node, "fill") or ["fill"], child(node, "connect_pads") or ["connect_pads"]
    words = atoms(connected)
    hatched = text(fill, "mode") == "hatch"
    return Pouring(
        filled="yes" in atoms(fill),
        priority=_count(text(node, "priority")),
        clearance_mm=extent(connected, "clearance", 0.0),
        narrowest_mm=extent(node, "min_thickness", 0.0),
        connection=ZONE_CONNECTIONS[words[0]] if words and words[0] in ZONE_CONNECTIONS else "thermal",
        thermal_gap_mm=extent(fill, "thermal_gap", 0.0),
        thermal_bridge_mm=extent(fill, "thermal_bridge_width", 0.0),
        hatch_gap_mm=extent(fill, "hatch_gap", 0.0) if hatched else 0.0,
        hatch_line_mm=extent(fill, "hatch_thickness", 0.0) if hatched else 0.0,
        keeps_islands=text(fill, "island_removal_mode") == "1",
    )


def _count(written: str) -> int:
    return int(written) if written.isdecimal() and len(written) < 10 else 0


def _drawn_with_pen(node: Node, version: int) -> bool:
    return version < FIRST_WITH_WHOLE_FILLS and text(node, "filled_areas_thickness", "yes") != "no"


def _outline(node: Node) -> BaseGeometry:
    """Return the zone's own outline; the first polygon is the land, the others are holes in it."""
    areas = [_valid(polyline(entry)) for entry in children(node, "polygon")]
    if not areas:
        return shapely.Polygon()
    return areas[0].difference(shapely.union_all(areas[1:])) if len(areas) > 1 else areas[0]


def _fills(node: Node, layers: tuple[str, ...], names: Names, pen_mm: float) -> tuple[Fill, ...]:
    by_layer: dict[str, list[BaseGeometry]] = {}
    for entry in children(node, "filled_polygon"):
        layer = names.layer(text(entry, "layer")) or (layers[0] if layers else "")
        if layer in names.copper:
            by_layer.setdefault(layer, []).append(_with_cuts(polyline(entry)))
    return tuple(Fill(layer, _joined(by_layer[layer], pen_mm)) for layer in names.copper if layer in by_layer)


def _joined(areas: list[BaseGeometry], pen_mm: float) -> BaseGeometry:
    return joined(mended(areas, pen_mm)) if pen_mm > 0 else apart(mended(areas))


def _valid(points: Points) -> BaseGeometry:
    """Return the area inside a ring, also of one that touches or crosses itself."""
    area: BaseGeometry = mended([_with_cuts(points)])[0]
    return area


def _with_cuts(points: Points) -> BaseGeometry:
    """Return a ring as KiCad writes fills: holes joined to the edge by cuts of no width."""
    return shapely.polygons(points) if len(points) > 2 else shapely.Polygon()
