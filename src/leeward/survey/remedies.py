"""What helps in the layout, tried before it is told: applied to the record of the board, and asked again.

All moves that a target's findings call for are tried together, as are all reliefs and vias of its lands: neighbours
matter little to each other. The recipe stays: another would only be taken if it did less harm in all. A remedy is told
if its finding is then gone or of a lower priority and the target has no new finding of its first priority. Moved parts
keep their copper as it lay; the words say so.
"""

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
import shapely
from scipy.spatial import KDTree

from leeward.bench.fit import fits
from leeward.board.edit import Edit, Move, Relief, Turn, ViaInLand, is_free_for_via
from leeward.board.records import Side
from leeward.chance import probability_above
from leeward.heat.grid import Floats
from leeward.heat.records import Heat
from leeward.parts.records import Part
from leeward.review.neighbours import joint_severity
from leeward.review.odds import PRIORITIES, priority
from leeward.review.records import Case, Finding, Neighbour, Priority
from leeward.survey.changed import after, is_free
from leeward.survey.ground import Ground, round_lands
from leeward.survey.judge import Verdict
from leeward.survey.weak_lands import loose_pads, tied_pads

WORTH_TRYING: tuple[Priority, ...] = ("high",)  # what a gate usually stops at
DISTANCES_MM = (0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0)
DOUBT_C = 8.0  # of a forecast of a move, since nothing is solved for it
VIA_DRILL_MM, VIA_LAND_MM = 0.3, 0.6  # a usual through via; house rule
MOST_LANDS = 8  # so many reliefs or vias are tried at a target
NEAREST = 4  # places of the solved field that a forecast is the mean of
BY_HEAT = ("neighbour-over-limit", "neighbour-joint-melts")
BY_NOZZLE = ("wall-too-close", "courtyards-clear-no-nozzle")
LATE = ("plane-tied-land", "melt-in-doubt", "reflow-not-reached", "target-over-limit")
LOOSE = ("unanchored-land", "pad-may-lift")
WAYS = {(1, 0): "to the right", (-1, 0): "to the left", (0, 1): "down", (0, -1): "up"}
SIDES: tuple[Side, ...] = ("top", "bottom")
IN_VAIN = f"no free place up to {DISTANCES_MM[-1]:g} mm further off along the board's axes was found cool enough"
STALE = "as drawn from the top; its copper has to follow"

Field = tuple[KDTree, Floats]
Ask = Callable[[Ground], Sequence[Finding]]  # the findings of the same target on another ground


@dataclass(frozen=True, slots=True)
class Solved:
    """A target's case as it was solved, what it came to, and how to ask again on another ground."""

    case: Case
    verdict: Verdict
    ask: Ask


@dataclass(frozen=True, slots=True)
class Trial:
    """An edit that may help findings, by key, and how it is worded."""

    keys: tuple[str, ...]
    edits: tuple[Edit, ...]
    words: str


def tried(
    shared: Ground, target: Part, findings: Sequence[Finding], solved: Solved | None = None
) -> tuple[Finding, ...]:
    """Return the findings of a target, with remedies that were tried and help; `solved` is None without heat."""
    urgent = [finding for finding in findings if finding.priority in WORTH_TRYING]
    by_nozzle = [finding for finding in urgent if finding.rule in BY_NOZZLE]
    found = {finding.key: _for_the_nozzle(shared, target, finding) for finding in by_nozzle}
    if solved is not None:
        moves = _moves(shared, target, urgent, solved)
        found |= _that_help(shared, urgent, moves, solved.ask)
        lands = [finding for finding in findings if finding.rule in (*LATE, *LOOSE)]
        if any(finding in urgent or finding.rule in (LATE[0], LOOSE[0]) for finding in lands):
            found |= _that_help(shared, lands, _at_lands(shared, target, lands, solved), solved.ask)
    looked_for = {finding.key for finding in urgent if finding.rule in BY_HEAT} if solved is not None else set()
    return tuple(_told(finding, found.get(finding.key, ""), finding.key in looked_for) for finding in findings)


def _told(finding: Finding, helps: str, looked_for: bool) -> Finding:
    """Return a finding with the remedy that helps; where one was looked for in vain that is said."""
    if helps:
        return replace(finding, remedy=helps)
    return replace(finding, remedy=f"{IN_VAIN}; {finding.remedy}") if looked_for else finding


