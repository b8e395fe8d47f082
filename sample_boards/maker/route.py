"""Tracks and vias: ties to the planes first, then every signal, by a shortest-path search on the grid.

A signal may cross what other signals have laid at a price; those that it crosses are taken up and routed again. The
price rises with each attempt and ground that was fought over stays dear, until no two nets touch (negotiated
congestion, after McMurchie and Ebeling, PathFinder, 1995).
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from heapq import heappop, heappush
from itertools import pairwise
from math import sqrt

import numpy as np
from numpy.typing import NDArray

from maker.grid import (
    CLEARANCE,
    STEP,
    THICK,
    THIN,
    VIA_DIAMETER,
    VIA_DRILL,
    Copper,
    Grid,
    Mask,
    close,
    close_to_vias,
    count,
    drill_reach,
    near,
    track,
    via,
)
from maker.parts import Land

VIA_COST = 12.0
TURN_COST = 0.4
HASTE = 1.1  # above 1 the search runs faster, the way grows a little longer
DIAGONAL = sqrt(2.0)
STEPS = (
    (1, 0, 1.0),
    (1, 1, DIAGONAL),
    (0, 1, 1.0),
    (-1, 1, DIAGONAL),
    (-1, 0, 1.0),
    (-1, -1, DIAGONAL),
    (0, -1, 1.0),
    (1, -1, DIAGONAL),
)

Node = tuple[int, int, int]
"""layer, column, row"""
Segment = tuple[int, float, float, float, float]
"""layer, and two ends in mm"""


@dataclass(frozen=True, slots=True)
class Route:
    """The copper of one net: straight pieces of one half width, and vias."""

    net: int
    half: float
    segments: tuple[Segment, ...] = ()
    vias: tuple[tuple[float, float], ...] = ()


class UnroutedError(RuntimeError):
    """No way was found for a net; the placement or the net list has to give."""


def coppers(route: Route) -> Iterable[Copper]:
    """Yield the copper of a route."""
    for layer, x0, y0, x1, y1 in route.segments:
        yield track(x0, y0, x1, y1, route.half, route.net, layer)
    for x, y in route.vias:
        yield via(x, y, route.net)


@dataclass(frozen=True, slots=True)
class Terrain:
    """What one net sees: the price of a step on each layer (0 closed) and of a via, flat, row by row."""

    width: int
    steps: tuple[bytes, bytes]
    vias: bytes


def terrain(grid: Grid, net: int, half: float, price: int, layers: tuple[int, ...] = (0, 1)) -> Terrain:
    """Return the terrain of a net: 1 for a free node, more where nets have fought or where other routes close it."""

    def cost_of(size: float, layer: int) -> NDArray[np.int64]:
        owner = grid.owner[size, layer]
        open_ = (owner == 0) | (owner == net)
        crossed = grid.laid[size, layer] > 0
        cost = 1 + np.minimum(grid.fought[layer], 60) + np.where(crossed, price, 0)
        return np.asarray(np.where(open_ & (~crossed | (price > 0)), cost, 0), np.int64)

    steps = [cost_of(half, layer) if layer in layers else np.zeros_like(grid.no_via) for layer in (0, 1)]
    top, bottom = cost_of(THICK, 0), cost_of(THICK, 1)
    vias = np.where((top > 0) & (bottom > 0) & (grid.no_via == 0), np.maximum(top, bottom), 0)
    first, second = (layer.astype(np.uint8).tobytes() for layer in steps)
    return Terrain(grid.width, (first, second), vias.astype(np.uint8).tobytes())


def search(
    ground: Terrain, sources: Iterable[Node], goal: Callable[[Node], bool], guess: Callable[[int, int], float]
) -> list[Node] | None:
    """Return the cheapest way from any source to a node that is a goal, or None (A*, with a price on turns)."""
    queue: list[tuple[float, float, Node, int]] = []
    best: dict[Node, float] = {}
    came: dict[Node, Node | None] = {}
    for node in sorted(sources):
        best[node], came[node] = 0.0, None
        heappush(queue, (guess(node[1], node[2]), 0.0, node, -1))
    while queue:
        _, spent, node, heading = heappop(queue)
        if spent > best[node]:
            continue
        if goal(node):
            return way_back(came, node)
        for neighbour, price, towards in moves(ground, node, heading):
            total = spent + price
            if total < best.get(neighbour, 1e18):
                best[neighbour], came[neighbour] = total, node
                heappush(queue, (total + guess(neighbour[1], neighbour[2]), total, neighbour, towards))
    return None


def moves(ground: Terrain, node: Node, heading: int) -> Iterable[tuple[Node, float, int]]:
    """Yield the nodes one step or one via away, each with its price and the heading then held."""
    layer, column, row = node
    cells, width = ground.steps[layer], ground.width
    for k, (dx, dy, length) in enumerate(STEPS):
        price = cells[(row + dy) * width + column + dx]
        if price:
            turn = (0, 1, 3, 8, 8)[min((k - heading) % 8, (heading - k) % 8)] if heading >= 0 else 0
            yield (layer, column + dx, row + dy), length * price + TURN_COST * turn, k
    price = ground.vias[row * width + column]
    if price and ground.steps[1 - layer][row * width + column]:
        yield (1 - layer, column, row), VIA_COST * price, -1


def way_back(came: Mapping[Node, Node | None], node: Node) -> list[Node]:
    """Return the way that led to a node, its source first."""
    way = [node]
    while (before := came[way[-1]]) is not None:
        way.append(before)
    return way[::-1]


def mm(node: Node) -> tuple[float, float]:
    """Return a node's place on the board."""
    return round(node[1] * STEP, 4), round(node[2] * STEP, 4)


