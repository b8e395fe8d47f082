"""Close drawn lines to areas: courtyards, fab outlines, and the ends of lines that nearly meet."""

from collections import Counter, defaultdict, deque
from collections.abc import Iterable, Sequence
from math import floor, hypot
from typing import NamedTuple, TypeAlias

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from leeward.board.graphics import Graphic
from leeward.board.mended import mended
from leeward.board.nodes import Points

# KiCad closes courtyards and board outlines over gaps of about this size (KiCad source,
# pcbnew/convert_shape_list_to_polygon.cpp and pcbnew/footprint.cpp).
GAP_MM = 0.02
EXACT_MM = 1e-6
TOLD_GAP_MM = 0.001  # narrower gaps are rounding, and not worth a word
# From version 7 on KiCad keeps a courtyard this far inside of its drawn line, so that courtyards that touch do not
# collide (KiCad source, pcbnew/footprint.cpp, FOOTPRINT::BuildCourtyardCaches).
KICAD_INSET_MM = 0.005
FEW_LINES = 500
MOST_CROSSINGS_PER_LINE = 50  # a line with itself and both its neighbours makes three
End: TypeAlias = tuple[int, bool]  # the piece, and whether it is its last point


class Ends(NamedTuple):
    """The ends of pieces by their place and by the square of GAP_MM that they lie in, in the order of the pieces."""

    exact: dict[tuple[float, float], deque[End]]
    cells: dict[tuple[int, int], list[End]]


def rings(drawn: Iterable[Graphic]) -> tuple[list[Points], int]:
    """Return the closed rings that the shapes make, and how many runs of lines stay open."""
    shapes = list(drawn)
    closed = [shape.points for shape in shapes if shape.closed and len(shape.points) > 2]
    chains = _chains([shape.points for shape in shapes if not shape.closed and len(shape.points) > 1])
    closed.extend(_without_repeat(chain) for chain in chains if _shut(chain))
    return closed, sum(1 for chain in chains if not _shut(chain))


def _without_repeat(chain: Points) -> Points:
    """Return a ring's points without a last one that repeats the first; one that only lies near it is kept."""
    return chain[:-1] if hypot(*(chain[-1] - chain[0])) <= EXACT_MM else chain


def widest_gap_mm(drawn: Iterable[Graphic]) -> float:
    """Return the widest gap between ends of lines that `rings` closes, 0 where there is none worth a word."""
    ends = [shape.points[[0, -1]] for shape in drawn if not shape.closed and len(shape.points) > 1]
    if not ends:
        return 0.0
    every = np.vstack(ends)
    near = [(round(x), round(y)) for x, y in (every / TOLD_GAP_MM).tolist()]
    counts = Counter(near)
    alone = shapely.points(every[[counts[place] == 1 for place in near]])
    if len(alone) < 2:
        return 0.0
    one, other = shapely.STRtree(alone).query(alone, predicate="dwithin", distance=GAP_MM)
    gaps = shapely.distance(alone[one[one < other]], alone[other[one < other]])
    widest = float(np.max(gaps, initial=0.0))
    return widest if widest > TOLD_GAP_MM else 0.0


