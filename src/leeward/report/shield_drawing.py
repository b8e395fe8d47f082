"""A shield plan in true size: where each piece lies on the board, and each piece laid flat to cut and fold.

The plan stands above, the flat pieces below it, with a bar of 50 mm to check the print by. One drawing for each side;
that of the bottom is turned as the board is turned.
"""

from collections.abc import Iterator, Sequence
from math import cos, hypot, pi, sin
from string import ascii_lowercase

import shapely
from shapely.geometry.base import BaseGeometry

from leeward.board.records import Side
from leeward.report.board_view import View, bodies, edge, hatched, lands, on_side, references
from leeward.report.drawing import Drawing, Frame, Item, Line, Words, area, lines, mirrored, moved
from leeward.report.flat_pieces import GAP_MM, WORD_MM, flat_pieces
from leeward.report.lettering import Room, box_of, boxes_along
from leeward.review.records import Case
from leeward.shields.plan import plan_cautions
from leeward.shields.records import Piece

PAGE_MM = 190.0  # the width that flat pieces are set in
NEAR_MM = 12.0  # parts further from every piece are not worth a larger sheet
MARGIN_MM = 6.0  # round what the plan must show
BAR_MM = 50.0
TITLE_MM, NUMBER_MM = 3.0, 3.2
HATCH_MM = {"strip": 2.5, "sheet": 2.5, "blanket": 1.6, "tent": 1.6, "lid": 1.6, "coat": 1.2}
SIDES: tuple[Side, Side] = ("top", "bottom")


def shield_drawings(case: Case) -> tuple[Drawing, ...]:
    """Return one drawing for each side that has a piece, the side that is worked on first."""
    worked = case.target.footprint.side
    ordered = sorted(SIDES, key=lambda side: side != worked)
    return tuple(_drawing(case, side) for side in ordered if any(piece.side == side for piece in case.shields.pieces))


def stacked(drawings: Sequence[Drawing]) -> Drawing:
    """Return drawings as one, below each other."""
    items: list[Item] = []
    y, right = 0.0, 0.0
    for drawing in drawings:
        x0, y0, x1, y1 = drawing.frame_mm
        items += moved(drawing.items, (-x0, y - y0))
        y, right = y + (y1 - y0), max(right, x1 - x0)
    return Drawing("; ".join(drawing.about for drawing in drawings), (0.0, 0.0, right, y), tuple(items))


def _drawing(case: Case, side: Side) -> Drawing:
    pieces = [piece for piece in case.shields.pieces if piece.side == side]
    view = _view(case, side, pieces)
    plan = _plan(case, view, pieces)
    turned = plan if side == "top" else mirrored(plan)
    return _sheet(case, side, turned, pieces)


def _view(case: Case, side: Side, pieces: Sequence[Piece]) -> View:
    """Return the window that holds the pieces, the nozzle and the parts that the pieces serve, if those are not far."""
    near = shapely.union_all([case.loads.fit.outside, *(piece.area for piece in pieces)])
    served = [case.parts.by_id[part_id].body for piece in pieces for part_id in piece.covers]
    shown = [near, case.target.leads, *(body for body in served if body.distance(near) < NEAR_MM)]
    x0, y0, x1, y1 = shapely.union_all([shapely.box(*shape.bounds) for shape in shown]).bounds
    bx0, by0, bx1, by1 = case.board.outline.bounds
    window = (
        max(x0 - MARGIN_MM, bx0 - 2), max(y0 - MARGIN_MM, by0 - 2), min(x1 + MARGIN_MM, bx1 + 2),
        min(y1 + MARGIN_MM, by1 + 2),
    )  # fmt: skip
    return View(window, side, 1.0, whole=False)


