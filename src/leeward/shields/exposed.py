"""Who stands in the heat, how hot each gets, and how likely that is too hot."""

from dataclasses import dataclass

import numpy as np
import shapely
from shapely import STRtree
from shapely.geometry.base import BaseGeometry

from leeward.board.records import OUTER_LAYERS
from leeward.chance import probability_above
from leeward.constants import number
from leeward.heat.records import Heat, JointHeat
from leeward.parts.records import Alloy, Part, Parts

CLOSE_MM = 5.0  # neighbours this near are listed whatever their temperature; house rule
GUIDANCE_SPREAD_C = 5.0  # the guidance for neighbours' joints is a round number; house rule


@dataclass(frozen=True, slots=True)
class Exposed:
    """One part in the heat: peaks, and the chances that they are too high."""

    part: Part
    body_peak_c: float  # of the board at the window's edge where no body was solved
    joint_peak_c: float | None  # None where it has no joint in the window
    spread_c: float  # of the body's peak, one standard deviation
    joint_spread_c: float
    over: float  # that its body passes its limit
    joint_over: float  # that a joint passes the guidance for neighbours' joints
    melts: float  # that a joint melts
    by_air: float  # share of its heat during reflow that the nozzle's air brings


def exposed(parts: Parts, target: Part, heat: Heat, alloy: Alloy) -> tuple[Exposed, ...]:
    """Return every part in a heat-exposure zone, close by, or that must be kept cold, in the order of the parts."""
    return exposed_of(in_the_heat(parts, target, heat), heat, alloy)


def exposed_of(chosen: list[Part], heat: Heat, alloy: Alloy) -> tuple[Exposed, ...]:
    """Return what a run does to the parts given, in their order."""
    joints: dict[str, list[JointHeat]] = {}
    for joint in heat.joints:
        joints.setdefault(joint.joint.part_id, []).append(joint)
    return tuple(_exposed(part, heat, alloy, joints.get(part.id, [])) for part in chosen)


def in_the_heat(parts: Parts, target: Part, heat: Heat) -> list[Part]:
    """Return the parts whose body or lands lie in a zone of their side, stand close by, or must be kept cold."""
    others = [part for part in parts.by_id.values() if part.id != target.id and not part.body.is_empty]
    outlines = [(i, shape) for i, part in enumerate(others) for shape in _outlines(part)]
    owner = np.array([i for i, _ in outlines], dtype=np.intp)
    tree = STRtree([shape for _, shape in outlines])
    found = set(owner[tree.query(target.leads, predicate="dwithin", distance=CLOSE_MM)].tolist())
    sides = [_sides(part) for part in others]
    for zone in heat.zones:
        hits = set(owner[tree.query(zone.area, predicate="intersects")].tolist())
        found |= {i for i in hits if zone.side in sides[i]}
    found |= {i for i, part in enumerate(others) if part.fragile_class == "E"}
    return [others[i] for i in sorted(found)]


def plan_of(part: Part) -> BaseGeometry:
    """Return what a part takes up in plan: body, leads and lands."""
    return shapely.unary_union(_outlines(part))


def _outlines(part: Part) -> list[BaseGeometry]:
    return [part.leads, *(pad.copper for pad in part.footprint.pads)]


def is_small_chip(part: Part) -> bool:
    """Return whether a part is an end-cap chip of 0603 or smaller."""
    return part.lead_style.value == "end-cap" and max(part.body_mm.value) <= number("lift", "loose", "small_chip_mm")


def _sides(part: Part) -> set[str]:
    layers = set[str]().union(*(pad.layers for pad in part.footprint.pads))
    return {part.footprint.side, *(side for side, layer in OUTER_LAYERS.items() if layer in layers)}


def _exposed(part: Part, heat: Heat, alloy: Alloy, joints: list[JointHeat]) -> Exposed:
    body = heat.bodies.get(part.id)
    body_peak, spread = (heat.far_peak_c, heat.spread_c) if body is None else (body.peak_c, body.spread_c)
    joint_peak = max((joint.peak_c for joint in joints), default=None)
    joint_spread = max((joint.peak_spread_c for joint in joints), default=heat.spread_c)
    arrived = 0.0 if body is None else body.by_air_j + body.by_copper_j
    limit = number("materials", "alloy", alloy, "neighbour_joint_limit_c")
    return Exposed(
        part=part,
        body_peak_c=body_peak,
        joint_peak_c=joint_peak,
        spread_c=spread,
        joint_spread_c=joint_spread,
        over=probability_above(body_peak, part.limit_c.value, spread, part.limit_spread_c),
        joint_over=_above(joint_peak, limit, joint_spread, GUIDANCE_SPREAD_C),
        melts=_above(joint_peak, heat.alloy_liquidus_c, joint_spread),
        by_air=body.by_air_j / arrived if body is not None and arrived > 0 else 0.0,
    )


def _above(peak_c: float | None, limit_c: float, spread_c: float, limit_spread_c: float = 0.0) -> float:
    return 0.0 if peak_c is None else probability_above(peak_c, limit_c, spread_c, limit_spread_c)
