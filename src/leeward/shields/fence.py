"""A fence round the target: foil folded upright on the ground between the nozzle and its neighbours.

It stands square to the nozzle, on each side as near as tall bodies let it; a notch in its lower edge lets it pass
over low ones, tall ones cut it into bands. Behind a band lies its lee: the ground that the nozzle's middle does not
see past it.
"""

from dataclasses import dataclass
from math import inf

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry
from shapely.ops import substring

from leeward.bench.records import ShieldMaterial
from leeward.constants import number
from leeward.shields.site import Box, Site, grown

STEP_MM = 0.25
FAR = 20.0  # the lee reaches so many times as far as the fence stands
NOTCH_ROOM_MM = 0.5  # beside and above a body that a fence passes; house rule
LEAST_BAND_MM = 4.0  # shorter bits between two tall bodies are left away; house rule
EDGES = (2, 1, 0, 3)  # high u, low v, low u, high v: counter-clockwise as drawn, from the nozzle's right
Cut = tuple[float, float, float]  # from and to along a fence, and the height of the body there; mm
Point = tuple[float, float]


@dataclass(frozen=True, slots=True)
class Run:
    """Sides of one fence that join at corners, in the nozzle's frame; places on it count along its length."""

    box: Box  # the corners that the sides lie on
    edges: tuple[int, ...]  # of EDGES, in order round the nozzle; all four make a ring
    notches: tuple[Cut, ...]  # where it passes over low bodies
    bands: tuple[tuple[float, float], ...]  # from and to of what stands; one where no tall body cuts it
    gap_mm: float  # the least from the nozzle's wall

    @property
    def is_ring(self) -> bool:
        """Whether it closes round the nozzle."""
        return len(self.edges) == len(EDGES) and len(self.bands) == 1

    @property
    def line(self) -> BaseGeometry:
        """The line that it stands on, tall bodies not cut out."""
        corners = [_side(self.box, self.edges[0])[0], *(_side(self.box, edge)[1] for edge in self.edges)]
        return shapely.LineString(corners)

    @property
    def sides_mm(self) -> tuple[float, ...]:
        """The length of each side, corner to corner."""
        return tuple(_length(_side(self.box, edge)) for edge in self.edges)


def fences(site: Site, wall: Box) -> tuple[tuple[Run, ...], ...]:
    """Return the fences that can stand round a nozzle whose wall's outside is `wall`, each as its runs.

    First all sides that have room, then all but one of them; none where there is no room.
    """
    gaps = {edge: _gap(site, wall, edge) for edge in EDGES}
    box = _box(wall, gaps)
    most = number("covers", "fence", "most_open_share")
    free = [edge for edge in EDGES if gaps[edge] is not None and _open_share(site, box, edge) <= most]
    wanted = [free, *([edge for edge in free if edge != left_out] for left_out in free)]
    made = (tuple(_run(site, wall, box, edges) for edges in _joined(sides)) for sides in wanted if sides)
    return tuple(tuple(run for run in runs if run.bands) for runs in made)


def lee(run: Run, site: Site) -> BaseGeometry:
    """Return the ground behind a fence, in the nozzle's frame; what lies behind a gap in it is not."""
    shadows = [_behind(list(section.coords)) for section in sections(run)]
    return shapely.unary_union(shadows).intersection(shapely.box(*grown(site.bounds, 1.0)))


def sections(run: Run) -> tuple[BaseGeometry, ...]:
    """Return the lines that the bands stand on, in the nozzle's frame."""
    return tuple(substring(run.line, first, last) for first, last in run.bands)


def grounds(run: Run) -> tuple[BaseGeometry, ...]:
    """Return the ground that each band stands on, in the nozzle's frame."""
    stand = number("covers", "fence", "stand_mm") / 2
    return tuple(line.buffer(stand, cap_style="flat", join_style="mitre") for line in sections(run))


def sheltered(run: Run, site: Site) -> list[str]:
    """Return the ids of the parts that stand wholly in the lee."""
    behind = lee(run, site)
    shapely.prepare(behind)
    return [entry.part.id for entry in site.standing if behind.contains(shapely.box(*entry.body))]


def suits(material: ShieldMaterial) -> bool:
    """Return whether a fence can be folded from a material."""
    return material.form == "foil"


def _gap(site: Site, wall: Box, edge: int) -> float | None:
    """Return how far from the wall a side stands best: most of it unbroken, then few notches and near."""
    least, most = number("covers", "fence", "least_gap_mm"), number("covers", "fence", "most_gap_mm")
    tried = [(_burden(site, grown(wall, float(gap)), edge), float(gap)) for gap in np.arange(least, most, STEP_MM)]
    burden, gap = min(tried, key=lambda entry: (entry[0] + 0.15 * entry[1], entry[1]))
    return gap if np.isfinite(burden) else None


def _burden(site: Site, box: Box, edge: int) -> float:
    """Return what speaks against a side: share cut away by tall bodies in twentieths, and notches."""
    share = _open_share(site, box, edge)
    if share > number("covers", "fence", "most_open_share"):
        return inf
    return 20.0 * share + 0.3 * sum(height <= _low() for _, _, height in _cuts(site, box, edge))


