"""One part as a target: its nozzle, its heat on the coarse model, what was found."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from leeward.bench.fit import fits
from leeward.bench.records import NozzleFit
from leeward.parts.records import Part
from leeward.review.judge import hand_tool
from leeward.review.records import Case, Finding, Neighbour, PadRisk
from leeward.review.thermocouples import coldest
from leeward.shields.decide import Need
from leeward.shields.records import ShieldKind
from leeward.survey.around import in_the_way, tall_neighbours, under_a_can
from leeward.survey.ground import Ground
from leeward.survey.judge import Verdict, judge_target
from leeward.survey.made import made
from leeward.survey.records import Land, Nearby, Nozzle, TargetHeat
from leeward.survey.remedies import Solved, tried
from leeward.survey.rules import rules
from leeward.survey.settle import is_hand_work, settle_coarsely
from leeward.survey.weak_lands import weak_lands

LANDS_KEPT = 5  # the short review shows so many lands
BOARD_WIDE = ("cell-on-a-heated-board", "grid-under-grid")  # told once for the board, not once a target
TOUCHED_UP = ("neighbour-joint-melts", "part-may-be-floated")  # told once a target where a touch-up is all they want
BY_OUTLINES = ("wall-too-close", "no-nozzle-fits")  # the survey tells these itself, by what the courtyards say


@dataclass(frozen=True, slots=True)
class Assessment:
    """What was found out about one target. The heat is None where only the geometry was looked at."""

    part_id: str
    hand_tool: str | None
    nozzle: Nozzle
    heat: TargetHeat | None
    findings: tuple[Finding, ...]


def assess(shared: Ground, target: Part) -> Assessment:
    """Return the assessment of one target; its heat is solved where the ground has a map of the copper.

    No heat is looked for where heated tweezers take the part off: they warm nothing else. Remedies of urgent findings
    are tried before they are told. Raises UsageError and NothingAssessed as a review does.
    """
    if shared.copper is None or is_hand_work(target):
        return _by_geometry(shared, target)
    case, verdict, found = _solved(shared, target)

    def ask(changed: Ground) -> Sequence[Finding]:
        return findings_about(changed, changed.parts.by_id[target.id], case)

    return Assessment(
        part_id=target.id,
        hand_tool=hand_tool(target, fits=case.loads.fit.fits),
        nozzle=_nozzle(case.loads.fit),
        heat=_heat(case, verdict),
        findings=tried(shared, target, found, Solved(case, verdict, ask)),
    )


def findings_about(shared: Ground, target: Part, before: Case | None = None) -> Sequence[Finding]:
    """Return the findings about a target as they come, by the recipe of a case before or else found; none is tried."""
    if shared.copper is None or is_hand_work(target):
        return _by_outlines(shared, target, next(iter(fits(shared.parts, target, shared.bench)), None))
    return _solved(shared, target, before)[2]


def _solved(shared: Ground, target: Part, before: Case | None = None) -> tuple[Case, Verdict, list[Finding]]:
    """Return a target's case, the verdict and the findings as they come."""
    case = settle_coarsely(shared, target, before)
    verdict = judge_target(shared, case)
    return case, verdict, [*_by_outlines(shared, target, case.loads.fit), *_by_heat(case, verdict)]


def _by_geometry(shared: Ground, target: Part) -> Assessment:
    best = next(iter(fits(shared.parts, target, shared.bench)), None)
    tool = hand_tool(target, fits=best is not None and best.fits)
    found = _by_outlines(shared, target, best)
    return Assessment(target.id, tool, _nozzle(best), None, tried(shared, target, found))


def _by_outlines(shared: Ground, target: Part, best: NozzleFit | None) -> list[Finding]:
    can = under_a_can(shared.parts, target)
    if is_hand_work(target):
        return can
    others = list(shared.parts.by_id.values())
    return [*in_the_way(shared.parts, target, best), *tall_neighbours(others, target, shared.bench), *can]


