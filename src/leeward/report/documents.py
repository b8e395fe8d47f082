"""The JSON documents that other programs read, as records: one class for each object, one field for each name.

Lengths mm, areas mm2, temperatures C, times s, forces N, in the board frame (y down). Null is what is unknown.
The records hold figures as they were computed; `leeward.report.as_json` rounds them.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

from leeward.bench.records import Outlet, StageName
from leeward.board.records import Side
from leeward.known import Confidence
from leeward.parts.records import Alloy, FloorLife, LeadStyle, Msl
from leeward.review.records import Likelihood, Priority, Severity
from leeward.shields.records import Shape, ShieldKind

Figure: TypeAlias = float | None  # a computed figure; null where it could not be computed
Ring: TypeAlias = Sequence[Sequence[float]]  # [[x, y], ...], closed
Rings: TypeAlias = Sequence[Ring]  # one polygon: the outer ring first, then its holes


@dataclass(frozen=True, slots=True)
class NotAssessedDocument:
    """What nothing is said about, and why. `id` is null for a reference that the board does not have."""

    id: str | None
    ref: str
    reason: str


@dataclass(frozen=True, slots=True)
class BoardDocument:
    """The board file and what it holds."""

    file: str
    sha256: str
    format_version: int
    copper_layers: Sequence[str]
    thickness_mm: float
    outline_area_mm2: float
    tracks: int
    vias: int
    zone_area_mm2: Mapping[str, float]  # by the format's own layer names; layers that hold a fill
    notes: Sequence[str]


@dataclass(frozen=True, slots=True)
class SourceDocument:
    """Where a value came from and how sure it is."""

    source: str
    confidence: Confidence


@dataclass(frozen=True, slots=True)
class SourcesDocument:
    """The sources of a part's values; `outline` is that of the body's outline in plan."""

    family: SourceDocument
    lead_style: SourceDocument
    body_mm: SourceDocument
    height_mm: SourceDocument
    mass_mg: SourceDocument
    limit_c: SourceDocument
    outline: SourceDocument


@dataclass(frozen=True, slots=True)
class PadDocument:
    """One pad of a part: KiCad's position, and its copper before drilling on its own side."""

    number: str
    x_mm: float
    y_mm: float
    area_mm2: float
    net: str
    drill_mm: float | None
    sides: Sequence[Side]


@dataclass(frozen=True, slots=True)
class PartDocument:
    """One part and what it was taken to be."""

    id: str
    ref: str
    value: str
    footprint: str
    line: int
    side: Side
    x_mm: float
    y_mm: float
    rotation_deg: float
    fitted: bool
    family: str
    lead_style: LeadStyle
    body_mm: Sequence[float]
    height_mm: float
    mass_mg: float
    limit_c: float
    limit_spread_c: float
    courtyard_area_mm2: float | None
    surface_mount: bool
    reworkable: bool
    hazards: Sequence[str]
    msl: Msl | None  # moisture sensitivity level
    msl_source: SourceDocument | None
    floor_life: FloorLife | None
    under: str | None  # id of the shield can over it
    sources: SourcesDocument
    pads: Sequence[PadDocument]


@dataclass(frozen=True, slots=True)
class PartsDocument:
    """What `leeward parts` answers."""

    schema: Literal["leeward.parts/1"]
    alloy: Alloy
    board: BoardDocument
    parts: Sequence[PartDocument]
    not_assessed: Sequence[NotAssessedDocument]


@dataclass(frozen=True, slots=True)
class NozzleDocument:
    """The nozzle in place."""

    id: str
    outlet: Outlet
    aperture_mm: Sequence[float]
    wall_mm: float
    skirt_height_mm: float
    rotation_deg: float
    standoff_mm: float


@dataclass(frozen=True, slots=True)
class StageDocument:
    """One stage as it ran: reflow may end before the time that the recipe allows it."""

    name: StageName
    seconds: float
    air_c: float | None
    flow_l_min: float | None
    board_heater_c: float | None


@dataclass(frozen=True, slots=True)
class WindowDocument:
    """Verdicts over board heater and air settings at one flow, one row for each heater setting; null: heater off."""

    flow_l_min: float
    preheat_air_c: float | None
    soak_air_c: float | None
    board_heater_c: Sequence[float | None]
    air_c: Sequence[float]
    verdict: Sequence[Sequence[str]]


@dataclass(frozen=True, slots=True)
class CalibrationUsedDocument:
    """The runs that the nozzle's figures rest on. `same_board` says whether they were made on this board file."""

    date: str
    logs: Sequence[str]  # their SHA-256
    same_board: bool
    misfit_c: float
    shield_seen: bool


