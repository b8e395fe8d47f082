"""The board of a review as drawings: the side to work on, the opposite side, and where on the board that is."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from leeward.board.records import Side
from leeward.heat.records import Zone
from leeward.parts.records import Part
from leeward.report import callouts
from leeward.report.board_view import (
    View,
    bodies,
    edge,
    ground,
    grown,
    holes,
    inked,
    lands,
    on_side,
    over_bodies,
    page_frame,
    references,
    view_of,
)
from leeward.report.callouts import Callout, Placed
from leeward.report.drawing import Area, Drawing, Frame, Item, Line, Point, Words, area, lines, mirrored
from leeward.report.legend import Entry, with_legend
from leeward.report.lettering import Room, box_of, boxes_along, width_mm
from leeward.report.marks import mark, outline
from leeward.report.wording import doubted, figure
from leeward.review.records import Neighbour, Priority, Review
from leeward.shields.exposed import plan_of
from leeward.shields.records import Piece

WORK_MM, OPPOSITE_MM = 84.0, 46.0  # the tallest that the sides are drawn on paper
PLACE_MM = 46.0  # the width of the small drawing of the whole board
MOST_WORK, MOST_OPPOSITE = 14, 8  # callouts on a side; those at high risk are all called out
TARGET_MM, NAME_MM = 3.2, 1.9  # lettering of the target, on its body and beside it, on paper
PROBE_MM, SUPPORT_MM = 0.9, 1.3  # half of the marks of a thermocouple and of a support pin, on paper
PIECE_MM = 3.4  # the number of a shield, on paper
WORD_MM = 1.5


@dataclass(frozen=True, slots=True)
class Numbered:
    """A neighbour with its number in the list by shielding need."""

    number: int
    neighbour: Neighbour


def work_side(review: Review) -> Drawing:
    """Return the side that is worked on, as it lies on the bench."""
    side = review.case.target.footprint.side
    view = _work_view(review)
    words = f"{review.case.target.ref} and what stands round it"
    return _picture(review, view, f"{words}, seen from the {side}: the side to work on")


def opposite_side(review: Review) -> Drawing:
    """Return the other side, as it is seen after turning the board."""
    work: Side = review.case.target.footprint.side
    side: Side = "bottom" if work == "top" else "top"
    view = view_of(review.case.board, side, _interest(review, side), OPPOSITE_MM)
    return _picture(review, view, f"What lies under {review.case.target.ref}, seen from the {side}: the opposite side")


def place_on_board(review: Review) -> Drawing | None:
    """Return the whole board with the drawn window and the target, None where the drawing shows the whole board."""
    board, target = review.case.board, review.case.target
    view = _work_view(review)
    if view.whole:
        return None
    x0, y0, x1, y1 = board.outline.bounds
    items: tuple[Item, ...] = (
        *area(board.outline, "board"),
        *lines(board.outline, "edge"),
        *area(target.leads, "target"),
        *lines(shapely.box(*view.window), "outline"),
    )
    plan = Drawing(
        f"Where {target.ref} is on the board", (x0 - 1, y0 - 1, x1 + 1, y1 + 1), items, PLACE_MM / (x1 - x0 + 2)
    )
    return plan if view.side == "top" else mirrored(plan)


def called_out(review: Review, side: Side) -> list[Numbered]:
    """Return the neighbours of a side that are called out: all at high risk, and the first at medium."""
    numbered = [Numbered(i, entry) for i, entry in enumerate(review.neighbours, 1)]
    there = [entry for entry in numbered if entry.neighbour.part.footprint.side == side]
    high = [entry for entry in there if entry.neighbour.priority == "high"]
    medium = [entry for entry in there if entry.neighbour.priority == "medium"]
    most = MOST_WORK if side == review.case.target.footprint.side else MOST_OPPOSITE
    return [*high, *medium[: max(most - len(high), 0)]]


def call_key(number: int) -> str:
    """Return the key of a neighbour's callout."""
    return f"call-{number}"


def probe_key(number: int) -> str:
    """Return the key of a thermocouple's mark."""
    return f"probe-{number}"


def shield_key(number: int) -> str:
    """Return the key of a shield's outline."""
    return f"shield-{number}"


def piece_key(number: int) -> str:
    """Return the key of a shield's number."""
    return f"piece-{number}"


def support_key(number: int) -> str:
    """Return the key of a place for a support pin."""
    return f"pin-{number}"


