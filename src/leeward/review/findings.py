"""What to act on: every risk of a review as a finding with its evidence, remedy and source, ranked."""

from collections.abc import Mapping

from leeward.constants import constant
from leeward.parts.records import Part
from leeward.review.joints import last_words, what_to_do
from leeward.review.made import made, rank
from leeward.review.neighbours import joint_severity
from leeward.review.records import (
    Case,
    Finding,
    JointMelt,
    Lift,
    LoosePart,
    Neighbour,
    Opposite,
    PadRisk,
    Severity,
)

WORTH_NAMING = 0.05  # probabilities under this make no finding, but for injury; house rule
INJURY_WORTH_NAMING = 0.001
LIFT_WORTH_NAMING = 0.01  # a lifted land may cost the board
DOUBT = 0.05  # a last joint likelier than this to be solid at the lift makes a finding
NEARLY_ALL = 0.95
SAG = 0.02  # chance that a hot board without support under it is lost; house rule
MODEL = "heat model of this board; spread one standard deviation"


def findings(
    case: Case,
    neighbours: tuple[Neighbour, ...],
    joints: tuple[JointMelt, ...],
    pads: tuple[PadRisk, ...],
    lift: Lift,
    loose: tuple[LoosePart, ...],
    opposite: Opposite,
    over_limit: float,
) -> tuple[Finding, ...]:
    """Return the findings of a case: by priority, severity, likelihood, gap."""
    found = [
        *_nozzle(case),
        *_last_joint(case, joints[0]),
        *_target(case, over_limit),
        *(finding for neighbour in neighbours for finding in _neighbour(case, neighbour)),
        *_lands(case, pads, lift),
        *(_moved(case, entry) for entry in loose if entry.ratio * entry.probability >= WORTH_NAMING),
        *_other_side(case, neighbours, opposite),
    ]
    return tuple(sorted(found, key=rank))


def _finding(
    case: Case,
    rule: str,
    parts: tuple[Part, ...],
    severity: Severity,
    probability: float,
    evidence: Mapping[str, float],
    remedy: str,
    source: str,
    *,
    why: str,
) -> Finding:
    key = (case.target.id, *(part.id for part in parts if part.id != case.target.id))
    return made(rule, key, parts, severity, probability, evidence, why=why, remedy=remedy, source=source)


def _nozzle(case: Case) -> list[Finding]:
    fit = case.loads.fit
    if fit.fits:
        return []
    ids = [blocker.id for blocker in fit.blockers]
    blockers = tuple(case.parts.by_id[part_id] for part_id in ids)
    rule = "wall-too-close" if blockers else "no-nozzle-fits"
    remedy = (
        f"take off {', '.join(part.ref for part in blockers)} first, or use a smaller nozzle"
        if blockers
        else "use a nozzle of the right aperture, or a hand tool"
    )
    evidence = {"blockers": float(len(blockers)), "least_room_mm": min(fit.clearance_mm)}
    parts, source = (case.target, *blockers), "nozzle geometry of the bench file"
    return [_finding(case, rule, parts, "part lost", 1.0, evidence, remedy, source, why=fit.why)]


def _last_joint(case: Case, last: JointMelt) -> list[Finding]:
    if last.probability_solid < DOUBT:
        return []
    evidence = {"coldest_c": last.lift_c, "liquidus_c": case.heat.alloy_liquidus_c}
    rule = "melt-in-doubt" if case.heat.reaches_reflow else "reflow-not-reached"
    why = f"pad {last.pad} melts last: {last_words(last)}"
    remedy = f"{what_to_do(last)}; never pull at a joint that is still solid"
    solid = last.probability_solid
    return [_finding(case, rule, (case.target,), "board lost", solid, evidence, remedy, MODEL, why=why)]