@dataclass(frozen=True, slots=True)
class SetupDocument:
    """What to set at the bench. `held` names the options that the user fixed."""

    nozzle: NozzleDocument
    alloy: Alloy
    liquidus_c: float
    stages: Sequence[StageDocument]
    held: Sequence[str]
    reaches_reflow: bool
    why: str
    recipe_works: bool  # whether it keeps every limit
    recipe_why: str
    recipe_source: str
    window: WindowDocument
    calibration: CalibrationUsedDocument | None  # null where the nozzle is not calibrated


@dataclass(frozen=True, slots=True)
class ColdestJointDocument:
    """The target's joint that melts last; seconds run from the start of reflow, null where it stays solid.

    Two times in three it melts between `earliest_s` and `latest_s`.
    """

    pad: str
    x_mm: float
    y_mm: float
    peak_c: Figure
    seconds_to_liquidus: Figure
    seconds_spread: Figure
    earliest_s: Figure
    latest_s: Figure


@dataclass(frozen=True, slots=True)
class HottestJointDocument:
    """The target's joint that gets hottest."""

    pad: str
    x_mm: float
    y_mm: float
    peak_c: Figure


@dataclass(frozen=True, slots=True)
class EnergyDocument:
    """Heat over the run; `imbalance` is a share of what was supplied."""

    supplied_j: Figure
    stored_j: Figure
    lost_j: Figure
    imbalance: Figure
    taken_from_air_j: Figure
    carried_by_air_j: Figure


@dataclass(frozen=True, slots=True)
class ZoneDocument:
    """Where the board's peak on one side passes a temperature."""

    side: Side
    above_c: float
    area_mm2: float
    polygons: Sequence[Rings]


@dataclass(frozen=True, slots=True)
class SeriesDocument:
    """One temperature history at the common times; `id` is null where it is no part's."""

    name: str
    id: str | None
    c: Sequence[Figure]


@dataclass(frozen=True, slots=True)
class HistoriesDocument:
    """Temperature histories, thinned out."""

    time_s: Sequence[float]
    series: Sequence[SeriesDocument]


@dataclass(frozen=True, slots=True)
class ThermocoupleDocument:
    """A place where a thermocouple tells most."""

    x_mm: float
    y_mm: float
    side: Side
    on: str
    why: str


@dataclass(frozen=True, slots=True)
class HeatDocument:
    """How hot, and when, with what the figures are worth."""

    validity: Sequence[str]
    spread_c: Figure
    seconds_spread_by: Mapping[str, Figure]  # what each doubtful input adds to the spread of the melt
    coldest_joint: ColdestJointDocument | None
    hottest_joint: HottestJointDocument | None
    probability_melted: Figure
    target_top_peak_c: Figure
    target_limit_c: float
    probability_target_over: Figure
    board_peak_c: Figure
    far_peak_c: Figure  # of the board where the solved window ends
    seconds_above_tg: Figure
    max_ramp_c_s: Figure
    energy: EnergyDocument
    zones: Sequence[ZoneDocument]
    histories: HistoriesDocument
    thermocouples: Sequence[ThermocoupleDocument]


@dataclass(frozen=True, slots=True)
class ArrivesByDocument:
    """Shares of the heat that reaches a neighbour; they sum to 1."""

    air: Figure
    copper: Figure


@dataclass(frozen=True, slots=True)
class NeighbourDocument:
    """One part in the heat."""

    id: str
    ref: str
    value: str
    family: str
    side: Side
    gap_mm: float
    nozzle_gap_mm: float
    passes_under_wall: bool
    direction_deg: float
    body_peak_c: Figure
    joint_peak_c: Figure
    limit_c: float
    joint_limit_c: Figure
    limit_source: str
    limit_confidence: Confidence
    margin_c: Figure
    spread_c: Figure
    probability_over: Figure
    probability_joint_over: Figure
    probability_joint_melts: Figure
    max_ramp_c_s: Figure
    seconds_above_liquidus: Figure
    arrives_by: ArrivesByDocument
    shield: Sequence[ShieldKind]
    shield_why: str
    shielded_peak_c: Figure  # of the body with the plan on, as computed
    shielded_joint_peak_c: Figure
    credited_peak_c: Figure  # what a verdict goes by: no more than `credit_c` of a shield is believed
    credited_joint_peak_c: Figure
    probability_over_shielded: Figure  # from the credited peaks, as the two that follow
    probability_joint_melts_shielded: Figure
    priority_shielded: Priority
    severity: Severity
    priority: Priority
    why: str


@dataclass(frozen=True, slots=True)
class BlockerDocument:
    """A neighbour that stands in a nozzle's way."""

    id: str
    ref: str
    gap_mm: float
    height_mm: float


@dataclass(frozen=True, slots=True)
class ClearanceDocument:
    """One nozzle in one rotation over the target; `nozzle` is its id."""

    nozzle: str
    rotation_deg: float
    fits: bool
    min_gap_mm: float | None
    blockers: Sequence[BlockerDocument]
    why: str


