"""Lands of the target ranked by their risk of lifting.

A land lifts when what pulls at it passes what it bears, in one of two cases. Its joint is still solid at the lift
and takes the whole pull, against the land and its anchors. Or it has melted and only its own solder pulls: evenly,
surface tension times wetted edge against the land's area, or at one edge, against peeling it along its narrow side;
anchors are not counted there. The risk is the sum of both by the probability that the joint is solid; pull and
adhesion are each known to a factor.
"""

from collections.abc import Sequence
from math import log
from typing import TypeAlias

import numpy as np
from shapely.geometry.base import BaseGeometry

from leeward.board.records import Pad, Side
from leeward.chance import probability_above
from leeward.constants import number
from leeward.heat.bodies import soldered_pads
from leeward.heat.records import JointHeat
from leeward.parts.frame import boxes_in_part_frame
from leeward.parts.order import natural_key
from leeward.parts.records import Part
from leeward.review.anchors import Anchors, Trace, land_layer
from leeward.review.exposure import seconds_over
from leeward.review.odds import priority, probability_solid
from leeward.review.peel import Foil, capability_n, least_width_mm, peel_n_mm, pry_n, pull_n
from leeward.review.records import Case, Laminate, PadRisk
from leeward.review.words import GRAVITY_N_G, counted, direction

Place: TypeAlias = tuple[str, float, float]  # number, x and y in mm, board frame
CORNER_SHARE = 1.02  # lands so near to a corner of the part as the nearest of all are corner lands
FEW_PADS = 4  # with fewer lands there are no corners to speak of
LEAST_N = 1e-9


def pads(case: Case, laminate: Laminate, held: Sequence[Anchors]) -> tuple[PadRisk, ...]:
    """Return the target's lands, the likeliest to lift first.

    `held` are the anchors of the lands that `lands` returns, in order. Among equals stand first those that no copper
    leaves, then corners, then the weaker.
    """
    heats, own = joint_heats(case), lands(case)
    rows = zip(own, held, corners(case.target, own), demands_n(case.target, own), strict=True)
    judged = [
        _pad_risk(case, laminate, pad, heats[place(pad)], anchor, demand, corner=corner)
        for pad, anchor, corner, demand in rows
    ]
    return tuple(sorted(judged, key=_rank))


def lands(case: Case) -> list[Pad]:
    """Return the target's pads whose joints were solved, in the file's order."""
    solved = joint_heats(case)
    return [pad for pad in soldered_pads(case.target) if place(pad) in solved]


def joint_heats(case: Case) -> dict[Place, JointHeat]:
    """Return what each joint of the target went through; of a plated hole looked at on both sides the colder."""
    found: dict[Place, JointHeat] = {}
    for heat in case.heat.of_part(case.target.id):
        key = heat.joint.pad, heat.joint.x_mm, heat.joint.y_mm
        if key not in found or heat.peak_c < found[key].peak_c:
            found[key] = heat
    return found


def place(pad: Pad) -> Place:
    """Return what tells one pad of a part from the next: numbers repeat."""
    return pad.number, pad.x_mm, pad.y_mm


def wetted(pad: Pad, side: Side) -> BaseGeometry:
    """Return what solder wets of a land: its copper, or the opening of the mask where that covers its edge."""
    copper = pad.copper_on(land_layer(pad, side))
    return copper.intersection(pad.mask_opening) if pad.mask_defined else copper


def surface_tension_n(own: Sequence[Pad], side: Side) -> float:
    """Return what the molten solder of lands holds straight down: surface tension times wetted edge."""
    return number("lift", "pull", "surface_tension_n_m") * sum(float(wetted(pad, side).length) for pad in own) * 1e-3


def weight_n(part: Part) -> float:
    """Return a part's weight."""
    return part.mass_mg.value * 1e-3 * GRAVITY_N_G


def lifting_force_n(part: Part, own: Sequence[Pad]) -> float:
    """Return the least pull that lifts the molten part, with reserve: weight and the surface tension of its joints."""
    return number("lift", "pull", "reserve") * (weight_n(part) + surface_tension_n(own, part.footprint.side))


def demands_n(part: Part, own: Sequence[Pad]) -> list[float]:
    """Return the pull on each land if its joint alone is still solid: that lifts the part off all the others.

    A joint that is solid holds nothing by surface tension, so that its own is left out.
    """
    reserve, whole = number("lift", "pull", "reserve"), lifting_force_n(part, own)
    return [whole - reserve * surface_tension_n([pad], part.footprint.side) for pad in own]


def gives_way(pull_n: float, bears_n: float) -> float:
    """Return the probability that a pull passes what a land bears, both known to a factor."""
    logs = [log(max(value, LEAST_N)) for value in (pull_n, bears_n)]
    return probability_above(logs[0], logs[1], number("lift", "pull", "log_spread"))


def lift_risk(solid: float, if_solid: float, if_molten: float) -> float:
    """Return the probability that a land lifts, from that of its joint being solid and of giving way in each case."""
    return solid * if_solid + (1 - solid) * if_molten


def solder_n(pad: Pad, celsius: float, liquidus_c: float, ambient_c: float) -> float:
    """Return the most that a joint passes on while it is solid: solder's strength times land area, N.

    Strength falls on a straight line to 0 at the liquidus, which is crude.
    """
    left = min(max((liquidus_c - celsius) / (liquidus_c - ambient_c), 0.0), 1.0)
    return number("lift", "pull", "solid_n_mm2") * left * pad.area_mm2