def _picture(review: Review, view: View, about: str) -> Drawing:
    """Return one side, with everything that the review says of it."""
    case, listed = review.case, called_out(review, view.side)
    zones = [zone for zone in case.bare.zones if zone.side == view.side]
    frame = page_frame(view, callouts.rows_needed(len(listed)))
    placed = callouts.place([_callout(entry) for entry in listed], _columns(view, frame), view.paper_mm)
    room = Room()
    _take_marks(room, review, view, placed)
    parts = [part for part in on_side(case.parts.by_id.values(), view) if part.id != case.target.id]
    probes = _probes(review, view, room)
    pieces = [piece for piece in case.shields.pieces if piece.side == view.side and view.shows([piece.area])]
    numbers = [item for piece in pieces for item in _piece_number(piece, view, room)]
    name = _target_name(review, view, room)
    levels: dict[str, Priority] = {entry.part.id: entry.priority for entry in review.neighbours}
    items: tuple[Item, ...] = (
        *ground(case.board, view, zones),
        *edge(case.board, view),
        *lands(on_side(case.parts.by_id.values(), view), view),
        *(item for piece in pieces for item in _veil(piece, view)),
        *bodies(parts, view, levels),
        *(item for piece in pieces for item in _hem(piece, view)),
        *_target(review, view),
        *_zone_words(zones, view, room, over_bodies(parts)),
        *name,
        *references(parts, view, room),
        *(item for entry in placed for item in callouts.drawn(entry, view.paper_mm)),
        *probes,
        *numbers,
        *_supports(review, view),
    )
    plain = Drawing(about, frame, items, 1 / view.paper_mm)
    turned = plain if view.side == "top" else mirrored(plain)
    return with_legend(
        turned,
        list(_legend(review, view, zones, parts, levels)),
        f"seen from {'above' if view.side == 'top' else 'below'}",
    )


def _work_view(review: Review) -> View:
    side = review.case.target.footprint.side
    return view_of(review.case.board, side, _interest(review, side), WORK_MM)


def _interest(review: Review, side: Side) -> list[BaseGeometry]:
    """Return what a side must show: nozzle, parts called out, shields, thermocouples; below the support pins too."""
    called = [plan_of(entry.neighbour.part) for entry in called_out(review, side)]
    probes = [shapely.Point(probe.x_mm, probe.y_mm) for probe in review.thermocouples if probe.side == side]
    laid_there = [piece.area for piece in review.case.shields.pieces if piece.side == side]
    pins = [] if side == review.case.target.footprint.side else shapely.points(review.opposite.supports).tolist()
    return [review.case.loads.fit.outside, review.case.target.leads, *called, *laid_there, *probes, *pins]


def _columns(view: View, frame: Frame) -> Frame:
    """Return the view with the height of its frame: what the columns of callouts stand beside."""
    return (view.window[0], frame[1], view.window[2], frame[3])


def _callout(entry: Numbered) -> Callout:
    neighbour = entry.neighbour
    at = shapely.point_on_surface(neighbour.part.body)
    head = f"{neighbour.part.ref}  {neighbour.priority}"
    return Callout(entry.number, neighbour.priority, head, _worst(neighbour), (at.x, at.y), call_key(entry.number))


def _worst(neighbour: Neighbour) -> str:
    """Return the peak, of body or joint, that leaves the least margin, with its limit."""
    limit = neighbour.part.limit_c
    body, joint = neighbour.body_peak_c, neighbour.joint_peak_c
    if joint is not None and (body is None or neighbour.joint_limit_c - joint < limit.value - body):
        return f"joint {figure(joint)} of {figure(neighbour.joint_limit_c)} C"
    return f"body {figure(body)} of {doubted(limit)} C"


def _take_marks(room: Room, review: Review, view: View, placed: Iterable[Placed]) -> None:
    """Take the room of what words must not cover: leaders and the nozzle's wall."""
    fit = review.case.loads.fit
    strokes = [callouts.leader(entry, view.paper_mm) for entry in placed]
    strokes += [*lines(fit.outside, "wall"), *lines(fit.aperture, "wall")]
    for stroke in strokes:
        room.take(*boxes_along(stroke, view.paper_mm))
    room.take(*(hole.bounds for hole in holes(review.case.board)))
    room.take(*(shapely.MultiPoint(place.rings[0]).bounds for place in _supports(review, view)))