@dataclass(frozen=True, slots=True)
class LaminateDocument:
    """What the lands lie on; `told` is false where the glass transition is not known and was assumed."""

    glass_transition_c: float
    glass_transition_source: SourceDocument
    told: bool
    decomposition_c: float
    decomposition_source: SourceDocument


@dataclass(frozen=True, slots=True)
class JointMeltDocument:
    """One joint of the target by when it melts; `reasons` say why it melts later than most, empty where it does not."""

    pad: str
    x_mm: float
    y_mm: float
    net: str
    seconds_to_liquidus: Figure
    seconds_spread: Figure
    earliest_s: Figure  # two times in three it melts between this and the next
    latest_s: Figure
    lift_c: Figure
    behind_c: Figure  # colder than the median joint by so much
    probability_solid: Figure
    reasons: Sequence[str]
    remedies: Sequence[str]


@dataclass(frozen=True, slots=True)
class PadRiskDocument:
    """One land of the target by its risk of lifting.

    `capability_n` is the lesser of `pull_n` and `pry_n` with what the anchors add; `demand_n` is the pull on it if its
    joint is still solid, `demand_melted_n` and `pry_melted_n` those of its own molten solder, evenly and at one edge.
    """

    number: str
    x_mm: float
    y_mm: float
    net: str
    area_mm2: float
    defined_by: Literal["mask", "copper"]
    unconnected: bool
    corner: bool
    peak_c: Figure
    seconds_over_tg: Figure
    spoiled: bool
    probability_solid: Figure
    pull_n: Figure
    pry_n: Figure
    capability_n: Figure
    demand_n: Figure
    demand_melted_n: Figure
    pry_melted_n: Figure
    solder_n: Figure  # the most that the joint passes on while it is solid
    anchors: Sequence[str]
    lift_risk: float
    priority: Priority
    why: str


@dataclass(frozen=True, slots=True)
class TweezersDocument:
    """How tweezers get at the target: along which line, and how steeply over what stands around."""

    direction_deg: float
    access_deg: float
    past: Sequence[str]  # references


@dataclass(frozen=True, slots=True)
class LiftDocument:
    """What lifts the molten part; `allowed_n` is what may pull before melt is confirmed."""

    weight_n: float
    surface_tension_n: float
    pull_n: float
    allowed_n: float
    weakest_pad: str
    cup_protects: bool  # whether a cup could lift the part and still let go before a land does
    least_cup_mm: float
    largest_cup_mm: float
    cup: str | None  # the bench's id
    cup_diameter_mm: float | None
    vacuum_kpa: float | None
    why_no_cup: str
    tweezers: TweezersDocument | None


@dataclass(frozen=True, slots=True)
class SharedViaDocument:
    """A via in or near both a land of the target and one of a part on the other side."""

    x_mm: float
    y_mm: float
    net: str
    pad: str
    id: str
    ref: str
    part_pad: str


@dataclass(frozen=True, slots=True)
class PartNameDocument:
    """A part by id, with its reference."""

    id: str
    ref: str


@dataclass(frozen=True, slots=True)
class OppositeDocument:
    """The other side of the board under the target."""

    under: Sequence[PartNameDocument]
    shared_vias: Sequence[SharedViaDocument]
    mirrored_grids: Sequence[PartNameDocument]
    supports_mm: Sequence[Sequence[float]]  # [x, y] of places for pins
    steady: bool  # the target lies between three of them or more
    tallest: PartNameDocument | None
    tallest_mm: float
    heater_room_mm: float | None


@dataclass(frozen=True, slots=True)
class InspectionDocument:
    """One point to look at after the lift, and against what."""

    what: str
    against: str
    source: str


@dataclass(frozen=True, slots=True)
class AfterLiftDocument:
    """What follows the lift."""

    cool: Sequence[str]
    first: Sequence[str]  # numbers of the lands to look at first
    inspect: Sequence[InspectionDocument]
    prepare: Sequence[str]
    put_on: Sequence[str]


@dataclass(frozen=True, slots=True)
class ShieldDocument:
    """One piece to cover with, or a fence round the target."""

    number: int  # in laying order
    kind: ShieldKind
    shape: Shape
    material: str
    layers: int
    side: Side
    length_mm: float  # as cut
    width_mm: float
    roll_width_mm: float
    angle_deg: float  # of its length
    height_mm: float
    air_gap_mm: float | None
    nozzle_gap_mm: float | None  # of a fence, from the nozzle's wall
    polygon: Rings  # where it lies; of several polygons the largest
    polygons: Sequence[Rings]
    folded_up: Sequence[Ring]  # edges that stand up towards the nozzle
    covers: Sequence[str]
    over: Sequence[int]  # numbers of the pieces that it laps over
    brings_c: Figure  # the most that a part it covers is cooler by, as computed; null of tape, which holds
    why: str