def _that_help(shared: Ground, findings: Sequence[Finding], trials: Sequence[Trial], ask: Ask) -> dict[str, str]:
    """Return the words of the trials that help, by the key of the finding."""
    if not trials:
        return {}
    then = {finding.key: finding for finding in ask(_edited(shared, trials))}
    before = {finding.key: finding for finding in findings}
    if any(finding.priority == PRIORITIES[0] and key not in before for key, finding in then.items()):
        return {}
    helped = {}
    for trial in trials:
        for key in trial.keys:
            outcome = _outcome(before[key], then.get(key))
            if outcome:
                helped[key] = f"{trial.words}; tried: {outcome}"
    return helped


def _outcome(before: Finding, then: Finding | None) -> str:
    """Return what became of a finding, "" where it stands as it stood."""
    if then is None:
        return "the finding is gone"
    if PRIORITIES.index(then.priority) <= PRIORITIES.index(before.priority):
        return ""
    return f"it falls to {then.priority} ({then.evidence['probability']:.0%} likely)"


def _edited(shared: Ground, trials: Iterable[Trial]) -> Ground:
    return after(shared, [edit for trial in trials for edit in trial.edits])


def _moves(shared: Ground, target: Part, findings: Sequence[Finding], solved: Solved) -> list[Trial]:
    """Return the moves that, as forecast, take neighbours out of the heat; one a neighbour."""
    case, verdict = solved.case, solved.verdict
    wanted: dict[str, list[Finding]] = {}
    for finding in findings:
        if finding.rule in (*BY_HEAT, "part-may-be-blown"):
            wanted.setdefault(finding.parts[1], []).append(finding)
    near = {entry.part.id: entry for entry in verdict.neighbours}
    fields = {side: _field(case.heat, side) for side in SIDES if wanted}
    trials = []
    for part_id, about in wanted.items():
        entry = near[part_id]
        move = _move(shared, case, entry, fields[entry.part.footprint.side])
        if move is not None:
            words = _words(target, entry.part, move)
            trials.append(Trial(tuple(finding.key for finding in about), (move,), words))
    return trials


def _words(target: Part, part: Part, move: Move) -> str:
    way = WAYS[int(np.sign(move.dx_mm)), int(np.sign(move.dy_mm))]
    far = abs(move.dx_mm) + abs(move.dy_mm)
    return f"move {part.ref} {far:.1f} mm {way}, away from {target.ref} ({STALE})"


def _move(shared: Ground, case: Case, entry: Neighbour, field: Field) -> Move | None:
    """Return the shortest free move away from the target that a forecast says is enough.

    Where there is none, the longest that would be enough if the forecast is out by its doubt; None without one.
    """
    tried = [
        Move(entry.part.id, way[0] * far, way[1] * far)
        for far in DISTANCES_MM
        for way in _ways(case.target, entry.part)
    ]
    cooler = _cooler_c(field, entry.part, tried)
    perhaps = None
    if not tried or not _enough(case, entry, max(cooler) + DOUBT_C):
        return None
    for move, by_c in zip(tried, cooler, strict=True):
        if not _enough(case, entry, by_c + DOUBT_C) or not is_free(shared, [move]):
            continue
        if _enough(case, entry, by_c - DOUBT_C):
            return move
        perhaps = move
    return perhaps


def _ways(target: Part, part: Part) -> list[tuple[int, int]]:
    """Return the ways along the board's axes that lead away from the target, the straighter first."""
    one, two = target.leads.envelope.centroid, part.body.centroid
    dx, dy = two.x - one.x, two.y - one.y
    return sorted((way for way in WAYS if way[0] * dx + way[1] * dy > 0), key=lambda way: -(way[0] * dx + way[1] * dy))


def _field(heat: Heat, side: Side) -> Field:
    """Return the temperatures of the faces of a side at the lift, by place."""
    there = heat.exposure.on_top == (side == "top")
    places = np.column_stack([heat.exposure.x_mm[there], heat.exposure.y_mm[there]])
    return KDTree(places), heat.exposure.face_c[there]