def _target(review: Review, view: View) -> tuple[Item, ...]:
    """Return target and nozzle wall, to scale and turned as they are set; dashed where they are on the other side."""
    target, fit = review.case.target, review.case.loads.fit
    if view.side != target.footprint.side:
        return (*lines(target.leads, "target-behind"), *lines(fit.outside, "wall-behind"))
    wall = shapely.difference(fit.outside, fit.aperture)
    return (
        *area(target.body, "target"),
        *_pin_one(target, view),
        *area(wall, "wall", "nozzle-wall"),
    )


def _target_name(review: Review, view: View, room: Room) -> tuple[Item, ...]:
    """Return the target's reference: large on its body, else small beside the nozzle's outline."""
    target, behind = review.case.target, view.side != review.case.target.footprint.side
    x0, y0, x1, y1 = target.body.bounds
    large, x, y = TARGET_MM * view.paper_mm, (x0 + x1) / 2, (y0 + y1) / 2
    own = [Words(target.ref, (x, y + large * way), large, "target-word") for way in (0.5, -1.2, 2.2)]
    tried = [words for words in own if not behind and width_mm(target.ref, large, bold=True) < x1 - x0]
    tried += _beside_nozzle(f"{target.ref}, other side" if behind else target.ref, review, view)
    free = [words for words in tried if room.free(box_of(words)) and view.holds(box_of(words))]
    others = over_bodies(part for part in review.case.parts.by_id.values() if part.footprint.side == view.side)
    name = min(free or tried[:1], key=lambda words: behind and not others.free(box_of(words)))  # the first that is best
    box = grown(box_of(name), 0.5 * view.paper_mm)
    room.take(box)
    return (Area((_corners(box),), "halo"), name) if behind else (name,)


def _beside_nozzle(text: str, review: Review, view: View) -> list[Words]:
    x0, y0, x1, y1 = review.case.loads.fit.outside.bounds
    height, gap, x, y = NAME_MM * view.paper_mm, view.paper_mm, (x0 + x1) / 2, (y0 + y1) / 2
    return [
        Words(text, (x, y0 - gap), height, "target-word"),
        Words(text, (x, y1 + gap + height), height, "target-word"),
        Words(text, (x1 + gap, y), height, "target-word", "start"),
        Words(text, (x0 - gap, y), height, "target-word", "end"),
        Words(text, (x1, y0 - gap), height, "target-word", "start"),
        Words(text, (x0, y0 - gap), height, "target-word", "end"),
    ]


def _pin_one(target: Part, view: View) -> tuple[Item, ...]:
    first = next((pad for pad in target.footprint.pads if pad.number in ("1", "A1")), None)
    if first is None:
        return ()
    return (Area((outline("low", first.x_mm, first.y_mm, 0.8 * view.paper_mm),), "target-pin", "pad-one"),)


def _probes(review: Review, view: View, room: Room) -> tuple[Item, ...]:
    """Return the thermocouples of a side: a ring with a cross at the place, and its number where there is room."""
    found: list[Item] = []
    for number, probe in enumerate(review.thermocouples, 1):
        if probe.side == view.side:
            found += _probe(number, (probe.x_mm, probe.y_mm), view, room)
    return tuple(found)


def _probe(number: int, at: Point, view: View, room: Room) -> list[Item]:
    (x, y), half, key = at, PROBE_MM * view.paper_mm, probe_key(number)
    room.take((x - half, y - half, x + half, y + half))
    beside = [
        Words(f"T{number}", (x + way * 1.6 * half, y + drop * view.paper_mm), WORD_MM * view.paper_mm, "probe-word",
              "start" if way > 0 else "end", key=key)
        for drop in (0.75, -0.8, 2.3, -2.6, 4.2) for way in (1, -1)
    ]  # fmt: skip
    words = next((entry for entry in beside if room.free(box_of(entry))), beside[0])
    room.take(grown(box_of(words), half / 2))
    return [
        Area((outline("low", x, y, half),), "probe", key),
        Line(((x - half, y), (x + half, y)), "probe", key=key),
        Line(((x, y - half), (x, y + half)), "probe", key=key),
        words,
    ]


def _veil(piece: Piece, view: View) -> tuple[Item, ...]:
    """Return the ground that a shield takes, to be drawn under bodies: a fence solid, anything else as a veil."""
    ink = "fence" if piece.shape == "fence" else "shield-veil"
    return area(view.cut(piece.area), ink, shield_key(piece.number))


