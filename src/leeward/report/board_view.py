"""The board seen from one side: its edge, its copper hinted, its parts by their bodies; whole, or a window of it.

All in the board frame. A view from below is turned at the end, by `drawing.mirrored`. "Paper" millimetres are those of
the printed page: lettering and marks keep their size there however large the board is.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from leeward.board.records import Board, Side
from leeward.heat.copper import layer_shapes
from leeward.heat.grid import Box
from leeward.heat.records import Zone
from leeward.parts.records import Part
from leeward.report.callouts import COLUMN_MM, PITCH_MM
from leeward.report.drawing import Frame, Item, Words, area, lines
from leeward.report.lettering import Room, box_of, width_mm
from leeward.review.records import Priority

PAGE_MM = 180.0  # on paper: the width of a drawing with its columns of callouts
MARGIN_MM = 2.0  # of the board's: round what is shown
WHOLE = 1.4  # a board is shown whole where it is no larger than so many times what must be seen
ZONE_INKS = ("heat-1", "heat-2", "heat-3", "heat-4")
HATCH_MM = 1.1  # on paper
LARGE_MM, SMALL_MM = 1.9, 1.25  # of references, on paper
FINEST_MM = 0.06  # of copper, on paper
LINE_INSIDE = 0.92  # the most of a body that its reference takes


@dataclass(frozen=True, slots=True)
class View:
    """The window that is shown, board frame; the side it is seen from; how many of its mm one on paper stands for."""

    window: Frame
    side: Side
    paper_mm: float
    whole: bool
    finest_mm: float = FINEST_MM  # of copper, on paper

    @property
    def layer(self) -> str:
        """The copper layer that is seen."""
        return "F.Cu" if self.side == "top" else "B.Cu"

    def cut(self, shape: BaseGeometry) -> BaseGeometry:
        """Return what of a shape lies in the window."""
        return shapely.clip_by_rect(shape, *self.window)

    def joined(self, shapes: Sequence[BaseGeometry]) -> BaseGeometry:
        """Return shapes as one within the window, without detail that paper cannot show."""
        finest = self.finest_mm * self.paper_mm
        coarse = shapely.simplify(np.array(shapes, dtype=object), finest)
        joined = shapely.union_all(shapely.clip_by_rect(shapely.make_valid(coarse), *self.window))
        return shapely.make_valid(_without_specks(shapely.simplify(joined, finest), finest))

    def holds(self, box: Frame) -> bool:
        """Return whether a box lies within the window."""
        x0, y0, x1, y1 = self.window
        return x0 <= box[0] and y0 <= box[1] and box[2] <= x1 and box[3] <= y1

    def shows(self, shapes: Iterable[BaseGeometry]) -> bool:
        """Return whether the box round shapes reaches into the window."""
        x0, y0, x1, y1 = _bounds(shapes)
        return x0 < self.window[2] and x1 > self.window[0] and y0 < self.window[3] and y1 > self.window[1]


def view_of(board: Board, side: Side, shapes: Iterable[BaseGeometry], tall_mm: float) -> View:
    """Return the view that holds all shapes, as large as the page's width and `tall_mm` on paper allow."""
    wide_mm = PAGE_MM - 2 * COLUMN_MM
    whole = grown(shapely.box(*board.outline.bounds).bounds, MARGIN_MM)
    part = _filled(grown(_bounds(shapes), 2 * MARGIN_MM), whole, wide_mm / tall_mm)
    shown = whole if _scale(whole, wide_mm, tall_mm) <= WHOLE * _scale(part, wide_mm, tall_mm) else part
    return View(shown, side, _scale(shown, wide_mm, tall_mm), shown == whole)


def page_frame(view: View, rows: int) -> Frame:
    """Return the frame of a view with its columns: the page's width, and as tall as the rows of callouts need."""
    x, y = (view.window[0] + view.window[2]) / 2, (view.window[1] + view.window[3]) / 2
    tall = max(view.window[3] - view.window[1], rows * PITCH_MM * view.paper_mm)
    half = PAGE_MM / 2 * view.paper_mm
    return (x - half, y - tall / 2, x + half, y + tall / 2)


