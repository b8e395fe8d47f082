"""Drawn lines, arcs, circles, boxes, polygons and curves, of the board (gr_) or of a footprint (fp_)."""

from collections.abc import Container, Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from leeward.board.arcs import (
    arc,
    arc_through,
    bezier,
    chords_per_quarter,
    circle,
    rounded_box,
)
from leeward.board.mended import mended
from leeward.board.nodes import (
    REACH_MM,
    Points,
    UnreadableError,
    child,
    coordinates,
    layer_of,
    measure,
    number,
    numbers,
    point,
)
from leeward.board.sexpr import Node, Straight

BARE_NUMBERS = str.maketrans("", "", "(xy)")
KINDS = ("line", "arc", "circle", "rect", "poly", "curve")
HEADS = frozenset(f"{prefix}_{kind}" for prefix in ("gr", "fp") for kind in KINDS)
TEXTS = frozenset({"gr_text", "fp_text", "gr_text_box", "fp_text_box"})


@dataclass(frozen=True, slots=True)
class Graphic:
    """One drawn shape, in the frame of what holds it."""

    layer: str  # as the file writes it
    points: Points  # shape (n, 2), mm; arcs broken into chords
    closed: bool
    filled: bool
    width_mm: float

    def area(self) -> BaseGeometry:
        """Return the area that the shape covers: its inside where filled, and its line."""
        parts: list[BaseGeometry] = []
        if self.filled and self.closed and len(self.points) > 2:
            parts.extend(mended([shapely.polygons(self.points)]))
        if self.width_mm > 0 and len(self.points) > 1:
            path = np.vstack((self.points, self.points[:1])) if self.closed else self.points
            radius = self.width_mm / 2
            parts.append(shapely.buffer(shapely.linestrings(path), radius, quad_segs=chords_per_quarter(radius)))
        return shapely.union_all(parts)


def graphics(node: Node, layers: Container[str] | None = None) -> Iterator[Graphic]:
    """Yield the drawn shapes directly below a footprint or a pad's primitives, of all or of some layers."""
    for entry in node:
        if isinstance(entry, list) and entry[0] in HEADS and (layers is None or layer_of(entry) in layers):
            yield graphic(entry)


def graphic(node: Node) -> Graphic:
    """Return one drawn shape; UnreadableError where its points are missing or no numbers."""
    kind = str(node[0])[3:]
    points, closed = SHAPES[kind](node)
    width = _width(node)
    return Graphic(layer_of(node), points, closed, _filled(node, kind, width), width)


def polyline(node: Node) -> Points:
    """Return the points of the child `pts`: `(xy x y)` and, from KiCad 7 on, arcs."""
    pts = child(node, "pts")
    if pts is None:
        raise UnreadableError(f"({node[0]} ...) has no (pts ...)")
    return path(pts)


def path(pts: Node) -> Points:
    """Return the points of a node `pts`."""
    if len(pts) == 2 and isinstance(pts[1], Straight):
        return _straight(pts[1])
    pairs: list[tuple[float, float]] = []
    for entry in pts[1:]:
        if isinstance(entry, str):
            raise UnreadableError(f"a list of points holds {entry[:40]!r}")
        if entry[0] == "xy" and len(entry) > 2:
            pairs.append((number(entry[1]), number(entry[2])))
        elif entry[0] == "arc":
            bent = arc_through(point(entry, "start"), point(entry, "mid"), point(entry, "end"))
            pairs.extend((float(x), float(y)) for x, y in bent)
        else:
            raise UnreadableError(f"a list of points holds {entry[0]!r}")
    return coordinates(pairs)


def _straight(written: Straight) -> Points:
    points = np.fromstring(written.translate(BARE_NUMBERS), sep=" ").reshape(-1, 2)
    if np.any(np.abs(points) > REACH_MM):
        raise UnreadableError("a list of points goes beyond what a board can reach")
    return points


def _line(node: Node) -> tuple[Points, bool]:
    return coordinates([point(node, "start"), point(node, "end")]), False


def _arc(node: Node) -> tuple[Points, bool]:
    if child(node, "mid") is not None:
        return arc_through(point(node, "start"), point(node, "mid"), point(node, "end")), False
    # Up to KiCad 5: `start` is the centre, `end` the arc's beginning, `angle` how far it runs clockwise.
    return arc(point(node, "start"), point(node, "end"), measure(node, "angle", 360.0)), False


def _circle(node: Node) -> tuple[Points, bool]:
    (x, y), (end_x, end_y) = point(node, "center"), point(node, "end")
    return circle(x, y, float(np.hypot(end_x - x, end_y - y))), True


def _rect(node: Node) -> tuple[Points, bool]:
    """Return the box's corners, rounded where it says so (KiCad 10 on)."""
    (left, top), (right, bottom) = point(node, "start"), point(node, "end")
    radius = min(measure(node, "radius", 0.0), abs(right - left) / 2, abs(bottom - top) / 2)
    if radius <= 0:
        return coordinates([(left, top), (right, top), (right, bottom), (left, bottom)]), True
    half_w, half_h = abs(right - left) / 2, abs(bottom - top) / 2
    corners = shapely.get_coordinates(rounded_box(half_w - radius, half_h - radius, radius))[:-1]
    return corners + np.array([(left + right) / 2, (top + bottom) / 2]), True


def _poly(node: Node) -> tuple[Points, bool]:
    return polyline(node), True


def _curve(node: Node) -> tuple[Points, bool]:
    control = polyline(node)
    return (bezier(control) if len(control) == 4 else control), False


SHAPES = {"line": _line, "arc": _arc, "circle": _circle, "rect": _rect, "poly": _poly, "curve": _curve}


def _filled(node: Node, kind: str, width: float) -> bool:
    found = child(node, "fill")
    if found is None:  # up to KiCad 5: polygons were always filled, circles and boxes where their line had no width
        return kind == "poly" or (kind in ("circle", "rect") and width == 0)
    return len(found) > 1 and found[1] in ("yes", "solid")


def _width(node: Node) -> float:
    stroke = child(node, "stroke")
    widths = numbers(stroke if stroke is not None else node, "width")
    return widths[0] if widths else 0.0
