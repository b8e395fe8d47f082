"""A case as it was solved, and the review that is made of it."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from leeward.bench.records import Bench, NozzleFit
from leeward.board.records import Board, Side
from leeward.heat.find import RecipeAnswer
from leeward.heat.loads import Loads
from leeward.heat.recipe import Recipe
from leeward.heat.records import Heat
from leeward.known import NotAssessed
from leeward.parts.records import Part, Parts

Severity = Literal["injury", "board lost", "part lost", "touch-up", "cosmetic"]
Likelihood = Literal["expected", "likely", "possible", "unlikely", "remote"]
Priority = Literal["high", "medium", "low"]
ShieldKind = Literal["none", "air-mask", "barrier", "fence", "wet-sink", "take-off-first", "cannot"]


@dataclass(frozen=True, slots=True)
class Case:
    """One target, its setup and its solved heat: all that a review judges."""

    board: Board
    parts: Parts
    target: Part
    bench: Bench
    fits: tuple[NozzleFit, ...]  # ranked; never empty
    loads: Loads  # with the nozzle that was chosen
    answer: RecipeAnswer
    heat: Heat
    cycles_seen: int  # heat cycles at this site before the job, assembly included

    @property
    def recipe(self) -> Recipe:
        """The recipe to work with."""
        return self.answer.recipe


@dataclass(frozen=True, slots=True)
class Neighbour:
    """One part in the heat, by its shielding need."""

    part: Part
    gap_mm: float  # body to the target's body-and-leads outline, in plan
    nozzle_gap_mm: float  # body to the outside of the nozzle's wall, in plan; 0 where they overlap
    passes_under_wall: bool
    direction_deg: float  # counter-clockwise from +x as drawn
    body_peak_c: float | None  # None where no body was solved
    joint_peak_c: float | None  # None where it has no joint in the window
    joint_limit_c: float
    margin_c: float  # the worse of body and joint
    spread_c: float
    probability_over: float  # that its body passes its limit
    probability_joint_over: float  # that a joint passes the guidance for neighbours' joints
    probability_joint_melts: float
    max_ramp_c_s: float | None
    seconds_above_liquidus: float
    by_air: float  # share of the heat that arrives during reflow
    by_copper: float
    shield: tuple[ShieldKind, ...]
    severity: Severity
    priority: Priority
    why: str


@dataclass(frozen=True, slots=True)
class PadRisk:
    """One land of the target, by its risk of lifting."""

    number: str
    x_mm: float
    y_mm: float
    net: str
    area_mm2: float
    peak_c: float
    probability_solid: float  # that its joint is still solid at the lift
    capability_n: float  # the pull that the land bears at that temperature
    demand_n: float  # the pull that it meets if its joint is still solid
    anchors: tuple[str, ...]
    lift_risk: float
    priority: Priority
    why: str


@dataclass(frozen=True, slots=True)
class LoosePart:
    """A part that may move while its joints are molten."""

    part: Part
    how: Literal["blown", "dropped", "floated"]
    ratio: float  # what moves it over what holds it
    probability: float


@dataclass(frozen=True, slots=True)
class Thermocouple:
    """A place where a thermocouple tells most."""

    x_mm: float
    y_mm: float
    side: Side
    on: str
    why: str


@dataclass(frozen=True, slots=True)
class Step:
    """One step of the work order."""

    step: int
    do: str
    why: str


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing to act on. `key` stays the same from run to run."""

    key: str
    rule: str
    parts: tuple[str, ...]  # ids
    refs: tuple[str, ...]
    severity: Severity
    likelihood: Likelihood
    priority: Priority
    evidence: Mapping[str, float]
    remedy: str
    source: str
    waived: str | None = None


@dataclass(frozen=True, slots=True)
class Review:
    """What goes to the bench for one target."""

    case: Case
    probability_melted: float
    seconds_spread: float
    target_over_limit: float  # probability that the target's own top passes its limit
    hand_tool: str | None  # why no nozzle will do, and what will; None where a nozzle serves
    neighbours: tuple[Neighbour, ...]
    pads: tuple[PadRisk, ...]
    loose: tuple[LoosePart, ...]
    thermocouples: tuple[Thermocouple, ...]
    work_order: tuple[Step, ...]
    findings: tuple[Finding, ...]
    cautions: tuple[str, ...]
    not_assessed: tuple[NotAssessed, ...]
