"""A case as it was solved, and the review that is made of it."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from leeward.bench.records import Bench, Cup, NozzleFit
from leeward.board.records import Board, Side
from leeward.heat.find import RecipeAnswer
from leeward.heat.loads import Loads
from leeward.heat.recipe import Recipe
from leeward.heat.records import Heat, MeltWindow
from leeward.known import Known, NotAssessed
from leeward.parts.records import Part, Parts
from leeward.shields.effect import Effect
from leeward.shields.records import ShieldKind, ShieldPlan

Severity = Literal["injury", "board lost", "part lost", "touch-up", "cosmetic"]
Likelihood = Literal["expected", "likely", "possible", "unlikely", "remote"]
Priority = Literal["high", "medium", "low"]


@dataclass(frozen=True, slots=True)
class Case:
    """One target, its setup and its solved heat: all that a review judges.

    Recipe, loads and heat are those of the job as it is worked, with the shields of the plan on; `bare` is the heat
    without any, by the recipe for that, which tells who needs one.
    """

    board: Board
    parts: Parts
    target: Part
    bench: Bench
    fits: tuple[NozzleFit, ...]  # ranked; never empty
    loads: Loads  # with the nozzle that was chosen
    answer: RecipeAnswer
    heat: Heat
    cycles_seen: int  # earlier rework at this site, each removal or refit once; assembly is not counted
    bare: Heat
    shields: ShieldPlan

    @property
    def recipe(self) -> Recipe:
        """The recipe to work with."""
        return self.answer.recipe


@dataclass(frozen=True, slots=True)
class Neighbour:
    """One part in the heat, by its shielding need: without shields, but where a name says otherwise."""

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
    shield_why: str
    shielded: Effect  # with the plan on
    probability_over_shielded: float  # with no more than what may be credited
    probability_melts_shielded: float
    priority_shielded: Priority
    severity: Severity
    priority: Priority
    why: str


@dataclass(frozen=True, slots=True)
class Laminate:
    """What the lands lie on."""

    glass_transition_c: Known[float]
    decomposition_c: Known[float]
    told: bool  # the stackup's material or the bench file says it; else the glass transition is assumed


@dataclass(frozen=True, slots=True)
class JointMelt:
    """One joint of the target, by when it melts."""

    pad: str
    x_mm: float
    y_mm: float
    net: str
    seconds_to_liquidus: float | None  # from the start of reflow; None where it stays solid
    window: MeltWindow | None  # of that moment; None where it stays solid
    lift_c: float
    behind_c: float  # how much colder its peak is than the median joint's; negative where it is hotter
    probability_solid: float  # that it is still solid at the lift
    reasons: tuple[str, ...]  # why it melts later than most of the part's joints; empty where it does not
    remedies: tuple[str, ...]  # what to do about those


@dataclass(frozen=True, slots=True)
class PadRisk:
    """One land of the target, by its risk of lifting."""

    number: str
    x_mm: float
    y_mm: float
    net: str
    area_mm2: float
    defined_by: Literal["mask", "copper"]
    unconnected: bool  # no copper leaves it
    corner: bool
    peak_c: float
    seconds_over_tg: float
    spoiled: bool  # its foil was so hot for so long that it bears less
    probability_solid: float  # that its joint is still solid at the lift
    pull_n: float  # the even pull that the land bears at its peak temperature, anchors left out
    pry_n: float  # the force at one edge that starts to peel it, anchors left out
    capability_n: float  # the lesser of the two and what the anchors add
    demand_n: float  # the pull that it meets if its joint is still solid, evenly or at one edge
    demand_melted_n: float  # the even pull of its own molten solder
    pry_melted_n: float  # that of the solder along its narrow side
    solder_n: float  # the most that its joint passes on while it is solid
    anchors: tuple[str, ...]
    lift_risk: float
    priority: Priority
    why: str


@dataclass(frozen=True, slots=True)
class Tweezers:
    """How tweezers get at a part: across which of its sides, and how steeply past the parts around."""

    across: Literal["x", "y"]  # of the part's own frame
    direction_deg: float  # of that axis on the board, counter-clockwise from +x as drawn
    access_deg: float  # the least angle over the board at which jaws clear what stands around
    past: tuple[str, ...]  # references of what they have to clear


@dataclass(frozen=True, slots=True)
class Lift:
    """What it takes to lift the molten part, and what may be done before melt is confirmed."""

    weight_n: float
    surface_tension_n: float  # of all joints
    pull_n: float  # the least pull that lifts it with reserve; more is never needed
    allowed_n: float  # what a cup, probe or jaw may do before melt is confirmed: what the weakest single land bears
    weakest_pad: str
    least_cup_mm: float  # the smallest cup that lifts it at the bench's vacuum
    largest_cup_mm: float  # the largest that its top has room for
    cup: Cup | None
    why_no_cup: str  # "" with a cup
    vacuum_kpa: float | None  # that the cup needs; None without a cup
    tweezers: Tweezers | None  # None where there is no room for jaws on any side

    @property
    def cup_protects(self) -> bool:
        """Whether a cup can lift the part and still let go before the weakest land does."""
        return self.pull_n <= self.allowed_n


@dataclass(frozen=True, slots=True)
class LoosePart:
    """A part that may move while its joints are molten."""

    part: Part
    how: Literal["blown", "dropped", "floated"]
    ratio: float  # what moves it over what holds it
    probability: float  # that all its joints melt


@dataclass(frozen=True, slots=True)
class SharedVia:
    """A via that joins a land of the target to one of a part on the other side: heat goes straight through."""

    x_mm: float
    y_mm: float
    net: str
    pad: str
    part: Part
    part_pad: str


@dataclass(frozen=True, slots=True)
class Opposite:
    """The other side of the board under the target."""

    under: tuple[Part, ...]  # parts with a body or land under the target, by what of it they cover
    shared_vias: tuple[SharedVia, ...]
    mirrored_grids: tuple[Part, ...]  # ball grids under a ball grid
    supports: tuple[tuple[float, float], ...]  # places for support pins, mm, board frame
    steady: bool  # the target lies between them
    tallest: Part | None  # on the other side within the heated area; None where nothing stands there
    tallest_mm: float  # how far it stands out, lead ends among it
    heater_room_mm: float | None  # what the bench has; None where nobody measured


@dataclass(frozen=True, slots=True)
class Inspection:
    """One point to look at after the lift, against what."""

    what: str
    against: str
    source: str


@dataclass(frozen=True, slots=True)
class AfterLift:
    """What follows the lift."""

    first: tuple[str, ...]  # numbers of the lands to look at first
    inspect: tuple[Inspection, ...]
    prepare: tuple[str, ...]  # the lands, for the next part
    put_on: tuple[str, ...]  # cautions for the next part
    cool: tuple[str, ...]


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
    why: str
    remedy: str
    source: str
    waived: str | None = None


@dataclass(frozen=True, slots=True)
class Review:
    """What goes to the bench for one target."""

    case: Case
    probability_melted: float
    target_over_limit: float  # probability that the target's own top passes its limit
    hand_tool: str | None  # why no nozzle will do, and what will; None where a nozzle serves
    neighbours: tuple[Neighbour, ...]
    laminate: Laminate
    joints: tuple[JointMelt, ...]  # the last to melt first
    pads: tuple[PadRisk, ...]
    lift: Lift
    loose: tuple[LoosePart, ...]
    opposite: Opposite
    after_lift: AfterLift
    thermocouples: tuple[Thermocouple, ...]
    work_order: tuple[Step, ...]
    findings: tuple[Finding, ...]
    cautions: tuple[str, ...]
    not_assessed: tuple[NotAssessed, ...]