def _plan(case: Case, view: View, pieces: Sequence[Piece]) -> Drawing:
    """Return the board with the pieces in their places."""
    everything = case.parts.by_id.values()
    parts = [part for part in on_side(everything, view) if part.id != case.target.id]
    room = Room()
    room.take(case.loads.fit.outside.bounds)
    numbers = [_number(piece, view, room) for piece in sorted(pieces, key=lambda piece: piece.area.area)]
    fit, same = case.loads.fit, view.side == case.target.footprint.side
    for stroke in [line for piece in pieces for line in lines(piece.area, "shield-edge")]:
        room.take(*boxes_along(stroke, 0.6))
    target = area(case.target.leads, "target") if same else lines(case.target.leads, "target-behind")
    wall = area(fit.outside.difference(fit.aperture), "wall") if same else lines(fit.outside, "wall-behind")
    middle = case.target.leads.envelope.centroid
    name = case.target.ref if same else f"{case.target.ref}, other side"
    items: list[Item] = [
        *area(view.cut(case.board.outline), "board"),
        *lands(on_side(everything, view), view),
        *bodies(parts, view, {}),
        *target,
        *wall,
        *edge(case.board, view),
        *(item for piece in pieces for item in _laid(piece, view)),
        *references(parts, view, room),
        Words(name, (middle.x, middle.y + TITLE_MM / 2), TITLE_MM, "target-word"),
        *(item for drawn in numbers for item in drawn),
    ]
    return Drawing("", view.window, tuple(items))


def _laid(piece: Piece, view: View) -> Iterator[Item]:
    """Yield a piece in its place: outlined and hatched, its folded edges heavy; a fence solid."""
    shape = view.cut(piece.area)
    if piece.shape == "fence":
        yield from area(shape, "fence")
        yield from _letters(piece, view)
        return
    yield from hatched(shape, "shield-line", HATCH_MM[piece.shape], rising=piece.shape in ("strip", "sheet"))
    yield from lines(shape, "shield-edge")
    yield from lines(piece.dams, "dam")


def _letters(piece: Piece, view: View) -> Iterator[Item]:
    """Yield a letter beside each band of a fence that is cut, as its flat piece has it; towards the outside."""
    if len(piece.sections) < 2:
        return
    middle = piece.area.envelope.centroid
    for letter, ground in zip(ascii_lowercase, piece.sections, strict=False):
        at = shapely.point_on_surface(view.cut(ground))
        reach = max(hypot(at.x - middle.x, at.y - middle.y), 1e-9)
        x, y = (at.x + 2.2 * (at.x - middle.x) / reach, at.y + 2.2 * (at.y - middle.y) / reach + WORD_MM / 2)
        words = Words(letter, (x, y), WORD_MM, "shield-word")
        yield from area(shapely.box(*_padded(box_of(words))), "halo")
        yield words


def _number(piece: Piece, view: View, room: Room) -> tuple[Item, ...]:
    """Return a piece's number on it where it has room for that, else beside it with a leader."""
    shape = view.cut(piece.area)
    inside = [words for words in _on(piece, shape) if room.free(_padded(box_of(words)))]
    beside = [words for words in _beside(piece, shape, view) if room.free(_padded(box_of(words)))]
    words = next(iter((*inside, *beside)), _on_point(piece, shapely.point_on_surface(shape)))
    box = _padded(box_of(words))
    room.take(box)
    frame = shapely.box(*box)
    leader = () if inside else lines(shapely.shortest_line(frame, shapely.point_on_surface(shape)), "leader")
    return (*leader, *area(frame, "halo"), *lines(frame, "shield-line"), words)


def _on(piece: Piece, shape: BaseGeometry) -> list[Words]:
    """Return a piece's number in places on it, the most roomy first; none where it has no room."""
    x0, y0, x1, y1 = shape.bounds
    grid = [shapely.Point(x0 + (x1 - x0) * i / 12, y0 + (y1 - y0) * j / 12) for i in range(1, 12) for j in range(1, 12)]
    tried = [(point, _on_point(piece, point)) for point in grid]
    fits = [(point, words) for point, words in tried if shape.contains(shapely.box(*_padded(box_of(words))))]
    return [words for _, words in sorted(fits, key=lambda each: -round(shape.boundary.distance(each[0]), 1))]


