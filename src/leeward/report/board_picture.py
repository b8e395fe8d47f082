"""The board of a review as drawings: the side to work on, the opposite side, and where on the board that is."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from leeward.board.records import Side
from leeward.heat.records import Zone
from leeward.parts.records import Part
from leeward.report import callouts, picture_marks
from leeward.report.board_view import (
    View,
    bodies,
    edge,
    ground,
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
from leeward.report.drawing import Drawing, Frame, Item, area, lines, mirrored
from leeward.report.legend import Entry, with_legend
from leeward.report.lettering import Room, boxes_along
from leeward.report.wording import doubted, figure
from leeward.review.records import Neighbour, Priority, Review
from leeward.shields.exposed import plan_of

WORK_MM, OPPOSITE_MM = 84.0, 46.0  # the tallest that the sides are drawn on paper
PLACE_MM = 46.0  # the width of the small drawing of the whole board
MOST_WORK, MOST_OPPOSITE = 13, 8  # callouts on a side; those at high risk are all called out


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


def _picture(review: Review, view: View, about: str) -> Drawing:
    """Return one side, with everything that the review says of it."""
    case, listed = review.case, called_out(review, view.side)
    zones = [zone for zone in case.bare.zones if zone.side == view.side]
    frame = page_frame(view, callouts.rows_needed(len(listed)))
    placed = callouts.place([_callout(entry) for entry in listed], _columns(view, frame), view.paper_mm)
    room = Room()
    _take_marks(room, review, view, placed)
    parts = [part for part in on_side(case.parts.by_id.values(), view) if part.id != case.target.id]
    probes = picture_marks.probes(review, view, room)
    pieces = [piece for piece in case.shields.pieces if piece.side == view.side and view.shows([piece.area])]
    numbers = [item for piece in pieces for item in picture_marks.piece_number(piece, view, room)]
    name = picture_marks.target_name(review, view, room)
    levels: dict[str, Priority] = {entry.part.id: entry.priority for entry in review.neighbours}
    items: tuple[Item, ...] = (
        *ground(case.board, view, zones),
        *edge(case.board, view),
        *lands(on_side(case.parts.by_id.values(), view), view),
        *(item for piece in pieces for item in picture_marks.veil(piece, view)),
        *bodies(parts, view, levels),
        *(item for piece in pieces for item in picture_marks.hem(piece, view)),
        *picture_marks.target(review, view),
        *picture_marks.zone_words(zones, view, room, over_bodies(parts)),
        *name,
        *references(parts, view, room),
        *(item for entry in placed for item in callouts.drawn(entry, view.paper_mm)),
        *probes,
        *numbers,
        *picture_marks.supports(review, view),
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
    room.take(*(shapely.MultiPoint(place.rings[0]).bounds for place in picture_marks.supports(review, view)))


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