def ground(board: Board, view: View, zones: Sequence[Zone] = ()) -> tuple[Item, ...]:
    """Return the board's area, the zones from the coolest up, and the copper of the side hinted over them."""
    copper = view.joined(layer_shapes(board, view.layer, Box(*view.window)))
    return (
        *area(view.cut(board.outline), "board"),
        *(item for zone, ink in inked(zones) for item in area(view.cut(zone.area), ink, zone_key(zone))),
        *area(shapely.intersection(copper, board.outline), "copper"),
    )


def edge(board: Board, view: View) -> tuple[Item, ...]:
    """Return the board's edge, and the window's where the board goes on beyond it."""
    frame = () if view.whole else lines(shapely.box(*view.window), "thin")
    return (*frame, *lines(view.cut(shapely.boundary(board.outline)), "edge"))


def inked(zones: Sequence[Zone]) -> list[tuple[Zone, str]]:
    """Return the zones of one side from the coolest to the hottest, each with its ink."""
    ranked = sorted(zones, key=lambda zone: zone.above_c)
    return [(zone, ZONE_INKS[min(i, len(ZONE_INKS) - 1)]) for i, zone in enumerate(ranked)]


def zone_key(zone: Zone) -> str:
    """Return the key of a zone in a drawing."""
    return f"zone-{zone.side}-{zone.above_c:g}"


def on_side(parts: Iterable[Part], view: View) -> list[Part]:
    """Return the parts whose body or lands are seen, largest body first."""
    there = (part for part in parts if part.footprint.side == view.side)
    seen = [part for part in there if view.shows([part.body, *(pad.copper for pad in part.footprint.pads)])]
    return sorted(seen, key=lambda part: (-part.body.area, part.ref, part.id))


def lands(parts: Iterable[Part], view: View) -> tuple[Item, ...]:
    """Return the lands of parts on the side that is seen."""
    copper = [pad.copper_on(view.layer) for part in parts for pad in part.footprint.pads if view.side in pad.sides]
    return area(view.joined(copper), "land")


def bodies(parts: Iterable[Part], view: View, levels: Mapping[str, Priority]) -> tuple[Item, ...]:
    """Return the bodies of parts; those at risk are inked and hatched by their level, by id."""
    return tuple(item for part in parts for item in _body(part, view, levels.get(part.id, "low")))


def hatched(shape: BaseGeometry, ink: str, spacing: float, *, rising: bool = True) -> tuple[Item, ...]:
    """Return strokes at 45 degrees over a shape, `spacing` apart."""
    x0, y0, x1, y1 = shape.bounds
    reach, step = (x1 - x0) + (y1 - y0), spacing * 2**0.5
    starts = [x0 - (y1 - y0) + step * (i + 0.5) for i in range(int(reach / step) + 1)]
    foot, head = (y1, y0) if rising else (y0, y1)
    strokes = shapely.MultiLineString([((x, foot), (x + (y1 - y0), head)) for x in starts])
    return lines(shapely.intersection(strokes, shape), ink)


def over_bodies(parts: Iterable[Part]) -> Room:
    """Return the room that bodies take."""
    room = Room()
    room.take(*(part.body.bounds for part in parts if not part.body.is_empty))
    return room


def holes(board: Board) -> list[BaseGeometry]:
    """Return the cut-outs of a board."""
    return [ring for polygon in shapely.get_parts(board.outline) for ring in polygon.interiors]


def references(parts: Iterable[Part], view: View, marks: Room) -> tuple[Words, ...]:
    """Return the references of parts that have room for theirs: inside the body, else beside it.

    `marks` is what they must keep clear of besides bodies; it is added to.
    """
    shown = [part for part in parts if not part.body.is_empty]
    obstacles = over_bodies(shown)
    found = []
    for part in shown:
        words = next(_places(part, view, marks, obstacles), None)
        if words is not None:
            found.append(words)
            marks.take(box_of(words))
    return tuple(found)


def _body(part: Part, view: View, level: Priority) -> tuple[Item, ...]:
    if part.body.is_empty:
        return ()
    shape = view.cut(part.body)
    ink = "body" if level == "low" else f"risk-{level}"
    hatch = () if level == "low" else hatched(shape, "risk-line", HATCH_MM * view.paper_mm)
    cross = () if level != "high" else hatched(shape, "risk-line", HATCH_MM * view.paper_mm, rising=False)
    return (*area(shape, ink), *hatch, *cross)