def _target(case: Case, over_limit: float) -> list[Finding]:
    if over_limit < WORTH_NAMING:
        return []
    target, limit = case.target, case.target.limit_c
    evidence = {"peak_c": case.heat.target_top_peak_c, "limit_c": limit.value}
    why = f"its top may pass the {limit.value:.0f} C that its body bears"
    remedy = "more board heater and cooler air; do not use the part again"
    severity: Severity = "touch-up"  # a part that comes off for good is not lost by its own heat: only reuse is
    whom, rule = (target,), "target-over-limit"
    return [_finding(case, rule, whom, severity, over_limit, evidence, remedy, limit.source, why=why)]


def _neighbour(case: Case, entry: Neighbour) -> list[Finding]:
    found = (_body_over(case, entry), _joint_melts(case, entry))
    return [finding for finding in found if finding is not None]


def _body_over(case: Case, entry: Neighbour) -> Finding | None:
    """Return that a neighbour's body may pass its limit; of a cell, that it may hurt somebody."""
    limit, over = entry.part.limit_c, entry.probability_over
    cell = "lithium-cell" in entry.part.hazards
    if over < (INJURY_WORTH_NAMING if cell else WORTH_NAMING) or entry.body_peak_c is None:
        return None
    rule = "cell-on-a-heated-board" if cell else "neighbour-over-limit"
    severity: Severity = "injury" if cell else "part lost"
    evidence = {
        "peak_c": entry.body_peak_c,
        "limit_c": limit.value,
        "gap_mm": entry.gap_mm,
        "spread_c": entry.spread_c,
        **_with_plan(entry.shielded.credited_body_c, entry.probability_over_shielded),
    }
    why = f"its body may pass its limit; {_arrives(entry)}"
    pair = (case.target, entry.part)
    return _finding(case, rule, pair, severity, over, evidence, _remedy(entry), limit.source, why=why)


def _joint_melts(case: Case, entry: Neighbour) -> Finding | None:
    """Return that a neighbour's joints may melt."""
    melts = entry.probability_joint_melts
    if melts < WORTH_NAMING or entry.joint_peak_c is None:
        return None
    severity = joint_severity(case, entry.part)
    evidence = {
        "joint_peak_c": entry.joint_peak_c,
        "liquidus_c": case.heat.alloy_liquidus_c,
        "gap_mm": entry.gap_mm,
        **_with_plan(entry.shielded.credited_joint_c, entry.probability_melts_shielded),
    }
    why = f"its joints may melt; {_arrives(entry)}"
    remedy = f"{_remedy(entry)}; do not nudge it, and look at its joints afterwards"
    pair = (case.target, entry.part)
    return _finding(case, "neighbour-joint-melts", pair, severity, melts, evidence, remedy, MODEL, why=why)


def _arrives(entry: Neighbour) -> str:
    """Return how heat gets to a neighbour, in words."""
    if entry.by_air > NEARLY_ALL:
        return "nearly all its heat comes by the nozzle's air"
    if entry.by_air < 1 - NEARLY_ALL:
        return "nearly all its heat comes through the board and from the heater"
    return f"{entry.by_air:.0%} of its heat comes by the nozzle's air, the rest through the board and from the heater"


def _with_plan(credited_c: float | None, probability: float) -> dict[str, float]:
    """Return what is left with the shields of the plan on, credited with no more than a verdict may."""
    return {} if credited_c is None else {"shielded_c": credited_c, "probability_shielded": probability}


def _remedy(entry: Neighbour) -> str:
    if "take-off-first" in entry.shield:
        return "take it off before any heat"
    words = {
        "air-mask": "hold it with polyimide tape",
        "barrier": "put a heat barrier over it",
        "fence": "stand a fence between it and the nozzle",
        "wet-sink": "lay wet gel on it",
        "cannot": "less board heater or a shorter time, or take it off first: no cover helps",
    }
    said = [words[kind] for kind in entry.shield if kind in words]
    return " and ".join(said) or "nothing needed"