@dataclass(frozen=True, slots=True)
class ShieldingDocument:
    """What the plan does to the target, and what shields are credited with."""

    credit_c: Figure  # null where a run with a shield on bore the model out
    bare_coldest_joint: ColdestJointDocument | None
    bare_reaches_reflow: bool


@dataclass(frozen=True, slots=True)
class PutBackDocument:
    """What it takes to put a part back that came off."""

    value: str
    footprint: str
    x_mm: float
    y_mm: float
    rotation_deg: float
    polarity: str | None


@dataclass(frozen=True, slots=True)
class LooseDocument:
    """A part that may move while its joints are molten."""

    id: str
    ref: str
    side: Side
    how: Literal["blown", "dropped", "floated"]
    ratio: Figure
    probability: Figure
    put_back: PutBackDocument


@dataclass(frozen=True, slots=True)
class StepDocument:
    """One step of the work order."""

    step: int
    do: str
    why: str


@dataclass(frozen=True, slots=True)
class FindingDocument:
    """One thing to act on. `key` stays the same from run to run; `waived` is the reason, null where it stands."""

    key: str
    rule: str
    parts: Sequence[str]
    refs: Sequence[str]
    severity: Severity
    likelihood: Likelihood
    priority: Priority
    evidence: Mapping[str, Figure]
    why: str
    remedy: str
    source: str
    waived: str | None


@dataclass(frozen=True, slots=True)
class TargetReviewDocument:
    """The review of one target."""

    target: PartDocument
    setup: SetupDocument
    heat: HeatDocument
    hand_tool: str | None
    neighbours: Sequence[NeighbourDocument]
    clearance: Sequence[ClearanceDocument]
    laminate: LaminateDocument
    joints: Sequence[JointMeltDocument]  # the last to melt first
    pads: Sequence[PadRiskDocument]
    lift: LiftDocument
    shields: Sequence[ShieldDocument]
    shielding: ShieldingDocument
    loose: Sequence[LooseDocument]
    opposite: OppositeDocument
    after_lift: AfterLiftDocument
    work_order: Sequence[StepDocument]
    findings: Sequence[FindingDocument]
    cautions: Sequence[str]
    not_assessed: Sequence[NotAssessedDocument]


@dataclass(frozen=True, slots=True)
class SequenceDocument:
    """Several targets in the order to work them, as ids."""

    order: Sequence[str]
    take_off_first: Sequence[Sequence[str]]  # pairs: the first comes off before the second
    cycles: Sequence[Sequence[str]]  # targets that each want another of them off first
    because: Sequence[str]  # for each pair of `take_off_first`


@dataclass(frozen=True, slots=True)
class ReviewDocument:
    """What `leeward review` answers. `not_assessed` says why there is no review at all."""

    schema: Literal["leeward.review/1"]
    board: BoardDocument
    reviews: Sequence[TargetReviewDocument]
    sequence: SequenceDocument
    not_assessed: Sequence[NotAssessedDocument]


@dataclass(frozen=True, slots=True)
class SurveyTargetDocument:
    """One part as a target of the survey. Heat is null where the survey looked at the geometry alone."""

    id: str
    ref: str
    side: Side
    priority: Priority
    hand_tool: str | None
    needs_shield: int | None  # neighbours that would need a shield, or something done first
    high_neighbours: Sequence[str]  # ids
    opposite_high: Sequence[str]  # those of them on the other side
    worst_neighbour: str | None
    worst_margin_c: Figure
    best_nozzle: str | None
    nozzle_fits: bool
    nozzle_gap_mm: float | None
    blocked_by: Sequence[str]
    coldest_pad: str | None
    coldest_c: Figure  # of that pad when reflow ends
    reaches_reflow: bool | None
    lift_risk: Figure
    findings: Sequence[str]  # keys


@dataclass(frozen=True, slots=True)
class UnusedWaiverDocument:
    """A waiver that accepts nothing, and why."""

    rule: str
    parts: Sequence[str]
    reason: str
    until: str | None
    why: str


@dataclass(frozen=True, slots=True)
class SurveyBoardDocument:
    """The survey of one board, targets and findings in rank order. `known` findings were left out."""

    board: BoardDocument
    profile: str
    geometry_only: bool
    targets: Sequence[SurveyTargetDocument]
    findings: Sequence[FindingDocument]
    waived: int
    known: int
    unused_waivers: Sequence[UnusedWaiverDocument]
    not_assessed: Sequence[NotAssessedDocument]


@dataclass(frozen=True, slots=True)
class SurveyDocument:
    """What `leeward survey` answers, boards in the order given."""

    schema: Literal["leeward.survey/1"]
    boards: Sequence[SurveyBoardDocument]