def area_of(found: Sequence[Points]) -> BaseGeometry:
    """Return the area of nested rings: a ring inside another is a hole, one inside a hole is land again."""
    if len(found) == 1 and (alone := shapely.polygons(found[0])).is_valid:
        return alone
    areas = mended([shapely.Polygon(), *(shapely.polygons(ring) for ring in found)])
    while len(areas) > 1:  # in pairs: one after the other, a panel's thousands of holes would take minutes
        last = areas[len(areas) // 2 * 2 :]
        areas = np.append(shapely.symmetric_difference(areas[: len(areas) - len(last) : 2], areas[1::2]), last)
    total: BaseGeometry = areas[0]
    return total


def courtyard(drawn: Iterable[Graphic]) -> BaseGeometry | None:
    """Return the area of the courtyard lines, None where nothing closes."""
    found, _ = rings(drawn)
    return area_of(found) if found else None


def kicad_courtyard_area_mm2(drawn: BaseGeometry | None) -> float:
    """Return the area of a courtyard as KiCad counts it: a little less than what is drawn, 0 where there is none."""
    if drawn is None:
        return 0.0
    return float(shapely.buffer(drawn, -KICAD_INSET_MM, join_style="mitre").area)


def enclosed(drawn: Iterable[Graphic]) -> BaseGeometry | None:
    """Return the area that a fab drawing encloses; where nothing closes, the hull of its lines."""
    shapes = [shape for shape in drawn if len(shape.points) > 1]
    if not shapes:
        return None
    found, left_open = rings(shapes)
    if len(found) == 1 and not left_open and (area := shapely.polygons(found[0])).is_valid:
        return area if area.area > 0 else None  # the common drawing, one plain ring: nothing to cut at crossings
    paths = [_path(shape) for shape in shapes]
    tangled = _tangled(paths)
    lines = shapely.geometrycollections(paths) if tangled else shapely.union_all(paths, grid_size=0.001)
    faces = shapely.Polygon() if tangled else _faces(lines)
    area = faces if not faces.is_empty else shapely.convex_hull(lines)
    return area if area.area > 0 else None


def _faces(noded: BaseGeometry) -> BaseGeometry:
    faces: BaseGeometry = shapely.union_all(shapely.get_parts(shapely.polygonize(shapely.get_parts(noded))))
    return faces


def _tangled(paths: Sequence[BaseGeometry]) -> bool:
    """Say whether lines cross so often that the faces between them are no drawing of a part, and too many to find."""
    if len(paths) < FEW_LINES:
        return False
    crossings, _ = shapely.STRtree(paths).query(paths, predicate="intersects")
    return len(crossings) > MOST_CROSSINGS_PER_LINE * len(paths)


def box(drawn: Iterable[Graphic]) -> BaseGeometry | None:
    """Return the box, along the frame's axes, round the middles of the drawn lines."""
    points = [shape.points for shape in drawn if len(shape.points)]
    if not points:
        return None
    (left, top), (right, bottom) = (limit(np.vstack(points), axis=0) for limit in (np.min, np.max))
    return shapely.box(left, top, right, bottom)


def _path(shape: Graphic) -> BaseGeometry:
    return shapely.linestrings(np.vstack((shape.points, shape.points[:1])) if shape.closed else shape.points)


def _chains(pieces: list[Points]) -> list[Points]:
    """Join pieces end to end, each with the nearest free end, until no end lies within the gap."""
    ends = _ends(pieces)
    free = set(range(len(pieces)))
    chains = []
    for first, piece in enumerate(pieces):
        if first not in free:
            continue
        free.discard(first)
        chain = _grown(piece, pieces, ends, free)
        if not _shut(chain):
            chain = _grown(chain[::-1], pieces, ends, free)
        chains.append(chain)
    return chains


def _grown(chain: Points, pieces: list[Points], ends: Ends, free: set[int]) -> Points:
    """Return the chain with free pieces joined to its last point for as long as there are any."""
    parts, tail = [chain], chain[-1]
    while len(parts) == 1 or _distance(chain[0], tail) > GAP_MM:
        found = _next(tail, pieces, ends, free)
        if found is None or (len(parts) == 1 and _shut(chain)):
            break
        index, at_end = found
        free.discard(index)
        piece = pieces[index][::-1] if at_end else pieces[index]
        parts.append(piece[1:] if _distance(piece[0], tail) < EXACT_MM else piece)
        tail = piece[-1]
    return np.vstack(parts)


def _next(tail: Points, pieces: list[Points], ends: Ends, free: set[int]) -> End | None:
    """Return the free piece with an end nearest to `tail`, and whether that end is its last point.

    Ends that are no longer free are dropped on the way, so that thousands in one place do not cost their square.
    """
    here = ends.exact.get((float(tail[0]), float(tail[1])))
    while here and here[0][0] not in free:
        here.popleft()
    if here:
        return here[0]
    column, row = _cell(tail)
    near = []
    for cell in ((column + across, row + down) for across in (-1, 0, 1) for down in (-1, 0, 1)):
        if cell in ends.cells:
            ends.cells[cell] = [end for end in ends.cells[cell] if end[0] in free]
            near += ends.cells[cell]
    apart = [(_distance(tail, pieces[index][-1 if at_end else 0]), index, at_end) for index, at_end in near]
    gap, index, at_end = min(apart, default=(GAP_MM + 1, 0, False))
    return (index, at_end) if gap <= GAP_MM else None


def _ends(pieces: list[Points]) -> Ends:
    ends = Ends(defaultdict(deque), defaultdict(list))
    for index, piece in enumerate(pieces):
        for at_end, where in ((False, piece[0]), (True, piece[-1])):
            ends.exact[float(where[0]), float(where[1])].append((index, at_end))
            ends.cells[_cell(where)].append((index, at_end))
    return ends


def _cell(where: Points) -> tuple[int, int]:
    return floor(where[0] / GAP_MM), floor(where[1] / GAP_MM)


def _shut(chain: Points) -> bool:
    return len(chain) > 3 and _distance(chain[0], chain[-1]) <= GAP_MM


def _distance(one: Points, other: Points) -> float:
    return hypot(one[0] - other[0], one[1] - other[1])
