"""Neighbours ranked by shielding need: who stands in the heat, how hot each gets, what would help."""

from dataclasses import dataclass
from math import atan2, degrees

import numpy as np
import shapely
from shapely import STRtree
from shapely.geometry.base import BaseGeometry

from leeward.constants import number, table
from leeward.heat.records import JointHeat
from leeward.parts.records import Part
from leeward.review.odds import PRIORITIES, priority, probability_above, severity_rank
from leeward.review.records import Case, Neighbour, Priority, Severity, ShieldKind

CLOSE_MM = 5.0  # neighbours this near are listed whatever their temperature; house rule
GUIDANCE_SPREAD_C = 5.0  # the guidance for neighbours' joints is a round number; house rule
HIDDEN_JOINTS = ("ball-grid", "bottom-terminated", "castellated")
MANY_JOINTS = 5  # hidden joints from so many on half melt unseen: more than a touch-up; house rule
EXPECTED, LIKELY, POSSIBLE = (table("ranking")["at_least"][i] for i in range(3))
LITTLE_AIR = 0.3  # with less of its heat than this from the air, a cover does not help a part; house rule
MAY_DROP = 0.5  # share of the practice limit from which a part on the other side may drop when nudged; house rule


@dataclass(frozen=True, slots=True)
class _Risk:
    """One way to harm a neighbour."""

    severity: Severity
    probability: float
    why: str

    @property
    def priority(self) -> Priority:
        return priority(self.severity, self.probability)

    @property
    def rank(self) -> tuple[int, int, float]:
        return PRIORITIES.index(self.priority), severity_rank(self.severity), -self.probability


def neighbours(case: Case) -> tuple[Neighbour, ...]:
    """Return every part in a heat-exposure zone or close by, the one that needs shielding most first."""
    joints: dict[str, list[JointHeat]] = {}
    for joint in case.heat.joints:
        joints.setdefault(joint.joint.part_id, []).append(joint)
    judged = [_neighbour(case, part, joints.get(part.id, [])) for part in in_the_heat(case)]
    return tuple(sorted(judged, key=_order))


def in_the_heat(case: Case) -> list[Part]:
    """Return the parts whose body or lands lie in a zone of their side, stand close by, or must be kept cold."""
    others = [part for part in case.parts.by_id.values() if part.id != case.target.id and not part.body.is_empty]
    outlines = [(i, shape) for i, part in enumerate(others) for shape in _outlines(part)]
    owner = np.array([i for i, _ in outlines], dtype=np.intp)
    tree = STRtree([shape for _, shape in outlines])
    found = set(owner[tree.query(case.target.leads, predicate="dwithin", distance=CLOSE_MM)].tolist())
    for zone in case.heat.zones:
        hits = set(owner[tree.query(zone.area, predicate="intersects")].tolist())
        found |= {i for i in hits if zone.side in _sides(others[i])}
    found |= {i for i, part in enumerate(others) if part.fragile_class == "E"}
    return [others[i] for i in sorted(found)]


def _outlines(part: Part) -> list[BaseGeometry]:
    return [part.leads, *(pad.copper for pad in part.footprint.pads)]


def plan_of(part: Part) -> BaseGeometry:
    """Return what a part takes up in plan: body, leads and lands."""
    return shapely.unary_union(_outlines(part))


def _sides(part: Part) -> set[str]:
    return {part.footprint.side, *(side for pad in part.footprint.pads for side in pad.sides)}


def _neighbour(case: Case, part: Part, joints: list[JointHeat]) -> Neighbour:
    body = case.heat.bodies.get(part.id)
    body_peak = case.heat.far_peak_c if body is None else body.peak_c
    joint_peak = max((joint.peak_c for joint in joints), default=None)
    spread = case.heat.spread_c if body is None else body.spread_c
    joint_spread = max((joint.peak_spread_c for joint in joints), default=case.heat.spread_c)
    joint_limit = number("materials", "alloy", case.recipe.alloy, "neighbour_joint_limit_c")
    over = probability_above(body_peak, part.limit_c.value, spread, part.limit_spread_c)
    melts = 0.0 if joint_peak is None else probability_above(joint_peak, case.recipe.liquidus_c, joint_spread)
    joint_over = (
        0.0 if joint_peak is None else probability_above(joint_peak, joint_limit, joint_spread, GUIDANCE_SPREAD_C)
    )
    arrived = 0.0 if body is None else body.by_air_j + body.by_copper_j
    by_air = body.by_air_j / arrived if body is not None and arrived > 0 else 0.0
    worst = min(_risks(case, part, over, melts, joint_over), key=lambda risk: risk.rank)
    margins = [part.limit_c.value - body_peak, *([] if joint_peak is None else [joint_limit - joint_peak])]
    outside = case.loads.fit.outside
    same_side = part.footprint.side == case.target.footprint.side
    return Neighbour(
        part=part,
        gap_mm=float(part.body.distance(case.target.leads)),
        nozzle_gap_mm=float(part.body.distance(outside)),
        passes_under_wall=same_side and _under_wall(case, part),
        direction_deg=_direction(case.target, part),
        body_peak_c=body_peak,
        joint_peak_c=joint_peak,
        joint_limit_c=joint_limit,
        margin_c=min(margins),
        spread_c=spread,
        probability_over=over,
        probability_joint_over=joint_over,
        probability_joint_melts=melts,
        max_ramp_c_s=None if body is None else body.max_ramp_c_s,
        seconds_above_liquidus=max((joint.seconds_above_liquidus for joint in joints), default=0.0),
        by_air=by_air,
        by_copper=1.0 - by_air,
        shield=_shield(case, part, worst, over, melts, joint_over, by_air),
        severity=worst.severity,
        priority=worst.priority,
        why=worst.why,
    )


