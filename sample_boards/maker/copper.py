"""From parts to copper: the planes' ties, then the routed nets."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass

import numpy as np
import shapely

from maker.grid import (
    EDGE_CLEARANCE,
    NOBODY,
    STEP,
    THICK,
    THIN,
    Copper,
    Grid,
    Mask,
    close,
    close_to_vias,
    drill_reach,
    empty,
)
from maker.parts import Land, Part, lands
from maker.route import Job, Route, copper_of, drill_stamp, fix, land_via_reach, nodes_in, route_all, tie

WIDE_LAND = 0.8
"""Lands wider than this, mm, get a wide stub to their via."""


@dataclass(frozen=True, slots=True)
class Plan:
    """A board before it is copper: its outline, parts and the nets on planes and with wide tracks."""

    outline: shapely.Polygon
    width: float
    height: float
    parts: tuple[Part, ...]
    planes: tuple[str, ...]
    power: tuple[str, ...]


def net_numbers(parts: tuple[Part, ...]) -> dict[str, int]:
    """Return the number of every net, by name; 0 is the net of what is unconnected."""
    names = sorted({name for part in parts for name in part.nets.values()})
    return {"": 0} | {name: k + 1 for k, name in enumerate(names)}


def ground_of(plan: Plan, numbers: Mapping[str, int]) -> Grid:
    """Return the grid with every land, hole and edge in it, before the first track."""
    grid = empty(plan.outline, plan.width, plan.height)
    for land in lands(plan.parts):
        if land.pad.kind == "paste":
            continue
        copper = copper_of(land, numbers[land.net] or NOBODY)
        if land.pad.kind == "hole":
            copper = Copper(land.x, land.y, 0, 0, land.pad.drill / 2, 0, NOBODY, (0, 1), EDGE_CLEARANCE)
        close(grid, copper)
        close_to_vias(grid, copper, land_via_reach())
        if land.pad.drill:
            close_to_vias(grid, drill_stamp(land.x, land.y, land.pad.drill), drill_reach())
    return grid


def via_room(grid: Grid, land: Land) -> Mask:
    """Return the nodes where the via of a land on a plane may stand, by the manner of its footprint."""
    xs, ys = np.meshgrid(np.arange(grid.width) * STEP - land.x, np.arange(grid.height) * STEP - land.y)
    footprint = land.part.footprint
    if footprint.tie == "dogbone":
        across = 0.4 if land.x > land.part.x - 0.1 else -0.4
        down = 0.4 if land.y > land.part.y - 0.1 else -0.4
        room = np.maximum(np.abs(xs - across), np.abs(ys - down)) < 0.01
    elif footprint.tie == "inside" and footprint.body:
        from_middle = np.maximum(np.abs(xs + land.x - land.part.x), np.abs(ys + land.y - land.part.y))
        room = from_middle < footprint.body[2]
    else:
        room = np.hypot(xs, ys) < 4.0
    return np.asarray(room, np.bool_)


def needs_tie(land: Land, planes: tuple[str, ...]) -> bool:
    """Say whether a land reaches its plane only by a via of its own."""
    drilled = any(p.kind == "thru" and p.number == land.pad.number for p in land.part.footprint.pads)
    return land.net in planes and land.pad.kind == "smd" and not drilled


def ties(grid: Grid, plan: Plan, numbers: Mapping[str, int]) -> list[Route]:
    """Tie every land on a plane to it, those under a body first, as they have the least room."""
    order = {"dogbone": 0, "inside": 1, "any": 2}
    wanted = [land for land in lands(plan.parts) if needs_tie(land, plan.planes)]
    routes = []
    for land in sorted(wanted, key=lambda land: order[land.part.footprint.tie]):
        half = THICK if min(land.pad.width, land.pad.height) > WIDE_LAND else THIN
        for _ in range(2 if land.pad.number in land.part.solid else 1):
            route = tie(grid, land, numbers[land.net], half, via_room(grid, land))
            fix(grid, route)
            routes.append(route)
    return routes


def jobs_of(grid: Grid, plan: Plan, numbers: Mapping[str, int]) -> list[Job]:
    """Return what is left to route: every net with two lands or more that is not on a plane."""
    by_net: dict[str, list[Land]] = {}
    for land in lands(plan.parts):
        if land.net and land.net not in plan.planes:
            by_net.setdefault(land.net, []).append(land)
    return [job_of(grid, plan, numbers[name], name, by_net[name]) for name in sorted(by_net) if len(by_net[name]) > 1]


def job_of(grid: Grid, plan: Plan, net: int, name: str, members: list[Land]) -> Job:
    """Return the job of one net."""
    half = THICK if name in plan.power else THIN
    xs, ys = [land.x for land in members], [land.y for land in members]
    terminals = [nodes_in(grid, copper_of(land, net)) for land in members]
    return Job(net, name, half, terminals, length=max(xs) - min(xs) + max(ys) - min(ys))


def routed(plan: Plan, numbers: Mapping[str, int], say: Callable[[str], None]) -> tuple[Route, ...]:
    """Return all tracks and vias of the board."""
    grid = ground_of(plan, numbers)
    fixed = ties(grid, plan, numbers)
    say(f"{len(fixed)} ties to the planes")
    jobs = jobs_of(grid, plan, numbers)
    route_all(grid, jobs, say=say)
    return tuple(fixed) + tuple(job.route for job in jobs if job.route is not None)
