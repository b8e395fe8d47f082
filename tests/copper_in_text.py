"""What a board file says of the copper at one pad, read from its text alone.

Nothing of the project is used here, so that its reasons can be held against it: brackets into nested lists, pads
as rectangles, centre lines as points, pours as the file's own filled polygons.
"""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from math import atan2, cos, degrees, hypot, radians, sin
from pathlib import Path
from typing import TypeAlias

Node: TypeAlias = "list[Node | str]"
XY: TypeAlias = tuple[float, float]
TOKEN = re.compile(r'"(?:[^"\\]|\\.)*"|[()]|[^\s()"]+')
COMPASS = ("east", "north-east", "north", "north-west", "west", "south-west", "south", "south-east")
NEAR_MM = 1.0
PLANE_MM2 = 100.0
SAME_MM = 2e-3


@dataclass(frozen=True)
class PadText:
    """One pad as the file places it: half sizes along its own axes, the turn of those, whether it is a circle."""

    x: float
    y: float
    half: XY
    turn_deg: float
    net: str
    plated: bool
    circle: bool

    def away_mm(self, x: float, y: float) -> float:
        """Return how far a place is from the pad's rectangle or circle, 0 inside."""
        if self.circle:
            return max(hypot(x - self.x, y - self.y) - self.half[0], 0.0)
        turn = radians(self.turn_deg)
        dx, dy = x - self.x, y - self.y
        along, across = dx * cos(turn) - dy * sin(turn), dx * sin(turn) + dy * cos(turn)
        return hypot(max(abs(along) - self.half[0], 0.0), max(abs(across) - self.half[1], 0.0))


@dataclass(frozen=True)
class ViaText:
    """One via: its place and its land's radius."""

    x: float
    y: float
    radius: float


@dataclass(frozen=True)
class Copper:
    """What the file says at one pad: traces as (width, compass point), vias, pours."""

    traces: frozenset[tuple[float, str]]
    vias_in: int
    vias_near: int
    pour: bool
    planes: frozenset[str]  # layers where a via in or near it, or its own hole, lies in a large fill of its net


@cache
def tree(path: Path) -> Node:
    """Return a file's brackets as nested lists."""
    stack: list[Node] = [[]]
    for token in TOKEN.findall(path.read_text(encoding="utf-8")):
        if token == "(":  # noqa: S105  # a bracket, no secret
            stack.append([])
        elif token == ")":  # noqa: S105
            done = stack.pop()
            stack[-1].append(done)
        else:
            stack[-1].append(token.strip('"'))
    first = stack[0][0]
    assert isinstance(first, list)
    return first


def children(node: Node, *names: str) -> Iterator[Node]:
    """Yield the lists in a list that begin with one of some words."""
    for entry in node:
        if isinstance(entry, list) and entry and entry[0] in names:
            yield entry


def words(node: Node, name: str) -> list[str]:
    """Return the words of the first list of a name, [] without one."""
    found = next(children(node, name), [name])
    return [entry for entry in found[1:] if isinstance(entry, str)]


def numbers(node: Node, name: str) -> list[float]:
    """Return the numbers of the first list of a name."""
    return [float(word) for word in words(node, name) if re.fullmatch(r"-?\d*\.?\d+(e-?\d+)?", word)]


def pads_of(path: Path, ref: str) -> list[tuple[str, PadText]]:
    """Return the pads of a part by number, in the file's order."""
    for part in children(tree(path), "footprint", "module"):
        named = [entry for entry in children(part, "fp_text", "property") if entry[1] in ("reference", "Reference")]
        if any(entry[2] == ref for entry in named):
            x, y, *turn = numbers(part, "at")
            return [(str(pad[1]), _pad(pad, x, y, radians(turn[0] if turn else 0.0))) for pad in children(part, "pad")]
    raise LookupError(ref)


def _pad(pad: Node, x: float, y: float, turn: float) -> PadText:
    px, py, *own = numbers(pad, "at")
    width, height = numbers(pad, "size")
    net = words(pad, "net")
    return PadText(
        x=x + px * cos(turn) + py * sin(turn),
        y=y - px * sin(turn) + py * cos(turn),
        half=(width / 2, height / 2),
        turn_deg=own[0] if own else 0.0,
        net=net[0] if net else "0",
        plated=pad[2] == "thru_hole",
        circle=pad[3] == "circle",
    )


def copper_at(path: Path, pad: PadText, layer: str) -> Copper:
    """Return what the file says of the copper at a pad on one outer layer."""
    runs = [run for run in _runs(tree(path), layer) if run.net == pad.net]
    vias = [_via(via) for via in children(tree(path), "via") if words(via, "net")[:1] == [pad.net]]
    inside = [via for via in vias if pad.away_mm(via.x, via.y) == 0]
    fills = _fills(path, pad.net)
    own = [points for on, points in fills if on == layer and _touches(points, pad)]
    ends = _ends(runs, pad)
    near = [via for via in vias if 0 < pad.away_mm(via.x, via.y) <= NEAR_MM and _reached(via, ends, own)]
    holes = [ViaText(pad.x, pad.y, pad.half[0])] if pad.plated else []
    planes = {
        on
        for on, points in fills
        if abs(_area(points)) >= PLANE_MM2 and any(_meets(points, via) for via in (*inside, *near, *holes))
    }
    planes |= {layer for points in own if abs(_area(points)) >= PLANE_MM2}
    return Copper(frozenset(_traces(runs, pad)), len(inside), len(near), bool(own), frozenset(planes))