def _hem(piece: Piece, view: View) -> tuple[Item, ...]:
    """Return a shield's edges, to be drawn over bodies, those that are folded up heavy."""
    return (*lines(view.cut(piece.area), "shield-edge"), *lines(view.cut(piece.dams), "dam"))


def _piece_number(piece: Piece, view: View, room: Room) -> tuple[Item, ...]:
    """Return the number of a shield where it has most room: away from its edge and from all other words."""
    shape, half = view.cut(piece.area), PIECE_MM / 2 * view.paper_mm
    x0, y0, x1, y1 = shape.bounds
    grid = [(x0 + (x1 - x0) * i / 16, y0 + (y1 - y0) * j / 16) for i in range(17) for j in range(17)]
    inside = [at for at in grid if shapely.contains_xy(shape, *at)]
    boxes = {at: (at[0] - half, at[1] - half, at[0] + half, at[1] + half) for at in inside}
    surface = shapely.point_on_surface(shape)
    roomy = sorted(inside, key=lambda at: (not room.free(boxes[at]), -shape.boundary.distance(shapely.Point(at))))
    x, y = next(iter(roomy), (surface.x, surface.y))
    room.take((x - half, y - half, x + half, y + half))
    return mark("own", str(piece.number), x, y, 2 * half, piece_key(piece.number))


def _supports(review: Review, view: View) -> tuple[Area, ...]:
    """Return the places for support pins, on the side under the target, as triangles that stand there."""
    if view.side == review.case.target.footprint.side:
        return ()
    half = SUPPORT_MM * view.paper_mm
    return tuple(
        Area((((x, y - half), (x + half, y + half), (x - half, y + half)),), "support", support_key(i))
        for i, (x, y) in enumerate(review.opposite.supports, 1)
    )


def _zone_words(zones: Sequence[Zone], view: View, room: Room, bodies_room: Room) -> tuple[Item, ...]:
    """Return each zone's temperature, written inside its edge, beside the bodies if it can be, from the north-east."""
    height = WORD_MM * view.paper_mm
    found: list[Item] = []
    for zone, _ in inked(zones):
        shown = view.cut(zone.area)
        tried = [
            Words(f"{zone.above_c:g} C", (x, y + height / 2), height, "heat-word") for x, y in _inside(shown, height)
        ]
        boxes = {words: box_of(words) for words in tried}
        free = [words for words, box in boxes.items() if room.free(box) and shown.contains(shapely.box(*box))]
        for words in sorted(free, key=lambda words: not bodies_room.free(boxes[words]))[:1]:
            room.take(grown(boxes[words], 0.4 * view.paper_mm))
            found += [Area((_corners(boxes[words]),), "halo"), words]
    return tuple(found)


def _inside(shape: BaseGeometry, height: float) -> list[Point]:
    """Return places a little inside the edge of a shape, those to the north-east first."""
    inner = shapely.boundary(shapely.buffer(shape, -1.7 * height))
    if inner.is_empty:
        return []
    at = shapely.line_interpolate_point(shapely.get_parts(inner)[:, None], np.arange(72) / 72, normalized=True)
    return sorted(((point.x, point.y) for point in at.ravel()), key=lambda place: place[1] - place[0])


def _corners(box: Frame) -> tuple[Point, ...]:
    x0, y0, x1, y1 = box
    return ((x0, y0), (x1, y0), (x1, y1), (x0, y1))


def _legend(
    review: Review, view: View, zones: Sequence[Zone], parts: Iterable[Part], levels: dict[str, Priority]
) -> Iterable[Entry]:
    for zone, ink in inked(zones):
        yield Entry(ink, f"over {zone.above_c:g} C")
    shown = {levels.get(part.id) for part in parts}
    if "high" in shown:
        yield Entry("risk-high", "high risk", hatches=2)
    if "medium" in shown:
        yield Entry("risk-medium", "medium risk", hatches=1)
    if view.side == review.case.target.footprint.side:
        yield Entry("wall", "nozzle wall")
    else:
        yield Entry("wall-behind", "nozzle behind", "stroke")
        if review.opposite.supports:
            yield Entry("support", "support pin", "triangle")
    if any(piece.side == view.side for piece in review.case.shields.pieces):
        yield Entry("mark-own", "shield", "hexagon")
    if any(probe.side == view.side for probe in review.thermocouples):
        yield Entry("probe", "thermocouple", "ring")