def _places(part: Part, view: View, marks: Room, obstacles: Room) -> Iterator[Words]:
    """Yield the places where a part's reference has room."""
    x0, y0, x1, y1 = part.body.bounds
    middle = ((x0 + x1) / 2, (y0 + y1) / 2)
    for angle in (0.0, 90.0) if x1 - x0 >= y1 - y0 else (90.0, 0.0):
        height = _largest(part, view, angle)
        words = Words(part.ref, _centred(middle, height, angle), height, "ref", angle_deg=angle)
        box = box_of(words)
        if height >= SMALL_MM * view.paper_mm and view.holds(box) and marks.free(box):
            yield words
    for words in _beside(part, view):
        box = box_of(words)
        if view.holds(box) and marks.free(box) and obstacles.free(box):
            yield words


def _largest(part: Part, view: View, angle: float) -> float:
    """Return the greatest height of lettering at which a reference fits in its body."""
    x0, y0, x1, y1 = part.body.bounds
    along, across = (x1 - x0, y1 - y0) if angle == 0 else (y1 - y0, x1 - x0)
    square = float(part.body.area) / max((x1 - x0) * (y1 - y0), 1e-9)  # less where it lies askew
    unit = max(width_mm(part.ref, 1.0), 1e-9)
    return float(min(LARGE_MM * view.paper_mm, along * LINE_INSIDE * square / unit, across * 0.75 * square))


def _centred(middle: tuple[float, float], height: float, angle: float) -> tuple[float, float]:
    x, y = middle
    return (x, y + height / 2) if angle == 0 else (x + height / 2, y)


def _beside(part: Part, view: View) -> Iterator[Words]:
    x0, y0, x1, y1 = part.body.bounds
    height, gap = SMALL_MM * view.paper_mm, 0.5 * view.paper_mm
    x, y = (x0 + x1) / 2, (y0 + y1) / 2
    yield Words(part.ref, (x1 + gap, y + height / 2), height, "ref", "start")
    yield Words(part.ref, (x0 - gap, y + height / 2), height, "ref", "end")
    yield Words(part.ref, (x, y0 - gap), height, "ref")
    yield Words(part.ref, (x, y1 + gap + height), height, "ref")
    yield Words(part.ref, (x0 - gap, y), height, "ref", angle_deg=90.0)
    yield Words(part.ref, (x1 + gap + height, y), height, "ref", angle_deg=90.0)


def _without_specks(shape: BaseGeometry, finest: float) -> BaseGeometry:
    """Return the polygons of a shape without islands and holes no larger than a square of the finest detail."""
    least = finest**2
    kept = [polygon for polygon in shapely.get_parts(shape) if polygon.geom_type == "Polygon" and polygon.area > least]
    return shapely.MultiPolygon(
        [
            shapely.Polygon(
                polygon.exterior, [ring for ring in polygon.interiors if shapely.Polygon(ring).area > least]
            )
            for polygon in kept
        ]
    )


def _bounds(shapes: Iterable[BaseGeometry]) -> Frame:
    x0, y0, x1, y1 = shapely.total_bounds(list(shapes)).tolist()
    return (x0, y0, x1, y1)


def grown(frame: Frame, by: float) -> Frame:
    """Return a box with `by` more on each side."""
    return (frame[0] - by, frame[1] - by, frame[2] + by, frame[3] + by)


def _scale(window: Frame, wide_mm: float, tall_mm: float) -> float:
    return max((window[2] - window[0]) / wide_mm, (window[3] - window[1]) / tall_mm)


def _filled(part: Frame, whole: Frame, ratio: float) -> Frame:
    """Return a window grown to the page's ratio of width to height, as far as the board goes."""
    wide = max(part[2] - part[0], (part[3] - part[1]) * ratio)
    tall = max(part[3] - part[1], (part[2] - part[0]) / ratio)
    x0, x1 = _span(part[0], part[2], whole[0], whole[2], wide)
    y0, y1 = _span(part[1], part[3], whole[1], whole[3], tall)
    return (x0, y0, x1, y1)


def _span(low: float, high: float, least: float, most: float, wanted: float) -> tuple[float, float]:
    """Return a span of the length wanted about another, moved and cut to stay within limits."""
    start = min(max((low + high - wanted) / 2, least), max(most - wanted, least))
    return start, min(start + wanted, most)
