"""The ground that shields are laid on: one side of the board, seen square to the nozzle, with what must stay free.

Planning is done in the nozzle's frame (origin at its middle, u along its width, v along its length, v down), where
every outline is taken as boxes (u0, v0, u1, v1), mm: strips are cut and laid square to the nozzle.
"""

from collections.abc import Iterable
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from leeward.bench.records import Bench, NozzleFit
from leeward.board.records import Side
from leeward.constants import number
from leeward.heat.records import Exposure
from leeward.parts.records import Part, Parts
from leeward.shields.exposed import plan_of
from leeward.shields.traits import Trait, refusal

Box = tuple[float, float, float, float]
SLICES = 12  # a round outline is taken as so many boxes
SQUARE_SHARE = 0.985  # an outline that fills this much of its box is taken as the box
AROUND_MM = 60.0  # bodies further from the nozzle's middle are of no concern to a shield


@dataclass(frozen=True, slots=True)
class Frame:
    """The nozzle's frame on the board."""

    x_mm: float
    y_mm: float
    turn_deg: float

    def local(self, shape: BaseGeometry) -> BaseGeometry:
        """Return a shape of the board frame in the nozzle's."""
        turned = affinity.rotate(shape, self.turn_deg, origin=(self.x_mm, self.y_mm))  # y runs down
        return affinity.translate(turned, -self.x_mm, -self.y_mm)

    def board(self, shape: BaseGeometry) -> BaseGeometry:
        """Return a shape of the nozzle's frame in the board frame."""
        moved = affinity.translate(shape, self.x_mm, self.y_mm)
        return affinity.rotate(moved, -self.turn_deg, origin=(self.x_mm, self.y_mm))

    def direction_deg(self, along: str) -> float:
        """Return which way u or v points, counter-clockwise as drawn, from 0 to below 360."""
        return round(self.turn_deg + (0.0 if along == "u" else -90.0), 6) % 360


@dataclass(frozen=True, slots=True)
class Standing:
    """One part that stands on the side: its body's box, and the box of body, leads and lands together."""

    part: Part
    body: Box
    plan: Box

    @property
    def height_mm(self) -> float:
        """The height of its body."""
        return self.part.height_mm.value


@dataclass(frozen=True, slots=True)
class Barred:
    """A box that must stay free, and why; of a body, also whose it is."""

    box: Box
    why: str
    of: Part | None = None

    def said_of(self, part: Part) -> str:
        """Return why a part cannot be covered where this is in the way."""
        return self.why if self.of is None or self.of.id == part.id else f"{self.of.ref} beside it: {self.why}"


@dataclass(frozen=True, slots=True)
class Site:
    """One side of the board round the target."""

    side: Side
    frame: Frame
    nozzle: Box | None  # the nozzle's outside with room round it; None on the side that is not worked
    walls: tuple[Barred, ...]  # the nozzle's room
    lands: tuple[Barred, ...]  # the target's, with room round them
    standing: tuple[Standing, ...]
    bounds: Box  # of the board
    skirt_top_mm: float  # what stands higher than this may meet the nozzle's head
    exposure: Exposure

    def barred(self, refused: tuple[Trait, ...], over_mm: float = np.inf) -> tuple[Barred, ...]:
        """Return what must stay free of something that may not lie over some traits, nor over taller bodies."""
        room = number("covers", "cut", "land_room_mm")
        found = [(entry, refusal(entry.part, refused)) for entry in self.standing]
        bodies = [Barred(grown(e.body, room), why, e.part) for e, why in found if why is not None]
        tall = [
            Barred(grown(e.body, room), f"{e.height_mm:.1f} mm tall", e.part)
            for e, why in found
            if why is None and e.height_mm > over_mm
        ]
        return (*self.walls, *self.lands, *bodies, *tall)


