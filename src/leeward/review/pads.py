"""Lands of the target ranked by their risk of lifting.

Adhesion P(T) = P0 c_n (f + (1 - f) / (1 + exp((T - Tg) / w))), for a foil of peel strength P0 after n heat cycles:
a land bears the lesser of an even pull, sigma A P / P0, and a pry along its short side, P w; traces add their own
width of peel, vias in the land their barrel. Derived; constants and their sources in the data file `lift`.
"""

from dataclasses import dataclass
from math import exp, log

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely import STRtree
from shapely.geometry.base import BaseGeometry

from leeward.board.records import Board, Pad
from leeward.constants import constant, number
from leeward.heat.bodies import short_side_mm
from leeward.heat.records import JointHeat
from leeward.review.odds import priority, probability_above
from leeward.review.records import Case, PadRisk

GRAVITY_N_MG = 9.80665e-6
VIA_NEAR_MM = 1.0  # a via of the land's net this near holds its trace; house rule


@dataclass(frozen=True, slots=True)
class Anchors:
    """What holds one land besides its own area."""

    trace_widths_mm: tuple[float, ...]
    vias_in_land: int
    barrel_mm2: float  # copper section of those
    vias_near: int
    pour_contact: float  # share of the land's edge that lies on a pour

    @property
    def words(self) -> tuple[str, ...]:
        """The anchors in words; "nothing" where there is none."""
        traces = [f"trace {width:g} mm" for width in self.trace_widths_mm]
        vias = [f"{self.vias_in_land} via in land"] if self.vias_in_land else []
        near = [f"{self.vias_near} via near"] if self.vias_near and not self.vias_in_land else []
        pour = [("pour, solid" if self.pour_contact > 0.8 else "pour, by spokes")] if self.pour_contact > 0 else []
        return (*traces, *vias, *near, *pour) or ("nothing",)


def pads(case: Case) -> tuple[PadRisk, ...]:
    """Return the target's lands, the likeliest to lift first; the weakest first among equals."""
    by_place = {(j.joint.pad, j.joint.x_mm, j.joint.y_mm): j for j in case.heat.of_part(case.target.id)}
    lands = [pad for pad in case.target.footprint.pads if (pad.number, pad.x_mm, pad.y_mm) in by_place]
    held = anchors(case.board, lands)
    demand = lifting_force_n(case, lands)
    judged = [
        _pad_risk(case, pad, by_place[pad.number, pad.x_mm, pad.y_mm], anchor, demand)
        for pad, anchor in zip(lands, held, strict=True)
    ]
    return tuple(sorted(judged, key=lambda pad: (-round(pad.lift_risk, 3), pad.capability_n, pad.number)))


def peel_n_mm(celsius: float, cycles: int) -> float:
    """Return the peel strength of foil at a temperature after so many heat cycles, N/mm."""
    left = constant("lift", "peel", "cycles_left").value
    glass = number("materials", "laminate", "glass_transition_c")
    hot = number("lift", "peel", "hot_share")
    fall = hot + (1 - hot) / (1 + exp((celsius - glass) / number("lift", "peel", "softening_c")))
    return number("lift", "peel", "cold_n_mm") * float(left[min(cycles, len(left) - 1)]) * fall


def capability_n(pad: Pad, anchor: Anchors, celsius: float, cycles: int) -> float:
    """Return the pull that a land bears, N."""
    peel = peel_n_mm(celsius, cycles)
    pull = number("lift", "peel", "pull_n_mm2") * pad.area_mm2 * peel / number("lift", "peel", "cold_n_mm")
    bonus = peel * sum(anchor.trace_widths_mm) + number("lift", "peel", "barrel_n_mm2") * anchor.barrel_mm2
    bonus += peel * anchor.pour_contact * float(pad.copper.length) / 4
    return min(pull, peel * short_side_mm(pad.copper)) + bonus


def lifting_force_n(case: Case, lands: list[Pad]) -> float:
    """Return the least pull that a lift of the molten part takes, with reserve: weight and solder's surface tension."""
    weight = case.target.mass_mg.value * GRAVITY_N_MG
    wetted_m = sum(float(pad.copper.length) for pad in lands) * 1e-3
    return number("lift", "pull", "reserve") * (weight + number("lift", "pull", "surface_tension_n_m") * wetted_m)