def straightened(way: list[Node]) -> tuple[tuple[Segment, ...], tuple[tuple[float, float], ...]]:
    """Return a way as straight segments and vias."""
    corners = [way[0]]
    for before, here, after in zip(way, way[1:], way[2:], strict=False):
        if tuple(np.subtract(here, before)) != tuple(np.subtract(after, here)):
            corners.append(here)
    corners.append(way[-1])
    segments, vias = [], []
    for a, b in pairwise(corners):
        if a[0] != b[0]:
            vias.append(mm(a))
        elif a != b:
            segments.append((a[0], *mm(a), *mm(b)))
    return tuple(segments), tuple(vias)


def copper_of(land: Land, net: int) -> Copper:
    """Return a land's copper; pads drilled through lie on both layers."""
    pad = land.pad
    smallest = min(pad.width, pad.height) / 2
    radius = {"circle": smallest, "rect": 0.01}.get(pad.shape, min(0.5 * smallest, 0.25))  # a box has an inside
    bottom = (land.part.side == "bottom") != (pad.kind == "back")
    layers = (0, 1) if pad.kind in {"thru", "hole"} else (1,) if bottom else (0,)
    half_width, half_height = (max(size / 2 - radius, 0.0) for size in (pad.width, pad.height))
    clearance = land.part.footprint.clearance or CLEARANCE
    turn = land.part.rotation
    return Copper(land.x, land.y, half_width, half_height, radius, turn, net, layers, clearance)


def nodes_in(grid: Grid, copper: Copper) -> set[Node]:
    """Return the nodes that lie in a piece of copper."""
    window, inside = near(grid, copper, 0.0)
    rows, columns = np.nonzero(inside)
    top, left = window[0].start, window[1].start
    return {(layer, int(c) + left, int(r) + top) for layer in copper.layers for r, c in zip(rows, columns, strict=True)}


def bounds_guess(goals: set[Node]) -> Callable[[int, int], float]:
    """Return a guess at the way to any of the goals: octile distance to their bounding box, a little enlarged."""
    left, right = min(n[1] for n in goals), max(n[1] for n in goals)
    top, bottom = min(n[2] for n in goals), max(n[2] for n in goals)

    def guess(column: int, row: int) -> float:
        dx = max(left - column, column - right, 0)
        dy = max(top - row, row - bottom, 0)
        return HASTE * (max(dx, dy) + (DIAGONAL - 1) * min(dx, dy))

    return guess


def fix(grid: Grid, route: Route) -> None:
    """Make a route part of the ground: its copper closed to others, its drills to further vias."""
    for copper in coppers(route):
        close(grid, copper)
    for x, y in route.vias:
        close_to_vias(grid, Copper(x, y, 0, 0, VIA_DRILL / 2, 0, route.net, ()), drill_reach())


def tie(grid: Grid, land: Land, net: int, half: float, allowed: Mask) -> Route:
    """Return the shortest stub from a land to a via that the mask and the ground allow.

    Raises UnroutedError where there is no room for one.
    """
    copper = copper_of(land, net)
    layer = copper.layers[0]
    ground = terrain(grid, net, half, 0, (layer,))

    def goal(node: Node) -> bool:
        at = node[2] * ground.width + node[1]
        return bool(ground.vias[at]) and bool(allowed[node[2], node[1]])

    middle = nearest(nodes_in(grid, copper), land.x, land.y)
    way = search(ground, [middle], goal, lambda _column, _row: 0.0)
    if way is None:
        raise UnroutedError(f"no room for a via beside {land.part.ref}.{land.pad.number}: move its neighbours away")
    segments, _ = straightened(way) if len(way) > 1 else ((), ())
    return Route(net, half, segments, (mm(way[-1]),))


def nearest(nodes: set[Node], x: float, y: float) -> Node:
    """Return the node nearest to a point."""
    return min(nodes, key=lambda n: ((n[1] * STEP - x) ** 2 + (n[2] * STEP - y) ** 2, n))


