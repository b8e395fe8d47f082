"""What a plan brings: temperatures without it and with it, what may be credited, and pieces that bring nothing."""

import math
from collections.abc import Mapping
from dataclasses import dataclass

from leeward.bench.records import Bench, Nozzle
from leeward.constants import number
from leeward.heat.covers import wet_seconds
from leeward.heat.records import Heat
from leeward.shields.exposed import Exposed
from leeward.shields.records import Piece, ShieldPlan


@dataclass(frozen=True, slots=True)
class Effect:
    """What shields do to one neighbour, C; None where there is no figure."""

    body_c: float | None  # as computed with the plan on
    joint_c: float | None
    credited_body_c: float | None  # the bare peak less what may be credited
    credited_joint_c: float | None


def most_credit_c(bench: Bench, nozzle: Nozzle) -> float:
    """Return what a shield may be credited with at most, C; no limit once a run with a shield on bore the model out."""
    calibration = bench.calibration_of(nozzle.id)
    seen = calibration is not None and calibration.shield_seen
    return math.inf if seen else number("covers", "credit", "most_c")


def effect(bare: Exposed, shielded: Heat, credit_c: float) -> Effect:
    """Return what a run with the plan on does to a part that was solved bare, with at most a credit believed of it."""
    body = shielded.bodies.get(bare.part.id)
    joints = [joint.peak_c for joint in shielded.of_part(bare.part.id)]
    body_c = None if body is None else body.peak_c
    joint_c = max(joints, default=None)
    credited = [
        credited_c(before, after, credit_c)
        for before, after in ((bare.body_peak_c, body_c), (bare.joint_peak_c, joint_c))
    ]
    return Effect(body_c, joint_c, *credited)


def credited_c(bare_c: float | None, shielded_c: float | None, credit_c: float) -> float | None:
    """Return what a verdict may go by: no shield is believed more than the credit.

    What gets hotter with the plan on (a longer reflow) counts in full.
    """
    if bare_c is None or shielded_c is None:
        return shielded_c
    return max(shielded_c, bare_c - credit_c)


def idle(plan: ShieldPlan, bare: Heat, shielded: Heat) -> Mapping[int, str]:
    """Return the pieces against heat that bring none of those they cover a degree worth having, and why, by number."""
    return {
        piece.number: f"{piece.kind} tried and left out: it brought {max(gain, 0.0):.0f} C"
        for piece in plan.pieces
        if piece.kind != "air-mask" and (gain := gain_c(piece, bare, shielded)) < number("covers", "credit", "least_c")
    }


def gain_c(piece: Piece, bare: Heat, shielded: Heat) -> float:
    """Return the most that any part under a piece, or behind it, is cooler by, body or joint."""
    gains = [
        before.peak_c - shielded.bodies[part_id].peak_c
        for part_id in piece.covers
        if (before := bare.bodies.get(part_id)) is not None and part_id in shielded.bodies
    ]
    gains += [
        before.peak_c - after.peak_c
        for before, after in zip(bare.joints, shielded.joints, strict=True)
        if before.joint.part_id in piece.covers
    ]
    return max(gains, default=0.0)


def drying_out(plan: ShieldPlan, shielded: Heat) -> tuple[str, ...]:
    """Return a note for each coat of gel whose water does not last through reflow, by the flux at its end."""
    notes = []
    ends = list(shielded.stage_ends_s.values())
    reflow_s = shielded.stage_ends_s["reflow"] - max(
        (end for end in ends if end < shielded.stage_ends_s["reflow"]), default=0.0
    )
    for piece in plan.pieces:
        if piece.kind != "wet-sink":
            continue
        boils, contact = number("covers", "wet", "boils_c"), number("covers", "wet", "contact_w_m2k")
        hottest = max((shielded.bodies[i].peak_c for i in piece.covers if i in shielded.bodies), default=boils)
        lasts = wet_seconds(contact * max(hottest - boils, 1.0), piece.material.water_kg_m2, boils)
        if lasts < reflow_s:
            notes.append(
                f"Coat {piece.number} of gel dries out in about {lasts:.0f} s of reflow's {reflow_s:.0f} s: "
                "wet it again, or lay it on thicker."
            )
    return tuple(notes)
