"""Neighbours ranked by shielding need: who stands in the heat, how hot each gets, what would help."""

from dataclasses import dataclass
from math import atan2, degrees

import shapely

from leeward.chance import probability_above
from leeward.constants import number
from leeward.parts.records import Part
from leeward.review.odds import PRIORITIES, priority, severity_rank
from leeward.review.records import Case, Neighbour, Priority, Severity
from leeward.shields.decide import has_hidden_joints
from leeward.shields.effect import Effect, effect, most_credit_c
from leeward.shields.exposed import GUIDANCE_SPREAD_C, Exposed, exposed

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
    shapely.prepare([case.target.leads, case.loads.fit.outside])  # hundreds of distances are taken to them
    found = exposed(case.parts, case.target, case.bare, case.recipe.alloy)
    return tuple(sorted((_neighbour(case, entry) for entry in found), key=_order))


def _neighbour(case: Case, entry: Exposed) -> Neighbour:
    part, body = entry.part, case.bare.bodies.get(entry.part.id)
    joint_limit = number("materials", "alloy", case.recipe.alloy, "neighbour_joint_limit_c")
    worst = _worst(case, part, entry.over, entry.melts, entry.joint_over)
    margins = [part.limit_c.value - entry.body_peak_c]
    margins += [] if entry.joint_peak_c is None else [joint_limit - entry.joint_peak_c]
    same_side = part.footprint.side == case.target.footprint.side
    after = effect(entry, case.heat, most_credit_c(case.bench, case.loads.fit.nozzle))
    over, melts, joint_over = _chances(case, entry, after, joint_limit)
    decision = case.shields.decision(part.id)
    return Neighbour(
        part=part,
        gap_mm=float(case.target.leads.distance(part.body)),
        nozzle_gap_mm=float(case.loads.fit.outside.distance(part.body)),
        passes_under_wall=same_side and _under_wall(case, part),
        direction_deg=_direction(case.target, part),
        body_peak_c=entry.body_peak_c,
        joint_peak_c=entry.joint_peak_c,
        joint_limit_c=joint_limit,
        margin_c=min(margins),
        spread_c=entry.spread_c,
        probability_over=entry.over,
        probability_joint_over=entry.joint_over,
        probability_joint_melts=entry.melts,
        max_ramp_c_s=None if body is None else body.max_ramp_c_s,
        seconds_above_liquidus=max((joint.seconds_above_liquidus for joint in case.bare.of_part(part.id)), default=0.0),
        by_air=entry.by_air,
        by_copper=1.0 - entry.by_air,
        shield=decision.kinds,
        shield_why=decision.why,
        shielded=after,
        probability_over_shielded=over,
        probability_melts_shielded=melts,
        priority_shielded=_worst(case, part, over, melts, joint_over).priority,
        severity=worst.severity,
        priority=worst.priority,
        why=worst.why,
    )


def _chances(case: Case, entry: Exposed, after: Effect, joint_limit_c: float) -> tuple[float, float, float]:
    """Return the chances with the plan on, as far as it may be credited: body over, joint melts, joint over."""
    heat, part, joint_c = case.heat, entry.part, after.credited_joint_c
    body_c = heat.far_peak_c if after.credited_body_c is None else after.credited_body_c
    over = probability_above(body_c, part.limit_c.value, entry.spread_c, part.limit_spread_c)
    if joint_c is None:
        return over, 0.0, 0.0
    melts = probability_above(joint_c, heat.alloy_liquidus_c, entry.joint_spread_c)
    return over, melts, probability_above(joint_c, joint_limit_c, entry.joint_spread_c, GUIDANCE_SPREAD_C)


def _worst(case: Case, part: Part, over: float, melts: float, joint_over: float) -> _Risk:
    return min(_risks(case, part, over, melts, joint_over), key=lambda risk: risk.rank)


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


def drop_ratio(part: Part) -> float:
    """Return mass per land area over the practice limit for parts that hang upside down."""
    land_mm2 = sum(pad.area_mm2 for pad in part.footprint.pads)
    return part.mass_mg.value / max(land_mm2, 1e-6) / number("lift", "loose", "drop_mg_mm2")


def _under_wall(case: Case, part: Part) -> bool:
    fit = case.loads.fit
    low = part.height_mm.value <= fit.standoff_mm and bool(part.body.intersects(fit.outside))
    return low and bool(part.body.intersects(fit.outside.difference(fit.aperture)))


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
