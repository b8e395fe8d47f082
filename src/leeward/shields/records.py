"""A shield plan as records: a decision for each neighbour, and the pieces to cut and lay."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from shapely.geometry.base import BaseGeometry

from leeward.bench.records import ShieldMaterial
from leeward.board.records import Side
from leeward.shields.decide import Need

ShieldKind = Literal["none", "air-mask", "barrier", "fence", "wet-sink", "take-off-first", "cannot"]
Shape = Literal["strip", "sheet", "lid", "tent", "blanket", "fence", "coat"]
Points = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Pattern:
    """A piece laid flat: closed cuts, open cuts and folds, mm; length along x, width along y, from (0, 0)."""

    outlines: tuple[Points, ...]  # one but of a fence that is cut through
    windows: tuple[Points, ...]
    slits: tuple[Points, ...]
    folds: tuple[Points, ...]


@dataclass(frozen=True, slots=True)
class Piece:
    """One piece to lay, or one fence to stand up."""

    number: int  # in laying order
    kind: ShieldKind
    shape: Shape
    material: ShieldMaterial
    layers: int
    side: Side
    area: BaseGeometry  # what it lies over, windows left out, board frame; of a fence the ground that it stands on
    lee: BaseGeometry  # what it shelters: the same, or the area behind a fence
    dams: BaseGeometry  # the edges that are folded up towards the nozzle, lines, board frame; may be empty
    length_mm: float  # as cut
    width_mm: float
    roll_width_mm: float  # of what it is cut from
    direction_deg: float  # which way its length and the pattern's x run on the board, counter-clockwise as drawn
    height_mm: float  # how far it stands up: dam, lid or fence; 0 of what lies flat
    air_gap_mm: float | None  # still air under a lid or a tent
    wall_gap_mm: float | None  # from the nozzle's wall to a fence
    resistance_m2k_w: float
    covers: tuple[str, ...]  # ids
    pattern: Pattern | None  # None of gel
    sections: tuple[BaseGeometry, ...]  # of a fence: the ground of each band, as in the pattern's outlines
    over: tuple[int, ...]  # numbers of the pieces that it laps over
    why: str

    @property
    def angle_deg(self) -> float:
        """How its length lies, from 0 to below 180."""
        return self.direction_deg % 180


@dataclass(frozen=True, slots=True)
class Decision:
    """What is done for one neighbour, and why."""

    part_id: str
    kinds: tuple[ShieldKind, ...]
    why: str


@dataclass(frozen=True, slots=True)
class ShieldPlan:
    """Pieces in laying order, and a decision for every part in the heat, by id."""

    pieces: tuple[Piece, ...]
    needs: Mapping[str, Need]
    unmet: Mapping[str, str]  # ids of parts that something cannot be done for, and why
    decisions: Mapping[str, Decision]

    def decision(self, part_id: str) -> Decision:
        """Return what is done for a part; nothing for one that was not in the heat when the plan was made."""
        return self.decisions.get(part_id, Decision(part_id, ("none",), "no shield was planned for it"))