def anchors(board: Board, lands: list[Pad]) -> list[Anchors]:
    """Return what holds each land: traces that end on it, vias in and near it, pours that touch it."""
    copper = [pad.copper for pad in lands]
    outer = {layer for pad in lands for layer in pad.layers}
    tracks = [track for track in board.tracks if track.layer in outer]
    ends = _points([point for track in tracks for point in (track.points[0], track.points[-1])])
    tree = STRtree(copper)
    touched: list[set[int]] = [set() for _ in lands]
    for end, land in zip(*tree.query(ends, predicate="intersects"), strict=True):
        touched[land].add(int(end) // 2)
    vias = _points([(via.x_mm, via.y_mm) for via in board.vias])
    pours = [fill.copper for zone in board.zones if zone.kind == "pour" for fill in zone.fills if fill.layer in outer]
    return [
        _anchor(board, pad, [tracks[i].width_mm for i in sorted(on)], vias, _near(pours, pad.copper))
        for pad, on in zip(lands, touched, strict=True)
    ]


def _anchor(
    board: Board, pad: Pad, widths: list[float], vias: NDArray[np.object_], pours: list[BaseGeometry]
) -> Anchors:
    distance = shapely.distance(pad.copper, vias)
    own = [i for i in np.flatnonzero(distance <= VIA_NEAR_MM) if board.vias[i].net == pad.net]
    inside = [board.vias[i] for i in own if distance[i] == 0]
    plating = number("materials", "copper", "via_plating_mm")
    barrel = sum(np.pi * max(via.drill_mm - plating, 0.0) * plating for via in inside)
    edge = pad.copper.boundary
    contact = sum(float(edge.intersection(pour.buffer(1e-3)).length) for pour in pours)
    return Anchors(tuple(widths), len(inside), float(barrel), len(own) - len(inside), min(contact / edge.length, 1.0))


def _points(places_mm: list[tuple[float, float]]) -> NDArray[np.object_]:
    points: NDArray[np.object_] = shapely.points(np.array(places_mm, dtype=float).reshape(-1, 2))
    return points


def _near(pours: list[BaseGeometry], land: BaseGeometry) -> list[BaseGeometry]:
    """Return the pours that touch a land, cut down to its surroundings."""
    frame = land.buffer(0.5).envelope
    close = [pour.intersection(frame) for pour in pours if pour.intersects(frame)]
    return [pour for pour in close if pour.distance(land) < 1e-3]


def _pad_risk(case: Case, pad: Pad, joint: JointHeat, anchor: Anchors, demand: float) -> PadRisk:
    capability = capability_n(pad, anchor, joint.peak_c, case.cycles_seen)
    solid = probability_solid(case, joint)
    risk = solid * probability_above(log(demand), log(max(capability, 1e-6)), number("lift", "pull", "log_spread"))
    return PadRisk(
        number=pad.number,
        x_mm=pad.x_mm,
        y_mm=pad.y_mm,
        net=pad.net,
        area_mm2=pad.area_mm2,
        peak_c=joint.peak_c,
        probability_solid=solid,
        capability_n=capability,
        demand_n=demand,
        anchors=anchor.words,
        lift_risk=risk,
        priority=priority("board lost", risk),
        why=_why(joint, anchor, solid, capability, demand),
    )


def probability_solid(case: Case, joint: JointHeat) -> float:
    """Return the probability that a joint is still solid at the lift.

    Once the joint that is watched has been seen to melt, only the differences between joints are in doubt; a lift by
    the clock carries the whole doubt of the model. Both are in the joint's own spread at the lift.
    """
    unlike = number("heat", "spread", "joint_to_joint_c")
    return probability_above(case.recipe.liquidus_c, joint.lift_c, joint.lift_spread_c, unlike)


def _why(joint: JointHeat, anchor: Anchors, solid: float, capability: float, demand: float) -> str:
    state = f"{joint.lift_c:.0f} C at the lift, {solid:.0%} likely still solid"
    strength = "weaker than" if capability < demand else "as strong as"
    return f"{state}; held by {', '.join(anchor.words)}; {strength} the pull of a lift"
