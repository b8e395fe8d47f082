"""A drawing as records: shapes in millimetres, each with a named ink. SVG, PDF and DXF render it; none decides on it.

Frame: x right, y down, as the board is drawn. A drawing seen from below is made so by `mirrored`, before any form
renders it, so that every form agrees.
"""

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Literal

import shapely
from shapely.geometry.base import BaseGeometry

Point = tuple[float, float]
Ring = tuple[Point, ...]
Frame = tuple[float, float, float, float]
Anchor = Literal["start", "middle", "end"]
OTHER_END: Mapping[Anchor, Anchor] = {"start": "end", "end": "start"}


@dataclass(frozen=True, slots=True)
class Area:
    """A filled shape with holes (even-odd), its rings closed by the form. `key` names it for links."""

    rings: tuple[Ring, ...]
    ink: str
    key: str = ""


@dataclass(frozen=True, slots=True)
class Line:
    """An open or closed run of straight strokes."""

    points: Ring
    ink: str
    closed: bool = False
    key: str = ""


@dataclass(frozen=True, slots=True)
class Words:
    """A line of text; `at` is its base line's start, middle or end; the height is a capital letter's.

    The angle is counter-clockwise as drawn.
    """

    text: str
    at: Point
    height_mm: float
    ink: str
    anchor: Anchor = "middle"
    angle_deg: float = 0.0
    key: str = ""


Item = Area | Line | Words


@dataclass(frozen=True, slots=True)
class Drawing:
    """Items in the order to be drawn, within a frame (min x, min y, max x, max y), mm. `about` says what it shows.

    `scale` is how many millimetres on paper one of the drawing's takes; widths of strokes are as on paper.
    """

    about: str
    frame_mm: Frame
    items: tuple[Item, ...]
    scale: float = 1.0


def area(shape: BaseGeometry, ink: str, key: str = "") -> tuple[Area, ...]:
    """Return a shapely area as one item a polygon; nothing of an empty one."""
    polygons = [part for part in shapely.get_parts(shape) if part.geom_type == "Polygon" and not part.is_empty]
    return tuple(
        Area(tuple(_ring(ring.coords) for ring in (polygon.exterior, *polygon.interiors)), ink, key)
        for polygon in polygons
    )


def lines(shape: BaseGeometry, ink: str, key: str = "") -> tuple[Line, ...]:
    """Return the strokes of a shapely shape: lines as they run, areas by their rings."""
    strokes = shapely.boundary(shape) if shapely.get_dimensions(shape) == 2 else shape
    return tuple(
        Line(_points(part.coords), ink, key=key)
        for part in shapely.get_parts(strokes)
        if part.geom_type in ("LineString", "LinearRing") and not part.is_empty
    )


def mirrored(drawing: Drawing) -> Drawing:
    """Return the drawing as seen after turning the board about its vertical axis.

    x runs the other way; words stay readable and keep to the same side of what they stand by.
    """
    about_x = drawing.frame_mm[0] + drawing.frame_mm[2]

    def turn(points: Iterable[Point]) -> Ring:
        return tuple((about_x - x, y) for x, y in points)

    def item(shape: Item) -> Item:
        if isinstance(shape, Area):
            return replace(shape, rings=tuple(turn(ring) for ring in shape.rings))
        if isinstance(shape, Line):
            return replace(shape, points=turn(shape.points))
        return replace(
            shape, at=turn([shape.at])[0], angle_deg=-shape.angle_deg, anchor=OTHER_END.get(shape.anchor, shape.anchor)
        )

    return replace(drawing, items=tuple(item(shape) for shape in drawing.items))


def moved(items: Iterable[Item], by: Point) -> Iterator[Item]:
    """Yield items shifted by (dx, dy)."""
    dx, dy = by
    for item in items:
        if isinstance(item, Words):
            yield replace(item, at=(item.at[0] + dx, item.at[1] + dy))
        elif isinstance(item, Line):
            yield replace(item, points=tuple((x + dx, y + dy) for x, y in item.points))
        else:
            yield replace(item, rings=tuple(tuple((x + dx, y + dy) for x, y in ring) for ring in item.rings))


def _ring(coordinates: Iterable[Point]) -> Ring:
    points = _points(coordinates)
    return points[:-1] if len(points) > 1 and points[0] == points[-1] else points


def _points(coordinates: Iterable[Point]) -> Ring:
    return tuple((float(x), float(y)) for x, y in coordinates)