def _open_share(site: Site, box: Box, edge: int) -> float:
    """Return how much of a side tall bodies cut away, of what stands on the board; all of one that lies beyond it."""
    off = sum(b - a for a, b, _ in _off_board(site, box, edge))
    left = _length(_side(box, edge)) - off
    cuts = _joined_cuts([*_tall(_cuts(site, box, edge)), *_off_board(site, box, edge)])
    return (sum(b - a for a, b, _ in cuts) - off) / left if left > LEAST_BAND_MM else 1.0


def _off_board(site: Site, box: Box, edge: int) -> list[Cut]:
    """Return what of a side lies beyond the board, where nothing is to be sheltered."""
    axis = 1 if edge in (0, 2) else 0
    across = 1 - axis
    length = _length(_side(box, edge))
    if not site.bounds[across] <= box[edge] <= site.bounds[across + 2]:
        return [(0.0, length, inf)]
    start, end = (point[axis] for point in _side(box, edge))
    way = 1.0 if end > start else -1.0
    at = sorted(min(max((bound - start) * way, 0.0), length) for bound in (site.bounds[axis], site.bounds[axis + 2]))
    return [(a, b, inf) for a, b in ((0.0, at[0]), (at[1], length)) if b > a]


def _tall(cuts: list[Cut]) -> list[Cut]:
    return [cut for cut in cuts if cut[2] > _low()]


def _cuts(site: Site, box: Box, edge: int) -> list[Cut]:
    """Return where bodies stand in a side, from its start on."""
    stand, axis = number("covers", "fence", "stand_mm") / 2, 1 if edge in (0, 2) else 0
    across = 1 - axis
    start, end = (point[axis] for point in _side(box, edge))
    low, high = sorted((start, end))
    found: list[Cut] = []
    lands = [(entry.box, inf) for entry in site.lands]
    for body, height in (*((entry.body, entry.height_mm) for entry in site.standing), *lands):
        if not body[across] - stand < box[edge] < body[across + 2] + stand:
            continue
        a, b = max(body[axis] - NOTCH_ROOM_MM, low), min(body[axis + 2] + NOTCH_ROOM_MM, high)
        if a < b:
            first, last = sorted((abs(a - start), abs(b - start)))
            found.append((first, last, height))
    return sorted(found)


def _low() -> float:
    return number("covers", "fence", "notch_height_mm")


def _box(wall: Box, gaps: dict[int, float | None]) -> Box:
    least = number("covers", "fence", "least_gap_mm")
    u0, v0, u1, v1 = (gap if (gap := gaps[edge]) is not None else least for edge in range(4))
    return wall[0] - u0, wall[1] - v0, wall[2] + u1, wall[3] + v1


def _side(box: Box, edge: int) -> tuple[Point, Point]:
    """Return a side's ends, counter-clockwise as drawn (v runs down)."""
    u0, v0, u1, v1 = box
    ends = {2: ((u1, v1), (u1, v0)), 1: ((u1, v0), (u0, v0)), 0: ((u0, v0), (u0, v1)), 3: ((u0, v1), (u1, v1))}
    return ends[edge]


def _length(side: tuple[Point, Point]) -> float:
    return abs(side[1][0] - side[0][0]) + abs(side[1][1] - side[0][1])


def _behind(line: list[Point]) -> BaseGeometry:
    return shapely.Polygon([*line, *((FAR * u, FAR * v) for u, v in reversed(line))])


def _joined(edges: list[int]) -> list[tuple[int, ...]]:
    """Return the sides in runs that join at corners."""
    if len(edges) == len(EDGES):
        return [EDGES]
    # Begin after a side that is missing, so that no run is torn at the start of the round.
    missing = next(i for i, edge in enumerate(EDGES) if edge not in edges)
    joined: list[list[int]] = [[]]
    for edge in (EDGES[(missing + 1 + i) % 4] for i in range(4)):
        if edge in edges:
            joined[-1].append(edge)
        elif joined[-1]:
            joined.append([])
    return [tuple(run) for run in joined if run]


def _run(site: Site, wall: Box, box: Box, edges: tuple[int, ...]) -> Run:
    at, cuts = 0.0, []
    for edge in edges:
        here = (*_cuts(site, box, edge), *_off_board(site, box, edge))
        cuts += [(at + a, at + b, height) for a, b, height in here]
        at += _length(_side(box, edge))
    tall = _joined_cuts(_tall(cuts))
    ends = [0.0, *(place for a, b, _ in tall for place in (a, b)), at]
    bands = tuple((a, b) for a, b in zip(ends[::2], ends[1::2], strict=True) if b - a >= LEAST_BAND_MM)
    notches = _joined_cuts([cut for cut in cuts if cut[2] <= _low()])
    return Run(box, edges, tuple(notches), bands, min(abs(box[edge] - wall[edge]) for edge in edges))


def _joined_cuts(cuts: list[Cut]) -> list[Cut]:
    """Return cuts with those that meet made one, as tall as the taller."""
    joined: list[Cut] = []
    for first, last, height in sorted(cuts):
        if joined and first <= joined[-1][1]:
            a, b, taller = joined.pop()
            joined.append((a, max(b, last), max(taller, height)))
        else:
            joined.append((first, last, height))
    return joined


def corners_mm(run: Run) -> tuple[float, ...]:
    """Return the places of the corners along a fence, that where a ring closes among them."""
    places = tuple(float(place) for place in np.cumsum(run.sides_mm))
    return places if run.is_ring else places[:-1]
