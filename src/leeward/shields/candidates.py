"""What could be laid: one candidate is a box square to the nozzle in one material, with what it would serve."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from leeward.bench.records import ShieldMaterial
from leeward.constants import number
from leeward.heat.covers import through_w_m2k
from leeward.shields.records import Shape, ShieldKind
from leeward.shields.site import Barred, Box, Site, Standing, as_array, grown, meets

Along = Literal["u", "v"]
Service = tuple[str, Literal["hold", "shelter"]]  # a part's id, and what is done for it


@dataclass(frozen=True, slots=True)
class Candidate:
    """One piece that could be laid, in the nozzle's frame."""

    kind: ShieldKind
    shape: Shape
    material: ShieldMaterial
    layers: int
    site: Site
    box: Box
    along: Along  # the direction of its length
    windows: tuple[Box, ...]
    serves: frozenset[Service]
    cost: float  # 1 is a plain strip
    height_mm: float = 0.0
    air_gap_mm: float | None = None
    resistance_m2k_w: float = 0.0


def turned(box: Box) -> Box:
    """Return a box with u and v changed over."""
    return box[1], box[0], box[3], box[2]


def extent(box: Box, along: Along) -> tuple[float, float]:
    """Return a box's length along a direction and its width across it."""
    du, dv = box[2] - box[0], box[3] - box[1]
    return (du, dv) if along == "u" else (dv, du)


def tallest_mm(members: Iterable[Standing]) -> float:
    """Return the greatest height, 0 of none."""
    return max((entry.height_mm for entry in members), default=0.0)


def free_of(box: Box, barred: Sequence[Barred]) -> Barred | None:
    """Return the first thing in the way of a box, None if it is free."""
    if not barred:
        return None
    hit = np.flatnonzero(meets(box, as_array(entry.box for entry in barred)))
    return barred[int(hit[0])] if hit.size else None


def outer_face_c(site: Site, box: Box, resistance_m2k_w: float) -> float:
    """Return how hot the outside of a cover over a box would get, C.

    What comes through it is U (T_air - T_face under it), so its outside is at T_air less U/h of that difference.
    """
    exposure = site.exposure
    turn = np.deg2rad(site.frame.turn_deg)
    dx, dy = exposure.x_mm - site.frame.x_mm, exposure.y_mm - site.frame.y_mm
    u, v = dx * np.cos(turn) - dy * np.sin(turn), dx * np.sin(turn) + dy * np.cos(turn)
    under = (exposure.on_top == (site.side == "top")) & (u > box[0]) & (u < box[2]) & (v > box[1]) & (v < box[3])
    if not under.any():
        return 0.0
    h, air_c, face_c = exposure.h_w_m2k[under], exposure.air_c[under], exposure.face_c[under]
    passed = np.divide(through_w_m2k(h, resistance_m2k_w), h, out=np.ones_like(h), where=h > 0)
    return float((air_c - passed * (air_c - face_c)).max())


def faces_nozzle(site: Site, box: Box, reach_mm: float | None = None) -> tuple[bool, bool, bool, bool]:
    """Return which edges of a box (low u, low v, high u, high v) stand close before the nozzle's room."""
    if site.nozzle is None:
        return False, False, False, False
    reach = number("covers", "cut", "dam_reach_mm") if reach_mm is None else reach_mm
    n = site.nozzle
    beside = box[1] < n[3] and box[3] > n[1]
    above_or_below = box[0] < n[2] and box[2] > n[0]
    hair = 1e-6
    return (
        beside and -hair <= box[0] - n[2] <= reach,
        above_or_below and -hair <= box[1] - n[3] <= reach,
        beside and -hair <= n[0] - box[2] <= reach,
        above_or_below and -hair <= n[1] - box[3] <= reach,
    )


def room(box: Box, edge: int, barred: Sequence[Barred], site: Site, most_mm: float) -> float:
    """Return how far an edge (0 low u, 1 low v, 2 high u, 3 high v) can be moved out, at most `most_mm`."""
    sign, axis, other = (-1.0, edge, 1 - edge) if edge < 2 else (1.0, edge - 2, 3 - edge)
    span = as_array(entry.box for entry in barred)
    beside = (span[:, other] < box[other + 2] - 1e-6) & (span[:, other + 2] > box[other] + 1e-6)
    near = span[beside][:, axis + 2] if edge < 2 else span[beside][:, axis]
    away = sign * (near - box[edge])
    limit = sign * (site.bounds[edge] - box[edge])
    ahead = away[away >= -1e-6]
    return max(0.0, min(most_mm, limit, float(ahead.min()) if ahead.size else most_mm))


def moved(box: Box, edge: int, by_mm: float) -> Box:
    """Return a box with one edge moved out."""
    sides = list(box)
    sides[edge] += -by_mm if edge < 2 else by_mm
    return sides[0], sides[1], sides[2], sides[3]


def settled(box: Box, barred: Sequence[Barred], site: Site, landing_mm: float) -> Box:
    """Return a box grown on every side to land on the board beyond what it covers, as far as it is free to."""
    for edge in range(4):
        box = moved(box, edge, room(box, edge, barred, site, landing_mm))
    return box


def inside_of(site: Site, box: Box) -> list[Standing]:
    """Return the parts of which some of the body stands in a box."""
    if not site.standing:
        return []
    return [site.standing[int(i)] for i in np.flatnonzero(meets(box, as_array(entry.body for entry in site.standing)))]


def edge_bodies(site: Site, box: Box, thick_mm: float) -> list[Standing]:
    """Return the parts in the way of walls that stand along a box's edges, `thick_mm` to the outside."""
    outer = grown(box, thick_mm)
    found = inside_of(site, outer)
    return [entry for entry in found if not inside(entry.body, box)]


def inside(inner: Box, outer: Box) -> bool:
    """Return whether a box lies in another."""
    return inner[0] >= outer[0] and inner[1] >= outer[1] and inner[2] <= outer[2] and inner[3] <= outer[3]