def _risks(case: Case, part: Part, over: float, melts: float, joint_over: float) -> list[_Risk]:
    harm: Severity = "injury" if "lithium-cell" in part.hazards else "part lost"
    hidden = has_hidden_joints(part)
    below = part.footprint.side != case.target.footprint.side
    where = (
        "hidden joints may half melt"
        if hidden
        else "joints may melt while it hangs below"
        if below
        else "joints may melt"
    )
    return [
        _Risk(harm, over, f"body may pass its limit of {part.limit_c.value:.0f} C"),
        _Risk(joint_severity(case, part), melts, where),
        _Risk("cosmetic", joint_over, "joints may pass the guidance for neighbours' joints"),
    ]


def joint_severity(case: Case, part: Part) -> Severity:
    """Return what molten joints mean to a part: hidden joints and parts that may drop are lost, others touched up."""
    below = part.footprint.side != case.target.footprint.side and part.surface_mount
    drops = below and drop_ratio(part) > MAY_DROP
    return "part lost" if drops or has_hidden_joints(part) else "touch-up"


def has_hidden_joints(part: Part) -> bool:
    """Return whether a part has joints under its body, too many to see that each has melted or set again."""
    return part.lead_style.value in HIDDEN_JOINTS and len(part.footprint.pads) >= MANY_JOINTS


def drop_ratio(part: Part) -> float:
    """Return mass per land area over the practice limit for parts that hang upside down."""
    land_mm2 = sum(pad.area_mm2 for pad in part.footprint.pads)
    return part.mass_mg.value / max(land_mm2, 1e-6) / number("lift", "loose", "drop_mg_mm2")


def _shield(
    case: Case, part: Part, worst: _Risk, over: float, melts: float, joint_over: float, by_air: float
) -> tuple[ShieldKind, ...]:
    """Return the kinds of shield that would help, by what hurts the part and how it arrives."""
    if part.fragile_class == "E":
        return ("take-off-first",)
    in_need = over >= POSSIBLE or melts >= POSSIBLE
    if not in_need and joint_over < EXPECTED:
        return ("none",)
    if part.footprint.side != case.target.footprint.side or by_air < LITTLE_AIR:
        return ("take-off-first",) if part.fragile_class == "D" and over >= LIKELY else ("cannot",)
    mask: tuple[ShieldKind, ...] = ("air-mask",) if is_small_chip(part) and melts >= POSSIBLE else ()
    return (*mask, "barrier") if over >= POSSIBLE else (*mask, "fence")


def is_small_chip(part: Part) -> bool:
    """Return whether a part is an end-cap chip of 0603 or smaller."""
    return part.lead_style.value == "end-cap" and max(part.body_mm.value) <= number("lift", "loose", "small_chip_mm")


def _under_wall(case: Case, part: Part) -> bool:
    fit = case.loads.fit
    wall = fit.outside.difference(fit.aperture)
    return part.height_mm.value <= fit.standoff_mm and bool(part.body.intersects(wall))


def _direction(target: Part, part: Part) -> float:
    centre, other = target.leads.envelope.centroid, part.body.centroid
    # Rounded before it is wrapped: a hair under zero would come out as a full turn.
    return round(degrees(atan2(centre.y - other.y, other.x - centre.x)), 6) % 360


def _order(entry: Neighbour) -> tuple[int, int, float, float, str]:
    worst = max(entry.probability_over, entry.probability_joint_melts)
    return (
        PRIORITIES.index(entry.priority),
        severity_rank(entry.severity),
        -worst,
        entry.gap_mm,
        entry.part.id,
    )