def _cooler_c(field: Field, part: Part, moves: Sequence[Move]) -> list[float]:
    """Return how much less warm a part's place would be after each move, K."""
    tree, celsius = field
    middle = part.body.centroid
    steps = [(0.0, 0.0), *((move.dx_mm, move.dy_mm) for move in moves)]
    places = np.array([(middle.x, middle.y)]) + steps
    there: Floats = celsius[tree.query(places, k=NEAREST)[1]].mean(axis=1)
    return [float(there[0] - celsius_there) for celsius_there in there[1:]]


def _enough(case: Case, entry: Neighbour, cooler_c: float) -> bool:
    """Return whether so much less heat takes a neighbour's risks below the first priority."""
    part = entry.part
    body = probability_above(
        (entry.body_peak_c or 0.0) - cooler_c, part.limit_c.value, entry.spread_c, part.limit_spread_c
    )
    melts = 0.0
    if entry.joint_peak_c is not None:
        melts = probability_above(entry.joint_peak_c - cooler_c, case.recipe.liquidus_c, entry.spread_c)
    risks = (priority("part lost", body), priority(joint_severity(case, part), melts))
    return PRIORITIES[0] not in risks


def _for_the_nozzle(shared: Ground, target: Part, finding: Finding) -> str:
    """Return what gives a nozzle room: a turn, or blockers moved away; "" where neither does."""
    turn = Turn(target.id, 90.0)
    if is_free(shared, [turn]) and _fits_after(shared, target, [turn]):
        return f"turn {target.ref} by 90 degrees ({STALE}); tried: a nozzle fits"
    blockers = [shared.parts.by_id[part_id] for part_id in finding.parts[1:]]
    for far in DISTANCES_MM:
        moves = [_straight_off(target, part, far) for part in blockers]
        if is_free(shared, moves) and _fits_after(shared, target, moves):
            words = " and ".join(_words(target, part, move) for part, move in zip(blockers, moves, strict=True))
            return f"{words}; tried: a nozzle fits"
    return ""


def _straight_off(target: Part, part: Part, far_mm: float) -> Move:
    way = next(iter(_ways(target, part)), (1, 0))
    return Move(part.id, way[0] * far_mm, way[1] * far_mm)


def _fits_after(shared: Ground, target: Part, edits: Sequence[Edit]) -> bool:
    changed = after(replace(shared, copper=None), edits)
    ranked = fits(changed.parts, changed.parts.by_id[target.id], changed.bench)
    return bool(ranked) and ranked[0].fits


def _at_lands(shared: Ground, target: Part, findings: Sequence[Finding], solved: Solved) -> list[Trial]:
    """Return reliefs for the lands that planes hold back, and vias in those that little holds."""
    by_rule: Mapping[str, Finding] = {finding.rule: finding for finding in findings}
    late = tuple(by_rule[rule].key for rule in LATE if rule in by_rule)
    loose = tuple(by_rule[rule].key for rule in LOOSE if rule in by_rule)
    case, verdict = solved.case, solved.verdict
    tied = [joint.pad for joint in tied_pads(case, verdict)][:MOST_LANDS]
    weak = [*(pad.number for pad in loose_pads(verdict)), *(pad.number for pad in verdict.pads[:1])]
    vias = [ViaInLand(target.id, pad, VIA_DRILL_MM, VIA_LAND_MM) for pad in dict.fromkeys(weak[:MOST_LANDS])]
    close = round_lands(shared, target, VIA_LAND_MM)
    free = [via for via in vias if _has_room(target, via) and is_free_for_via(close, via)]
    trials = []
    if late and tied:
        words = f"give {_pads(tied)} of {target.ref} a thermal relief (cut out of the fill as it lies)"
        trials.append(Trial(late, tuple(Relief(target.id, pad) for pad in tied), words))
    if loose and free:
        words = f"give {_pads([via.pad for via in free])} of {target.ref} a filled via in the land"
        trials.append(Trial(loose, tuple(free), words))
    return trials


def _has_room(target: Part, via: ViaInLand) -> bool:
    """Return whether the hole of a via lies well within its land."""
    pad = next(pad for pad in target.footprint.pads if pad.number == via.pad)
    return bool(shapely.Point(pad.x_mm, pad.y_mm).buffer(via.drill_mm / 2).within(pad.copper))


def _pads(numbers: Sequence[str]) -> str:
    return f"pad {numbers[0]}" if len(numbers) == 1 else f"pads {', '.join(numbers)}"
