"""What a review's drawing shows on the board besides its parts: target, nozzle, shields, thermocouples, pins, words.

All in the board frame; sizes named MM are on paper. What has a place of its own stands there; words go where `Room` has
room for them.
"""

from collections.abc import Sequence

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from leeward.heat.records import Zone
from leeward.parts.records import Part
from leeward.report.board_view import View, grown, inked, over_bodies
from leeward.report.drawing import Area, Frame, Item, Line, Point, Words, area, lines
from leeward.report.lettering import Room, box_of, width_mm
from leeward.report.marks import mark, outline
from leeward.review.records import Review
from leeward.shields.records import Piece

TARGET_MM, NAME_MM = 3.2, 1.9  # lettering of the target, on its body and beside it, on paper
PROBE_MM, SUPPORT_MM = 0.9, 1.3  # half of the marks of a thermocouple and of a support pin, on paper
PIECE_MM = 3.4  # the number of a shield, on paper
WORD_MM = 1.5


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


def target(review: Review, view: View) -> tuple[Item, ...]:
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


def target_name(review: Review, view: View, room: Room) -> tuple[Item, ...]:
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


def probes(review: Review, view: View, room: Room) -> tuple[Item, ...]:
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


def veil(piece: Piece, view: View) -> tuple[Item, ...]:
    """Return the ground that a shield takes, to be drawn under bodies: a fence solid, anything else as a veil."""
    ink = "fence" if piece.shape == "fence" else "shield-veil"
    return area(view.cut(piece.area), ink, shield_key(piece.number))


def hem(piece: Piece, view: View) -> tuple[Item, ...]:
    """Return a shield's edges, to be drawn over bodies, those that are folded up heavy."""
    return (*lines(view.cut(piece.area), "shield-edge"), *lines(view.cut(piece.dams), "dam"))


def piece_number(piece: Piece, view: View, room: Room) -> tuple[Item, ...]:
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


def supports(review: Review, view: View) -> tuple[Area, ...]:
    """Return the places for support pins, on the side under the target, as triangles that stand there."""
    if view.side == review.case.target.footprint.side:
        return ()
    half = SUPPORT_MM * view.paper_mm
    return tuple(
        Area((((x, y - half), (x + half, y + half), (x - half, y + half)),), "support", support_key(i))
        for i, (x, y) in enumerate(review.opposite.supports, 1)
    )


def zone_words(zones: Sequence[Zone], view: View, room: Room, bodies_room: Room) -> tuple[Item, ...]:
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
