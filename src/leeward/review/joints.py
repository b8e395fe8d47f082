"""Joints of the target by when they melt, and why the last ones are last."""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median, median_low

import shapely

from leeward.bench.records import NozzleFit
from leeward.board.records import Pad
from leeward.heat.covers import Fence
from leeward.heat.records import JointHeat
from leeward.review.odds import probability_solid
from leeward.review.pads import corners, joint_heats, lands, place, under_body
from leeward.review.records import Case, JointMelt
from leeward.review.ties import Ties

LATE_C = 0.5  # a joint whose peak is under the median by no more than this is not late; house rule
LARGE = 2.0  # an exposed pad of less than so many median lands is none to speak of; house rule
MOST_CORNERS = 0.25  # where more of the joints than this lie at corners, corners set none apart; house rule
HEAT_LONGER = "a longer soak"
MORE_HEATER = "more board heater"
OPEN_FENCE = "the fence moved off or opened on that side"
FLUX = "flux and added solder on it"
OTHER_NOZZLE = "another nozzle, or this one turned or shifted"


@dataclass(frozen=True, slots=True)
class Reason:
    """Why a joint melts late, and what to do about it."""

    why: str
    remedies: tuple[str, ...]


def joints(case: Case, tied: Sequence[Ties]) -> tuple[JointMelt, ...]:
    """Return the joints of the target, the last to melt first; `tied` are the ties of its lands, in order."""
    own, solved = lands(case), joint_heats(case)
    heats = [solved[place(pad)] for pad in own]
    usual_layers, usual_c = median_low(tie.layers for tie in tied), median(heat.peak_c for heat in heats)
    usual_mm2 = median_low(pad.area_mm2 for pad in own)
    corner = corners(case.target, own)
    set_apart = sum(corner) <= MOST_CORNERS * len(own)
    found = []
    for pad, heat, tie, at_corner in zip(own, heats, tied, corner, strict=True):
        behind = usual_c - heat.peak_c
        late = behind > LATE_C
        reasons = _reasons(case, pad, tie, usual_layers, usual_mm2, corner=at_corner and set_apart) if late else ()
        found.append((heat, _joint(case, pad, heat, behind, reasons)))
    return tuple(joint for _, joint in sorted(found, key=lambda entry: (entry[0].peak_c, entry[0].joint.pad)))


def _joint(case: Case, pad: Pad, heat: JointHeat, behind_c: float, reasons: Sequence[Reason]) -> JointMelt:
    return JointMelt(
        pad=pad.number,
        x_mm=pad.x_mm,
        y_mm=pad.y_mm,
        net=pad.net,
        seconds_to_liquidus=heat.seconds_to_liquidus,
        window=heat.window,
        lift_c=heat.lift_c,
        behind_c=behind_c,
        probability_solid=probability_solid(case, heat),
        reasons=tuple(reason.why for reason in reasons),
        remedies=tuple(dict.fromkeys(remedy for reason in reasons for remedy in reason.remedies)),
    )


def _reasons(
    case: Case, pad: Pad, tie: Ties, usual_layers: int, usual_mm2: float, *, corner: bool
) -> tuple[Reason, ...]:
    """Return what sets a late joint apart from most of the part's, the likeliest cause first."""
    return tuple(
        reason
        for reason in (
            _exposed_pad(case, pad, usual_mm2),
            _tied(tie, usual_layers, reached=not under_body(case.target)),
            _off_the_air(case.loads.fit, pad),
            _shadowed(case, pad),
            _corner(corner=corner),
        )
        if reason is not None
    )


def _exposed_pad(case: Case, pad: Pad, usual_mm2: float) -> Reason | None:
    if pad.number != case.target.exposed_pad or pad.area_mm2 < LARGE * usual_mm2:
        return None
    why = f"exposed pad of {pad.area_mm2:.1f} mm2 under the body (median land {usual_mm2:.2f} mm2)"
    return Reason(why, (MORE_HEATER, HEAT_LONGER))


def _tied(tie: Ties, usual_layers: int, *, reached: bool) -> Reason | None:
    """Return the planes that draw on a joint more than on most; flux and solder help where an iron reaches it."""
    if tie.layers <= usual_layers:
        return None
    usual = "none" if usual_layers == 0 else f"on {usual_layers}"
    by_hand = (FLUX,) if reached else ()
    return Reason(f"{tie.words} (median joint: {usual})", (MORE_HEATER, HEAT_LONGER, *by_hand))


def _off_the_air(fit: NozzleFit, pad: Pad) -> Reason | None:
    """Return how far a joint lies from where the nozzle blows."""
    place = shapely.Point(pad.x_mm, pad.y_mm)
    outside = float(fit.aperture.distance(place))
    if outside > 0:
        what = "the nozzle's opening" if fit.path is None else "what the moving bore passes over"
        return Reason(f"{outside:.1f} mm outside {what}", (OTHER_NOZZLE,))
    slot = fit.nozzle.slot_width_mm
    within = float(fit.aperture.exterior.distance(place))
    if fit.nozzle.outlet == "perimeter-slot" and slot is not None and within > 2 * slot:
        return Reason(f"{within:.1f} mm inside the nozzle's wall, off its slots of {slot:g} mm", (OTHER_NOZZLE,))
    return None


def _shadowed(case: Case, pad: Pad) -> Reason | None:
    """Return whether a joint lies behind a fence, in still air."""
    side, place = case.target.footprint.side, shapely.Point(pad.x_mm, pad.y_mm)
    fences = (cover for cover in case.loads.covers if isinstance(cover, Fence) and cover.side == side)
    shadowed = any(fence.lee.covers(place) for fence in fences)
    return Reason("shadowed by a fence", (OPEN_FENCE,)) if shadowed else None


def _corner(*, corner: bool) -> Reason | None:
    why = "at a corner of the part, where the board draws heat on two sides"
    return Reason(why, (HEAT_LONGER,)) if corner else None


def last_words(joint: JointMelt) -> str:
    """Return why a joint is the last to melt, in words."""
    if joint.behind_c <= LATE_C:
        return "all joints melt nearly together"
    return "; ".join(joint.reasons) or "no single cause in its own copper: the board round it stays cooler"


def what_to_do(joint: JointMelt) -> str:
    """Return what helps a late joint, in words."""
    return ", ".join(joint.remedies) or f"{MORE_HEATER}, {HEAT_LONGER}"