def _by_heat(case: Case, verdict: Verdict) -> list[Finding]:
    """Return the review's findings, but for those that the survey tells otherwise."""
    cold = {part.id for part in case.parts.by_id.values() if part.fragile_class == "E"}
    kept = [finding for finding in verdict.findings if finding.rule not in (*BOARD_WIDE, *BY_OUTLINES)]
    own = [_bare(finding) for finding in kept if not cold.intersection(finding.parts[1:])]
    small = [finding for finding in own if finding.rule in TOUCHED_UP and finding.severity == "touch-up"]
    large = [finding for finding in own if finding not in small]
    return [*large, *_together(case.target, small), *weak_lands(case, verdict)]


def _together(target: Part, small: Sequence[Finding]) -> list[Finding]:
    """Return one finding for all neighbours that would want no more than a touch-up of their joints."""
    if not small:
        return []
    worst = max(finding.evidence["probability"] for finding in small)
    return [
        made(
            "joints-around-melt",
            (target,),
            "touch-up",
            worst,
            {"neighbours": float(len({finding.parts[1] for finding in small}))},
        )
    ]


def _bare(finding: Finding) -> Finding:
    """Return a finding of a review without what it says of shields, and with what helps in the layout."""
    evidence = {name: value for name, value in finding.evidence.items() if "shielded" not in name}
    return replace(finding, evidence=evidence, remedy=rules()[finding.rule].do)


def _nozzle(fit: NozzleFit | None) -> Nozzle:
    if fit is None:
        return Nozzle(None, fits=False, gap_mm=None, blocked_by=(), why="the bench has no nozzle for such a part")
    return Nozzle(fit.nozzle.id, fit.fits, fit.min_gap_mm, tuple(blocker.id for blocker in fit.blockers), fit.why)


def _heat(case: Case, verdict: Verdict) -> TargetHeat:
    last = coldest(case)
    return TargetHeat(
        nearby=tuple(_nearby(entry, case.shields.needs[entry.part.id]) for entry in verdict.neighbours),
        coldest_pad=last.joint.pad,
        coldest_c=last.lift_c,
        reaches_reflow=case.heat.reaches_reflow,
        seconds_to_melt=last.seconds_to_liquidus,
        top_peak_c=case.heat.target_top_peak_c,
        lift_risk=max((pad.lift_risk for pad in verdict.pads), default=0.0),
        lands=_lands(verdict.pads),
    )


def _nearby(entry: Neighbour, wanted: Need) -> Nearby:
    return Nearby(
        id=entry.part.id,
        ref=entry.part.ref,
        side=entry.part.footprint.side,
        gap_mm=entry.gap_mm,
        body_peak_c=entry.body_peak_c,
        joint_peak_c=entry.joint_peak_c,
        limit_c=entry.part.limit_c.value,
        margin_c=entry.margin_c,
        probability_over=entry.probability_over,
        probability_joint_melts=entry.probability_joint_melts,
        shield=_kinds(wanted),
        priority=entry.priority,
    )


def _kinds(wanted: Need) -> tuple[ShieldKind, ...]:
    """Return the kinds of shield that a neighbour would need, before anyone asks what there is room for."""
    kinds: list[ShieldKind] = ["take-off-first"] if wanted.take_off else []
    kinds += ["air-mask"] if wanted.hold else []
    if wanted.must and not wanted.take_off:
        kinds.append("barrier" if wanted.against == "air" else "wet-sink" if wanted.sink else "cannot")
    return tuple(kinds) or ("none",)


def _lands(pads: Sequence[PadRisk]) -> tuple[Land, ...]:
    return tuple(
        Land(
            number=pad.number,
            net=pad.net,
            area_mm2=pad.area_mm2,
            capability_n=pad.capability_n,
            demand_n=pad.demand_n,
            lift_risk=pad.lift_risk,
            anchors=pad.anchors,
            priority=pad.priority,
        )
        for pad in pads[:LANDS_KEPT]
    )