def corners(part: Part, own: Sequence[Pad]) -> list[bool]:
    """Return which lands lie at the corners of a part: of a row its ends, of a grid its four corners."""
    if len(own) < FEW_PADS:
        return [False] * len(own)
    boxes = boxes_in_part_frame([pad.copper for pad in own], part.footprint)
    x, y = (boxes[:, 0] + boxes[:, 2]) / 2, (boxes[:, 1] + boxes[:, 3]) / 2
    found = np.zeros(len(own), dtype=bool)
    for corner_x in (x.min(), x.max()):
        for corner_y in (y.min(), y.max()):
            away = np.hypot(x - corner_x, y - corner_y)
            found |= away <= away.min() * CORNER_SHARE + 1e-6
    corner: list[bool] = found.tolist()
    return corner


def under_body(part: Part) -> bool:
    """Return whether a part's lands lie under its body, out of sight and out of reach."""
    return part.lead_style.value in ("ball-grid", "bottom-terminated")


def foil(case: Case, laminate: Laminate, joint: JointHeat) -> Foil:
    """Return what the foil under a joint went through by the end of the job."""
    glass = laminate.glass_transition_c.value
    far_over = glass + number("lift", "peel", "spoiled_above_tg_c")
    long = seconds_over(case, joint, far_over) > number("lift", "peel", "spoiled_after_s")
    burnt = joint.peak_c >= laminate.decomposition_c.value
    return Foil(joint.peak_c, glass, case.cycles_seen, spoiled=long or burnt)


def _pad_risk(
    case: Case, laminate: Laminate, pad: Pad, joint: JointHeat, held: Anchors, demand: float, *, corner: bool
) -> PadRisk:
    copper = pad.copper_on(land_layer(pad, case.target.footprint.side))
    ran = foil(case, laminate, joint)
    peel, solid = peel_n_mm(ran), probability_solid(case, joint)
    bears = capability_n(copper, held, peel)
    pull, pry, width = pull_n(copper, peel), pry_n(copper, peel), least_width_mm(copper)
    melted = surface_tension_n([pad], case.target.footprint.side)
    melted_pry = number("lift", "pull", "surface_tension_n_m") * width * 1e-3
    if_molten = max(gives_way(melted, pull), gives_way(melted_pry, pry))
    risk = lift_risk(solid, gives_way(demand, bears), if_molten)
    return PadRisk(
        number=pad.number,
        x_mm=pad.x_mm,
        y_mm=pad.y_mm,
        net=pad.net,
        area_mm2=pad.area_mm2,
        defined_by="mask" if pad.mask_defined else "copper",
        unconnected=held.nothing,
        corner=corner,
        peak_c=joint.peak_c,
        seconds_over_tg=seconds_over(case, joint, ran.glass_transition_c),
        spoiled=ran.spoiled,
        probability_solid=solid,
        pull_n=pull,
        pry_n=pry,
        capability_n=bears,
        demand_n=demand,
        demand_melted_n=melted,
        pry_melted_n=melted_pry,
        solder_n=solder_n(pad, joint.lift_c, case.recipe.liquidus_c, case.loads.ambient_c),
        anchors=words(held),
        lift_risk=risk,
        priority=priority("board lost", risk),
        why=_why(joint, ran, held, width, weak=bears < demand),
    )


def words(held: Anchors) -> tuple[str, ...]:
    """Return the anchors of a land in words; "nothing" where no copper leaves it."""
    traces = [_trace(trace) for trace in held.traces]
    inside = [f"{counted(len(held.vias_in), 'via')} in the land"] if held.vias_in else []
    near = [f"{counted(len(held.vias_near), 'via')} near"] if held.vias_near else []
    hole = [counted(len(held.holes_in), "plated hole")] if held.holes_in else []
    others = [f"joined to land {', '.join(held.joined_lands)}"] if held.joined_lands else []
    return (*traces, *_pour(held), *inside, *hole, *others, *near) or ("nothing",)


def _trace(trace: Trace) -> str:
    kind = "teardrop" if trace.teardrop else "trace"
    return f"{kind} {trace.neck_mm:.2g} mm to the {direction(trace.direction_deg)}"


def _pour(held: Anchors) -> list[str]:
    contacts = held.pour_contacts_mm
    if not contacts:
        return []
    if held.pour_solid:
        return [f"pour, solid along {sum(contacts):.2g} mm"]
    return [f"pour by {counted(len(contacts), 'spoke')} of {contacts[len(contacts) // 2]:.2g} mm"]


def _why(joint: JointHeat, ran: Foil, held: Anchors, width_mm: float, *, weak: bool) -> str:
    worn = [counted(ran.cycles, "earlier rework")] if ran.cycles else []
    worn += ["long far over the glass transition"] if ran.spoiled else []
    told = (
        f"{joint.lift_c:.0f} C at the lift",
        f"{width_mm:.2g} mm wide, held by {', '.join(words(held))}",
        *worn,
        "weaker than the pull on it if solid" if weak else "as strong as the pull on it if solid",
    )
    return "; ".join(told)


def _rank(pad: PadRisk) -> tuple[float, bool, bool, float, object]:
    return -round(pad.lift_risk, 3), not pad.unconnected, not pad.corner, pad.capability_n, natural_key(pad.number)