@dataclass(slots=True)
class Job:
    """A net to route: the nodes that each of its lands offers, and what has been laid so far."""

    net: int
    name: str
    half: float
    terminals: list[set[Node]]
    route: Route | None = None
    tries: int = 0
    length: float = field(default=0.0)


def lay(grid: Grid, job: Job, route: Route, change: int) -> None:
    """Count a net's route in or out of the ground."""
    for copper in coppers(route):
        count(grid, copper, change)
    for x, y in route.vias:
        close_to_vias(grid, Copper(x, y, 0, 0, VIA_DRILL / 2, 0, job.net, ()), drill_reach(), change)


def connect(grid: Grid, job: Job, price: int) -> Route:
    """Return a route that joins all terminals of a net, each to what is already joined, the nearest first."""
    ground = terrain(grid, job.net, job.half, price)
    joined = set(job.terminals[0])
    left = list(job.terminals[1:])
    segments: list[Segment] = []
    vias: list[tuple[float, float]] = []
    while left:
        left.sort(key=lambda t: (gap(t, joined), min(t)))
        goals = left.pop(0)
        way = search(ground, joined, goals.__contains__, bounds_guess(goals))
        if way is None:
            raise UnroutedError(f"no way for {job.name}")
        new_segments, new_vias = straightened(way) if len(way) > 1 else ((), ())
        segments += new_segments
        vias += new_vias
        joined |= goals | set(way)
    return Route(job.net, job.half, tuple(segments), tuple(vias))


def gap(a: set[Node], b: set[Node]) -> int:
    """Return a rough distance between two sets of nodes, in steps."""
    one = min(a)
    return min(max(abs(one[1] - n[1]), abs(one[2] - n[2])) for n in b)


def crossed(grid: Grid, route: Route, others: Iterable[Job]) -> list[Job]:
    """Return the jobs whose laid copper comes too near to a route."""
    probe = Grid(grid.width, grid.height)
    for half in (THIN, THICK):
        for layer in (0, 1):
            probe.laid[half, layer] = np.zeros((grid.height, grid.width), np.int16)
    for copper in coppers(route):
        count(probe, copper, 1)
    return [job for job in others if job.route and job.net != route.net and hits(probe, job.route)]


def steps_of(segment: Segment) -> tuple[NDArray[np.int64], NDArray[np.int64]]:
    """Return the rows and columns of the nodes that a segment runs over."""
    _, x0, y0, x1, y1 = segment
    n = round(max(abs(x1 - x0), abs(y1 - y0)) / STEP)
    columns = np.rint(np.linspace(x0, x1, n + 1) / STEP).astype(np.int64)
    return np.rint(np.linspace(y0, y1, n + 1) / STEP).astype(np.int64), columns


def remember(grid: Grid, route: Route) -> None:
    """Raise the price of the nodes where a route runs over what others have laid."""
    for segment in route.segments:
        at = steps_of(segment)
        grid.fought[segment[0]][at] += np.where(grid.laid[route.half, segment[0]][at] > 0, 3, 0).astype(np.int16)


def hits(probe: Grid, route: Route) -> bool:
    """Say whether a route runs through closed nodes of the probe."""
    if any(probe.laid[route.half, segment[0]][steps_of(segment)].any() for segment in route.segments):
        return True
    return any(probe.laid[THICK, layer][round(y / STEP), round(x / STEP)] for x, y in route.vias for layer in (0, 1))


def route_all(grid: Grid, jobs: list[Job], limit: int = 1500, say: Callable[[str], None] = lambda _text: None) -> None:
    """Route every job in place, taking up what stands in the way and routing it again.

    Raises UnroutedError where the board does not come out within `limit` attempts.
    """
    waiting = deque(sorted(jobs, key=lambda job: (-job.half, job.length, job.net)))
    attempts = 0
    while waiting:
        attempts += 1
        if attempts > limit:
            raise UnroutedError(f"still waiting after {limit} attempts: {', '.join(job.name for job in waiting)}")
        job = waiting.popleft()
        route = connect(grid, job, min(2 + 3 * job.tries, 30))
        job.tries += 1
        remember(grid, route)
        for other in crossed(grid, route, jobs):
            if other.route is not None:
                lay(grid, other, other.route, -1)
                other.route = None
                waiting.append(other)
        job.route = route
        lay(grid, job, route, 1)
        if attempts % 25 == 0:
            say(f"{attempts} attempts, {len(waiting)} nets waiting")


def drill_stamp(x: float, y: float, drill: float) -> Copper:
    """Return a drilled hole as something to keep vias away from."""
    return Copper(x, y, 0, 0, drill / 2, 0, 0, ())


def land_via_reach() -> float:
    """Return how far from a land's edge the middle of a via must stay: no via in a land."""
    return VIA_DIAMETER / 2 + 0.05
