"""What to act on: every risk of a review as a finding with its evidence, remedy and source, ranked."""

from collections.abc import Mapping

from leeward.constants import constant
from leeward.parts.records import Part
from leeward.review.neighbours import joint_severity
from leeward.review.odds import PRIORITIES, likelihood, priority, severity_rank
from leeward.review.pads import probability_solid
from leeward.review.records import Case, Finding, LoosePart, Neighbour, PadRisk, Severity
from leeward.review.thermocouples import coldest

WORTH_NAMING = 0.05  # probabilities under this make no finding, but for injury; house rule
INJURY_WORTH_NAMING = 0.001
LIFT_WORTH_NAMING = 0.01  # a lifted land may cost the board
DOUBT = 0.05  # a last joint likelier than this to be solid at the lift makes a finding
MORE_HEAT = "more board heater, a longer soak, or more air; never pull at a joint that is still solid"
MODEL = "heat model of this board; spread one standard deviation"


def findings(
    case: Case,
    neighbours: tuple[Neighbour, ...],
    pads: tuple[PadRisk, ...],
    loose: tuple[LoosePart, ...],
    over_limit: float,
) -> tuple[Finding, ...]:
    """Return the findings of a case: by priority, severity, likelihood, gap."""
    found = [
        *_nozzle(case),
        *_target(case, over_limit),
        *(finding for neighbour in neighbours for finding in _neighbour(case, neighbour)),
        *_lands(case, pads),
        *(_moved(case, entry) for entry in loose if entry.ratio * entry.probability >= WORTH_NAMING),
    ]
    return tuple(sorted(found, key=_order))


def _finding(
    case: Case,
    rule: str,
    parts: tuple[Part, ...],
    severity: Severity,
    probability: float,
    evidence: Mapping[str, float],
    remedy: str,
    source: str,
) -> Finding:
    ids = tuple(part.id for part in parts)
    return Finding(
        key=":".join((rule, case.target.id, *(part for part in ids if part != case.target.id))),
        rule=rule,
        parts=ids,
        refs=tuple(part.ref for part in parts),
        severity=severity,
        likelihood=likelihood(probability),
        priority=priority(severity, probability),
        evidence={"probability": probability, **evidence},
        remedy=remedy,
        source=source,
    )


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
    return [
        _finding(
            case,
            rule,
            (case.target, *blockers),
            "part lost",
            1.0,
            evidence,
            remedy,
            "nozzle geometry of the bench file",
        )
    ]


def _target(case: Case, over_limit: float) -> list[Finding]:
    target, heat = case.target, case.heat
    found = []
    last = coldest(case)
    solid = probability_solid(case, last)
    if solid >= DOUBT:
        evidence = {"coldest_c": last.lift_c, "liquidus_c": heat.alloy_liquidus_c}
        rule = "melt-in-doubt" if heat.reaches_reflow else "reflow-not-reached"
        found.append(_finding(case, rule, (target,), "board lost", solid, evidence, MORE_HEAT, MODEL))
    if over_limit >= WORTH_NAMING:
        evidence = {"peak_c": heat.target_top_peak_c, "limit_c": target.limit_c.value}
        remedy = "more board heater and cooler air; do not use the part again"
        # A part that comes off for good is not lost by its own heat: only reuse is.
        found.append(
            _finding(
                case,
                "target-over-limit",
                (target,),
                "touch-up",
                over_limit,
                evidence,
                remedy,
                target.limit_c.source,
            )
        )
    return found


def _neighbour(case: Case, entry: Neighbour) -> list[Finding]:
    pair = (case.target, entry.part)
    found = []
    cell = "lithium-cell" in entry.part.hazards
    least = INJURY_WORTH_NAMING if cell else WORTH_NAMING
    if entry.probability_over >= least and entry.body_peak_c is not None:
        evidence = {
            "peak_c": entry.body_peak_c,
            "limit_c": entry.part.limit_c.value,
            "gap_mm": entry.gap_mm,
            "spread_c": entry.spread_c,
        }
        remedy = _remedy(entry)
        rule = "cell-on-a-heated-board" if cell else "neighbour-over-limit"
        severity: Severity = "injury" if cell else "part lost"
        found.append(
            _finding(
                case,
                rule,
                pair,
                severity,
                entry.probability_over,
                evidence,
                remedy,
                entry.part.limit_c.source,
            )
        )
    if entry.probability_joint_melts >= WORTH_NAMING and entry.joint_peak_c is not None:
        evidence = {
            "joint_peak_c": entry.joint_peak_c,
            "liquidus_c": case.heat.alloy_liquidus_c,
            "gap_mm": entry.gap_mm,
        }
        severity = joint_severity(case, entry.part)
        remedy = f"{_remedy(entry)}; do not nudge it, and look at its joints afterwards"
        found.append(
            _finding(
                case,
                "neighbour-joint-melts",
                pair,
                severity,
                entry.probability_joint_melts,
                evidence,
                remedy,
                MODEL,
            )
        )
    return found


def _remedy(entry: Neighbour) -> str:
    words = {
        "none": "nothing needed",
        "air-mask": "cover it with polyimide tape against the air",
        "barrier": "put a heat barrier with an air gap over it",
        "fence": "stand a fence between it and the nozzle",
        "wet-sink": "lay a wet heat sink on it",
        "take-off-first": "take it off before any heat",
        "cannot": "no cover helps: its heat comes through the board; less board heater or a shorter time does",
    }
    return " and ".join(words[kind] for kind in entry.shield)


def _lands(case: Case, pads: tuple[PadRisk, ...]) -> list[Finding]:
    """Return one finding for the lands, by the likeliest of them."""
    if not pads or pads[0].lift_risk < LIFT_WORTH_NAMING:
        return []
    worst = pads[0]
    evidence = {
        "capability_n": worst.capability_n,
        "demand_n": worst.demand_n,
        "probability_solid": worst.probability_solid,
    }
    remedy = f"see that pad {worst.number} is molten before the lift: thermocouple, or a nudge of 0.1 mm at most"
    source = constant("lift", "peel", "cold_n_mm").source
    return [_finding(case, "pad-may-lift", (case.target,), "board lost", worst.lift_risk, evidence, remedy, source)]


def _moved(case: Case, entry: LoosePart) -> Finding:
    remedy, source = {
        "blown": (
            "cover it with polyimide tape before the heat",
            constant("lift", "loose", "holding_n_m").source,
        ),
        "dropped": (
            "support it from below or take it off first",
            constant("lift", "loose", "drop_mg_mm2").source,
        ),
        "floated": ("do not move the board while it is hot", "common practice, no source"),
    }[entry.how]
    probability = entry.probability * min(1.0, entry.ratio)
    evidence = {"ratio": entry.ratio}
    return _finding(
        case,
        f"part-may-be-{entry.how}",
        (case.target, entry.part),
        "part lost",
        probability,
        evidence,
        remedy,
        source,
    )


def _order(finding: Finding) -> tuple[int, int, float, float, str]:
    return (
        PRIORITIES.index(finding.priority),
        severity_rank(finding.severity),
        -finding.evidence["probability"],
        finding.evidence.get("gap_mm", 0.0),
        finding.key,
    )