def _lands(case: Case, pads: tuple[PadRisk, ...], lift: Lift) -> list[Finding]:
    """Return one finding for the lands, by the likeliest of them."""
    if not pads or pads[0].lift_risk < LIFT_WORTH_NAMING:
        return []
    worst = pads[0]
    evidence = {
        "capability_n": worst.capability_n,
        "demand_n": worst.demand_n,
        "probability_solid": worst.probability_solid,
        "allowed_n": lift.allowed_n,
    }
    why = f"pad {worst.number}: {worst.why}"
    remedy = f"see that pad {worst.number} is molten before the lift: thermocouple, or a nudge of 0.1 mm at most"
    source = constant("lift", "peel", "cold_n_mm").source
    whom, risk = (case.target,), worst.lift_risk
    return [_finding(case, "pad-may-lift", whom, "board lost", risk, evidence, remedy, source, why=why)]


_MOVED = {
    "blown": (
        "the air pushes against what its molten joints hold",
        "cover it with polyimide tape before the heat",
        ("lift", "loose", "holding_n_m"),
    ),
    "dropped": (
        "it hangs upside down on molten joints, its mass against their area",
        "support it from below or take it off first",
        ("lift", "loose", "drop_mg_mm2"),
    ),
    "floated": (
        "it floats on molten joints: a tilt or a nudge of the board pushes against what they hold",
        "do not move, tilt or knock the board while it is hot",
        ("lift", "loose", "jolt_g"),
    ),
}


def _moved(case: Case, entry: LoosePart) -> Finding:
    why, remedy, path = _MOVED[entry.how]
    probability = entry.probability * min(1.0, entry.ratio)
    evidence = {"ratio": entry.ratio, "probability_melted": entry.probability}
    pair, rule, source = (case.target, entry.part), f"part-may-be-{entry.how}", constant(*path).source
    severity: Severity = "touch-up" if entry.how == "floated" else "part lost"  # what floats off is set straight again
    return _finding(case, rule, pair, severity, probability, evidence, remedy, source, why=why)


def _other_side(case: Case, neighbours: tuple[Neighbour, ...], opposite: Opposite) -> list[Finding]:
    melts = {entry.part.id: entry.probability_joint_melts for entry in neighbours}
    grids = [_grid(case, part, melts[part.id]) for part in opposite.mirrored_grids if part.id in melts]
    return [*(found for found in grids if found is not None), *_support(case, opposite), *_heater_room(case, opposite)]


def _grid(case: Case, part: Part, melts: float) -> Finding | None:
    if melts < WORTH_NAMING:
        return None
    joints = [joint.peak_c for joint in case.heat.of_part(part.id)]
    evidence = {"joint_peak_c": max(joints), "coldest_joint_c": min(joints)}
    why = "a ball grid under a ball grid: its balls get the target's heat through the board and may half melt, unseen"
    remedy = "less board heater, a shorter reflow; look at both by X-ray, and be ready to take both off"
    return _finding(case, "grid-under-grid", (case.target, part), "part lost", melts, evidence, remedy, MODEL, why=why)


def _support(case: Case, opposite: Opposite) -> list[Finding]:
    if opposite.steady:
        return []
    why = "parts and joints leave no three places for pins on the other side with the target between them"
    remedy = "hold the board at its edges, rigid, close to the target; keep it under the glass transition for long"
    evidence = {"places": float(len(opposite.supports))}
    source = "common practice, no source: three points of support or more"
    return [_finding(case, "no-room-for-support", (case.target,), "board lost", SAG, evidence, remedy, source, why=why)]


def _heater_room(case: Case, opposite: Opposite) -> list[Finding]:
    room = opposite.heater_room_mm
    if room is None or opposite.tallest_mm < room:
        return []
    parts = (case.target,) if opposite.tallest is None else (case.target, opposite.tallest)
    evidence = {"stands_out_mm": opposite.tallest_mm, "room_mm": room}
    why = "what stands out on the other side meets the board heater or its fixture"
    remedy = "raise the board, or take it off first"
    return [_finding(case, "heater-meets-part", parts, "part lost", 1.0, evidence, remedy, "the bench file", why=why)]
