"""Where the references are printed: beside their part, off lands, other parts and other words."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass

import shapely
from shapely import affinity

from maker.parts import Part, lands, placed
from maker.route import Route

HEIGHT = 0.8
LETTER = 0.86
"""Width of a letter with its gap, in heights (KiCad's stroke font, measured roughly)."""
GAP = 0.15
EDGE = 0.3
LARGE = 8.0
"""From this size on, mm, a part may carry its reference under itself; a smaller one shows it on the body layer only."""


@dataclass(frozen=True, slots=True)
class Label:
    """A printed reference: its middle on the board in mm, its angle, its height; hidden where no place is free."""

    x: float
    y: float
    turned: float
    height: float = HEIGHT
    hidden: bool = False


def word_box(x: float, y: float, words: str, height: float, turned: float) -> shapely.Polygon:
    """Return the box that some words cover."""
    half = (len(words) * LETTER * height / 2, height * 0.6)
    across, down = half if turned == 0 else half[::-1]
    return shapely.box(x - across, y - down, x + across, y + down)


def extent(part: Part, courtyard: shapely.Polygon | None) -> shapely.Polygon:
    """Return the room that a part takes on the board: its courtyard, or its lands where it has none."""
    shape = courtyard or shapely.union_all(
        [shapely.Point(p.x, p.y).buffer(max(p.width, p.height) / 2) for p in part.footprint.pads]
    )
    return shapely.Polygon([placed(part, x, y) for x, y in shape.convex_hull.exterior.coords])


def places(part: Part, room: shapely.Polygon) -> Iterator[Label]:
    """Yield the places for a reference, the best first: above, below, left, right, along the sides, inside."""
    left, top, right, bottom = room.bounds
    reach = len(part.ref) * LETTER * HEIGHT / 2 + GAP
    x, y = (left + right) / 2, (top + bottom) / 2
    shifts = (0.0, 0.6, -0.6, 1.2, -1.2, 3.0, -3.0, 6.0, -6.0)
    along = [shift for shift in shifts if abs(shift) <= max(0.6, (right - left) / 2)]
    beside = [shift for shift in shifts if abs(shift) <= max(0.6, (bottom - top) / 2)]
    over, under = top - GAP - HEIGHT * 0.5, bottom + GAP + HEIGHT * 0.5
    yield from (Label(x + shift, over, 0) for shift in along)
    yield from (Label(x + shift, under, 0) for shift in along)
    yield from (Label(side, y + shift, 0) for side in (left - reach, right + reach) for shift in beside)
    upright = left - GAP - HEIGHT * 0.5, right + GAP + HEIGHT * 0.5
    yield from (Label(side, y + shift, 90) for side in upright for shift in beside)
    yield Label(x, y, 0, hidden=max(right - left, bottom - top) < LARGE)


def labels(
    parts: tuple[Part, ...],
    routes: tuple[Route, ...],
    words: Iterable[tuple[str, float, float, str, float]],
    courtyard_of: Callable[[Part], shapely.Polygon | None],
    outline: shapely.Polygon,
) -> dict[str, Label]:
    """Return a label for every part, by reference; large parts choose first."""
    rooms = {part.ref: extent(part, courtyard_of(part)) for part in parts}
    chosen: dict[str, Label] = {}
    for side in ("top", "bottom"):
        here = [part for part in parts if part.side == side]
        taken = [affinity.scale(rooms[part.ref], 0.98, 0.98) for part in here]
        taken += [
            shapely.Point(land.x, land.y).buffer(max(land.pad.width, land.pad.height) / 2)
            for land in lands(parts)
            if land.pad.kind == "thru"
        ]
        letter = side[0].replace("t", "F").replace("b", "B")
        taken += [word_box(x, y, text, h, 0) for text, x, y, layer, h in words if layer[0] == letter]
        for part in sorted(here, key=lambda p: (-rooms[p.ref].area, p.ref)):
            chosen[part.ref] = first_free(part, rooms[part.ref], taken, outline.buffer(-EDGE))
            label = chosen[part.ref]
            if not label.hidden:
                taken.append(word_box(label.x, label.y, part.ref, label.height, label.turned))
    return chosen


def first_free(part: Part, room: shapely.Polygon, taken: list[shapely.Polygon], board: shapely.Polygon) -> Label:
    """Return the first place that nothing else takes, or the last one, in the middle of the part."""
    tree = shapely.STRtree(taken)
    for label in places(part, room):
        box = word_box(label.x, label.y, part.ref, label.height, label.turned)
        if board.contains(box) and not len(tree.query(box, predicate="intersects")):
            return label
    return label
