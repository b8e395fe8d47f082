"""Copper beside the pads: tracks, vias, zones with their fills, and artwork."""

from collections.abc import Mapping
from typing import Literal

import shapely
from shapely.geometry.base import BaseGeometry

from leeward.board.arcs import arc_through, chords_per_quarter
from leeward.board.graphics import Graphic, polyline
from leeward.board.names import Names
from leeward.board.nodes import (
    Points,
    UnreadableError,
    atoms,
    child,
    children,
    line_of,
    measure,
    point,
    text,
)
from leeward.board.records import Artwork, Fill, Track, Via, Zone
from leeward.board.sexpr import Node

FIRST_WITH_WHOLE_FILLS = 20220000  # from KiCad 7 on a fill's outline is the copper's edge, whatever the zone says


def track(node: Node, names: Names) -> Track:
    """Return a `segment` or `arc` of copper."""
    start, end = point(node, "start"), point(node, "end")
    points: tuple[tuple[float, float], ...] = (start, end)
    if node[0] == "arc":
        points = tuple((float(x), float(y)) for x, y in arc_through(start, point(node, "mid"), end))
    return Track(names.layer(text(node, "layer")), names.net(node), measure(node, "width", 0.0), points)


def via(node: Node, names: Names, drills: Mapping[str, float]) -> Via:
    """Return a via; its drill is that of its net's class where it gives none itself (up to KiCad 5)."""
    x, y = point(node, "at")
    spanned = names.copper_of(atoms(child(node, "layers"))) or names.copper
    if not spanned:
        raise UnreadableError("a via lies on no copper layer")
    net = names.net(node)
    drill = measure(node, "drill", drills.get(net, 0.0))
    return Via(x, y, measure(node, "size", 0.0), drill, (spanned[0], spanned[-1]), net)


def class_drills(root: Node) -> dict[str, float]:
    """Return the via drill of each net by its net class, as KiCad up to 5 keeps it in the board file."""
    return {
        name: measure(node, "via_drill", 0.0)
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
    pen = measure(node, "min_thickness", 0.0) if _drawn_with_pen(node, version) else 0.0
    kind = _kind(node)
    return Zone(
        kind=kind,
        net=names.net(node),
        layers=layers,
        outline=_outline(node),
        fills=() if kind == "keepout" else _fills(node, layers, names, pen),
        line=line_of(node),
    )


def artwork(shape: Graphic, names: Names) -> Artwork:
    """Return a graphic on a copper layer as copper."""
    return Artwork(names.layer(shape.layer), shape.area())


def _kind(node: Node) -> Literal["pour", "teardrop", "keepout"]:
    if child(node, "keepout") is not None:
        return "keepout"
    attributes = child(node, "attr")
    return "pour" if attributes is None or child(attributes, "teardrop") is None else "teardrop"


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
    if pen_mm <= 0:
        return shapely.multipolygons(shapely.get_parts(shapely.buffer(areas, 0)))
    radius = pen_mm / 2
    return shapely.union_all(shapely.buffer(areas, radius, quad_segs=chords_per_quarter(radius)))


def _valid(points: Points) -> BaseGeometry:
    """Return the area inside a ring, also of one that touches itself."""
    return shapely.buffer(_with_cuts(points), 0)


def _with_cuts(points: Points) -> BaseGeometry:
    """Return a ring as KiCad writes fills: holes joined to the edge by cuts of no width."""
    return shapely.polygons(points) if len(points) > 2 else shapely.Polygon()