def site(parts: Parts, target: Part, fit: NozzleFit, bench: Bench, side: Side, where: "Where") -> Site:
    """Return the ground on one side; `where` holds the board's outline and what the air did to it."""
    frame = Frame(fit.x_mm, fit.y_mm, fit.rotation_deg)
    worked = side == target.footprint.side
    outside = frame.local(fit.outside)
    nozzle = grown(outside.bounds, bench.placement_mm) if worked else None
    walls = [Barred(grown(box, bench.placement_mm), "no room beside the nozzle") for box in boxes(outside)]
    return Site(
        side=side,
        frame=frame,
        nozzle=nozzle,
        walls=tuple(walls) if worked else (),
        lands=tuple(_lands(target, frame, side)),
        standing=_standing(parts, target, frame, side),
        bounds=frame.local(where.outline).bounds,
        skirt_top_mm=fit.standoff_mm + fit.nozzle.skirt_height_mm,
        exposure=where.exposure,
    )


@dataclass(frozen=True, slots=True)
class Where:
    """The board's outline, board frame, and what the nozzle's air did to every face."""

    outline: BaseGeometry
    exposure: Exposure


def boxes(shape: BaseGeometry) -> list[Box]:
    """Return a shape as boxes: its own where it is about one, else of slices across it."""
    if shape.is_empty:
        return []
    u0, v0, u1, v1 = shape.bounds
    if shape.area >= SQUARE_SHARE * (u1 - u0) * (v1 - v0):
        return [(u0, v0, u1, v1)]
    edges = np.linspace(v0, v1, SLICES + 1)
    slices = [shape.intersection(shapely.box(u0, a, u1, b)) for a, b in zip(edges[:-1], edges[1:], strict=True)]
    return [piece.bounds for piece in slices if not piece.is_empty]


def grown(box: Box, by_mm: float) -> Box:
    """Return a box grown on all sides."""
    return box[0] - by_mm, box[1] - by_mm, box[2] + by_mm, box[3] + by_mm


def around(found: Iterable[Box]) -> Box:
    """Return the box round boxes."""
    each = np.array(list(found))
    low, high = each[:, :2].min(axis=0), each[:, 2:].max(axis=0)
    return float(low[0]), float(low[1]), float(high[0]), float(high[1])


def meets(box: Box, others: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Return which boxes (k, 4) share area with a box, (k,)."""
    hair = 1e-6
    return (
        (others[:, 0] < box[2] - hair)
        & (others[:, 2] > box[0] + hair)
        & (others[:, 1] < box[3] - hair)
        & (others[:, 3] > box[1] + hair)
    )


def holds(box: Box, others: NDArray[np.float64]) -> NDArray[np.bool_]:
    """Return which boxes (k, 4) lie in a box, (k,)."""
    hair = 1e-6
    low, high = np.array(box[:2]) - hair, np.array(box[2:]) + hair
    return np.asarray(np.all((others[:, :2] >= low) & (others[:, 2:] <= high), axis=1))


def as_array(found: Iterable[Box]) -> NDArray[np.float64]:
    """Return boxes as an array (k, 4)."""
    return np.array(list(found), dtype=float).reshape(-1, 4)


def _lands(target: Part, frame: Frame, side: Side) -> list[Barred]:
    room = number("covers", "cut", "land_room_mm")
    lands = [pad.copper for pad in target.footprint.pads if side in pad.sides and not pad.copper.is_empty]
    own = [target.leads] if side == target.footprint.side else []
    return [
        Barred(grown(frame.local(shape).bounds, room), f"no room beside the lands of {target.ref}")
        for shape in (*own, *lands)
    ]


def _standing(parts: Parts, target: Part, frame: Frame, side: Side) -> tuple[Standing, ...]:
    near = shapely.Point(frame.x_mm, frame.y_mm).buffer(AROUND_MM)
    others = [
        part
        for part in parts.by_id.values()
        if part.id != target.id and part.footprint.side == side and not part.body.is_empty
    ]
    # A footprint drawn round the target, of a can, a module or the board itself, does not stand beside it.
    others = [part for part in others if part.body.intersection(target.body).area == 0 or side != target.footprint.side]
    return tuple(
        Standing(part, frame.local(part.leads).bounds, frame.local(plan_of(part)).bounds)
        for part in others
        if part.body.intersects(near)
    )