def _beside(piece: Piece, shape: BaseGeometry, view: View) -> list[Words]:
    """Return a piece's number in places round it, the nearest first."""
    at = shapely.point_on_surface(shape)
    x0, y0, x1, y1 = view.window
    ways = [(reach, 2 * pi * i / 16) for reach in (5.0, 7.0, 9.0, 12.0, 16.0) for i in range(16)]
    places = [shapely.Point(at.x + reach * cos(turn), at.y + reach * sin(turn)) for reach, turn in ways]
    seen = [p for p in places if x0 + 2 < p.x < x1 - 2 and y0 + 2 < p.y < y1 - 2]
    return [_on_point(piece, p) for p in seen]


def _on_point(piece: Piece, point: BaseGeometry) -> Words:
    return Words(str(piece.number), (point.x, point.y + NUMBER_MM / 2), NUMBER_MM, "shield-word")


def _padded(box: Frame) -> Frame:
    return box[0] - 0.6, box[1] - 0.6, box[2] + 0.6, box[3] + 0.4


def _sheet(case: Case, side: Side, plan: Drawing, pieces: Sequence[Piece]) -> Drawing:
    """Return the sheet: title, plan, flat pieces, bar."""
    x0, y0, x1, y1 = plan.frame_mm
    width = max(PAGE_MM, x1 - x0)
    title = f"Shields for {case.target.ref}, {side} side"
    seen = "seen from below, as the turned board lies" if side == "bottom" else "seen from above"
    below = 2 * TITLE_MM + WORD_MM
    head = below + 4.0
    shift = (-x0 + (width - (x1 - x0)) / 2, head - y0)
    items: list[Item] = [
        Words(title, (0.0, TITLE_MM), TITLE_MM, "word-bold", "start"),
        Words(f"true size, {seen}; lay the pieces by their numbers", (0.0, below), WORD_MM, "word", "start"),
        *moved(plan.items, shift),
    ]
    items += _bar(width - BAR_MM, TITLE_MM)
    y = head + (y1 - y0) + 2 * GAP_MM
    flat = [piece for piece in pieces if piece.pattern is not None]
    if flat:
        items.append(
            Words(
                "Pieces laid flat, the way round that they lie above: cut full lines, fold dashed ones",
                (0.0, y),
                TITLE_MM,
                "word-bold",
                "start",
            )
        )
        y += GAP_MM
    placed, y = flat_pieces(case, flat, y, width, below=side == "bottom")
    items += placed
    notes = _notes(case, pieces)
    items += [
        Words(text, (0.0, y + 1.6 * i * WORD_MM), WORD_MM, ink, "start") for i, (text, ink) in enumerate(notes, 1)
    ]
    y += 1.6 * len(notes) * WORD_MM
    return Drawing(
        f"{title}: where each piece lies, and each laid flat", (-5.0, -5.0, width + 5.0, y + 6.0), tuple(items)
    )


def _notes(case: Case, pieces: Sequence[Piece]) -> list[tuple[str, str]]:
    """Return lines and their inks: the pieces without a pattern, what the strokes mean, the cautions."""
    coats = [piece for piece in pieces if piece.pattern is None]
    lines_ = [
        (f"{piece.number}: a coat of {piece.material.id}, {piece.material.thickness_mm:g} mm thick", "word")
        for piece in coats
    ]
    lines_.append(("dark frame: the nozzle's wall", "word-faint"))
    if any(not piece.dams.is_empty for piece in pieces):
        lines_.append(("heavy green edges: folded up towards the nozzle", "word-faint"))
    return [*lines_, *((text, "word") for text in plan_cautions(case.shields))]


def _bar(x: float, y: float) -> list[Item]:
    stroke = ((x, y - 1.5), (x, y), (x + BAR_MM, y), (x + BAR_MM, y - 1.5))
    words = Words(f"{BAR_MM:g} mm: measure it after printing", (x + BAR_MM / 2, y + 1.6 * WORD_MM), WORD_MM, "word")
    return [Line(stroke, "measure", key="scale-bar"), words]