@dataclass(frozen=True)
class _Run:
    width: float
    net: str
    start: XY
    end: XY


def _runs(root: Node, layer: str) -> list[_Run]:
    return [
        _Run(numbers(s, "width")[0], words(s, "net")[0], _xy(numbers(s, "start")), _xy(numbers(s, "end")))
        for s in children(root, "segment", "arc")
        if words(s, "layer") == [layer]
    ]


def _xy(pair: Sequence[float]) -> XY:
    return pair[0], pair[1]


def _via(via: Node) -> ViaText:
    return ViaText(*_xy(numbers(via, "at")), numbers(via, "size")[0] / 2)


def _traces(runs: Sequence[_Run], pad: PadText) -> Iterator[tuple[float, str]]:
    """Yield width and direction of every run that has one end in the pad, or that crosses it."""
    for run in runs:
        start, end = pad.away_mm(*run.start) < SAME_MM, pad.away_mm(*run.end) < SAME_MM
        if start != end:
            yield run.width, _compass(*((run.start, run.end) if start else (run.end, run.start)))
        elif not start and _crosses(run, pad):
            yield run.width, _compass(run.start, run.end)
            yield run.width, _compass(run.end, run.start)


def _crosses(run: _Run, pad: PadText) -> bool:
    steps = [i / 200 for i in range(201)]
    return any(
        pad.away_mm(*(a + share * (b - a) for a, b in zip(run.start, run.end, strict=True))) == 0 for share in steps
    )


def _compass(start: XY, end: XY) -> str:
    turn = degrees(atan2(start[1] - end[1], end[0] - start[0]))  # y runs down
    return COMPASS[round(turn / 45) % 8]


def _ends(runs: Sequence[_Run], pad: PadText) -> set[XY]:
    """Return the ends of all runs that lead on from the pad, end to end."""
    ends = {_rounded(end) for run in runs for end in (run.start, run.end) if pad.away_mm(*end) < SAME_MM}
    grown = True
    while grown:
        more = {
            _rounded(e) for run in runs for e in (run.start, run.end) if ends & {_rounded(run.start), _rounded(run.end)}
        }
        grown = not more <= ends
        ends |= more
    return ends


def _rounded(place: XY) -> XY:
    return round(place[0], 3), round(place[1], 3)


def _reached(via: ViaText, ends: set[XY], pours: Sequence[Sequence[XY]]) -> bool:
    """Return whether a run's end lies on a via's land, or a pour that the pad is in covers it."""
    return any(hypot(via.x - x, via.y - y) < via.radius for x, y in ends) or any(_meets(p, via) for p in pours)


def _meets(points: Sequence[XY], via: ViaText) -> bool:
    """Return whether a via's land and a ring overlap."""
    edges = zip(points, [*points[1:], points[0]], strict=True)
    return _within(points, (via.x, via.y)) or any(_from_edge(via, a, b) < via.radius for a, b in edges)


def _from_edge(via: ViaText, a: XY, b: XY) -> float:
    run = hypot(b[0] - a[0], b[1] - a[1]) or 1.0
    share = ((via.x - a[0]) * (b[0] - a[0]) + (via.y - a[1]) * (b[1] - a[1])) / run**2
    at = min(max(share, 0.0), 1.0)
    return hypot(via.x - a[0] - at * (b[0] - a[0]), via.y - a[1] - at * (b[1] - a[1]))


@cache
def _fills(path: Path, net: str) -> tuple[tuple[str, list[XY]], ...]:
    """Return the filled polygons of a net, each with its layer."""
    found = []
    for zone in children(tree(path), "zone"):
        if words(zone, "net")[:1] != [net]:
            continue
        for fill in children(zone, "filled_polygon"):
            layer = words(fill, "layer") or words(zone, "layer") or words(zone, "layers")
            points = next(children(fill, "pts"))
            found.append((layer[0], [(float(str(xy[1])), float(str(xy[2]))) for xy in children(points, "xy")]))
    return tuple(found)


def _area(points: Sequence[XY]) -> float:
    return sum(ax * by - bx * ay for (ax, ay), (bx, by) in zip(points, [*points[1:], points[0]], strict=True)) / 2


def _within(points: Sequence[XY], place: XY) -> bool:
    """Return whether a place lies in a ring, by the parity of edges to its right."""
    x, y = place
    inside = False
    for (ax, ay), (bx, by) in zip(points, [*points[1:], points[0]], strict=True):
        if (ay > y) != (by > y) and x < ax + (y - ay) / (by - ay) * (bx - ax):
            inside = not inside
    return inside


def _touches(points: Sequence[XY], pad: PadText) -> bool:
    """Return whether a ring covers the pad's middle, or a corner of it lies in the pad: spokes end there."""
    return _within(points, (pad.x, pad.y)) or any(pad.away_mm(*point) == 0 for point in points)
