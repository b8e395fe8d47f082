"""What lifts the molten part: weight, surface tension, a cup or tweezers, and how little may pull before that.

A cup holds pressure times area times a grip share. The least pull lifts weight and surface tension with reserve.
Before melt is confirmed one joint that is still solid takes the whole pull, so that no more is allowed than what
the weakest single land bears by its own adhesion, at the low end of what hot foil holds.
"""

from collections.abc import Sequence
from dataclasses import replace
from math import pi, sqrt

from leeward.bench.records import Bench, Cup
from leeward.board.records import Pad
from leeward.constants import number, table
from leeward.parts.order import natural_key
from leeward.parts.records import Part
from leeward.review.anchors import land_layer
from leeward.review.pads import foil, joint_heats, lands, lifting_force_n, place, surface_tension_n, weight_n
from leeward.review.peel import peel_n_mm, pry_n, pull_n
from leeward.review.records import Case, Laminate, Lift
from leeward.review.tweezers import tweezers

NO_TOP = {"port": "an open port", "vent": "a vent", "electrolytic": "a vent", "display": "a display"}
NOT_FOR_CUPS = ("through-hole", "connector", "socket", "hardware")


def lift(case: Case, laminate: Laminate) -> Lift:
    """Return what it takes to lift the target, and by what."""
    own = lands(case)
    pull = lifting_force_n(case.target, own)
    allowed, weakest = _weakest_land(case, laminate, own)
    least = least_cup_mm(pull, case.bench.vacuum_kpa)
    cup, why = _cup(case, least)
    return Lift(
        weight_n=weight_n(case.target),
        surface_tension_n=surface_tension_n(own, case.target.footprint.side),
        pull_n=pull,
        allowed_n=allowed,
        weakest_pad=weakest,
        least_cup_mm=least,
        largest_cup_mm=largest_cup_mm(case.target),
        cup=cup,
        why_no_cup=why,
        vacuum_kpa=None if cup is None else needed_vacuum_kpa(pull, cup.diameter_mm),
        tweezers=tweezers(case.target, case.parts),
    )


def cup_force_n(vacuum_kpa: float, diameter_mm: float) -> float:
    """Return what a cup holds, N: pressure times area times the grip share."""
    return vacuum_kpa * 1e-3 * pi / 4 * diameter_mm**2 * number("lift", "cup", "grip")  # 1 kPa is 1e-3 N/mm2


def least_cup_mm(pull_n: float, vacuum_kpa: float) -> float:
    """Return the diameter of the smallest cup that pulls so much, mm."""
    return sqrt(pull_n / cup_force_n(vacuum_kpa, 1.0))


def needed_vacuum_kpa(pull_n: float, diameter_mm: float) -> float:
    """Return the vacuum at which a cup pulls so much, kPa."""
    return pull_n / cup_force_n(1.0, diameter_mm)


def largest_cup_mm(part: Part) -> float:
    """Return the largest cup that a top has room for, mm."""
    return number("lift", "cup", "most_of_top") * min(part.body_mm.value)


def why_bare_top(part: Part) -> str:
    """Return why a top takes no cup, "" if it does: a cup wants a flat top with no port, no lid, no vent."""
    if part.lead_style.value in NOT_FOR_CUPS:
        return "its top is not flat"
    hazard = next((NO_TOP[hazard] for hazard in part.hazards if hazard in NO_TOP), None)
    if hazard is not None:
        return f"its top has {hazard}"
    bare = table("lift")["cup"]["bare"]
    reason = next((reason for reason, families in bare.items() if part.family.value in families), None)
    return reason or ""


def _cup(case: Case, least_mm: float) -> tuple[Cup | None, str]:
    """Return the smallest cup of the bench that lifts the target and sits on its top, or why there is none."""
    bench, most_mm = case.bench, largest_cup_mm(case.target)
    bare = why_bare_top(case.target)
    if bare:
        return None, bare
    if not bench.cups:
        return None, "the bench has no cups"
    if least_mm > most_mm:
        return None, f"it takes {least_mm:.1f} mm, its top has room for {most_mm:.1f} mm"
    return _smallest(bench, least_mm, most_mm, case.heat.target_top_peak_c)


def _smallest(bench: Bench, least_mm: float, most_mm: float, top_c: float) -> tuple[Cup | None, str]:
    sized = sorted((c for c in bench.cups if least_mm <= c.diameter_mm <= most_mm), key=lambda cup: cup.diameter_mm)
    if not sized:
        return None, f"the bench has none between {least_mm:.1f} and {most_mm:.1f} mm"
    bearing = [cup for cup in sized if cup.bears_c >= top_c]
    if not bearing:
        return None, f"none of that size on the bench bears the {top_c:.0f} C of its top"
    return bearing[0], ""


def _weakest_land(case: Case, laminate: Laminate, own: Sequence[Pad]) -> tuple[float, str]:
    """Return the least that any single land bears, anchors left out, N, and the land's number.

    That is at the low end of what hot foil holds before long heat has told on it, or as long heat leaves it.
    """
    heats = joint_heats(case)
    side, hot = case.target.footprint.side, number("lift", "peel", "least_hot_share")
    bears = []
    for pad in own:
        ran = foil(case, laminate, heats[place(pad)])
        peel = min(peel_n_mm(replace(ran, spoiled=False), hot), peel_n_mm(ran))
        copper = pad.copper_on(land_layer(pad, side))
        bears.append((min(pull_n(copper, peel), pry_n(copper, peel)), pad.number))
    return min(bears, key=lambda entry: (entry[0], natural_key(entry[1])))
