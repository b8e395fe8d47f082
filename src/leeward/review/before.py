"""What must come off before a target, and why; and how likely one target's job melts another once more."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from leeward.heat.jets import pressure_pa
from leeward.parts.records import Part, Parts
from leeward.review.laminate import laminate
from leeward.review.lift import lift
from leeward.review.loose import blow_ratio
from leeward.review.records import Case
from leeward.review.tweezers import tweezers
from leeward.shields.exposed import exposed_of

MAY_BLOW = 0.5  # drag over hold from which a part may be blown away, once molten
MAY_MELT = 0.05


@dataclass(frozen=True, slots=True)
class Before:
    """One part that comes off before another, by id."""

    first: str
    then: str
    why: str


def before(case: Case, others: Mapping[str, Part]) -> tuple[Before, ...]:
    """Return which of the other targets, by id, must come off before a case's own, each for its weightiest reason."""
    own = case.target.id
    found = {part_id: why for part_id, why in _reasons(case, others) if part_id != own}
    return tuple(Before(part_id, own, why) for part_id, why in sorted(found.items()))


def melts_again(case: Case, part: Part) -> float:
    """Return the probability that a case's job melts a joint of another part, with its shields on."""
    (entry,) = exposed_of([part], case.heat, case.recipe.alloy)
    return entry.melts


def _reasons(case: Case, others: Mapping[str, Part]) -> Iterator[tuple[str, str]]:
    """Yield ids with reasons, the weightiest reason of a part last."""
    target = case.target
    air = {part.id: part for part in others.values() if part.footprint.side == target.footprint.side}
    for part_id, part in air.items():
        if _blown(case, part):
            yield part_id, f"the air for {target.ref} would blow it away"
    for part_id in _round_the_jaws(case, others):
        yield part_id, f"it leaves jaws no room at {target.ref}"
    for blocker in case.loads.fit.blockers:
        if blocker.id in others:
            yield blocker.id, f"it stands in the way of the nozzle over {target.ref}"
    if target.under is not None and target.under in others:
        yield target.under, f"its can stands over {target.ref}"
    for part_id, decision in case.shields.decisions.items():
        if part_id in others and "take-off-first" in decision.kinds:
            yield part_id, f"it would be lost in the heat for {target.ref}"


def _blown(case: Case, part: Part) -> bool:
    if part.lead_style.value != "end-cap":
        return False
    (entry,) = exposed_of([part], case.bare, case.recipe.alloy)
    if entry.melts < MAY_MELT:
        return False
    gap_mm = float(part.body.distance(case.loads.fit.outside))
    return blow_ratio(pressure_pa(case.loads, case.recipe.stages, gap_mm), part) >= MAY_BLOW


def _round_the_jaws(case: Case, others: Mapping[str, Part]) -> list[str]:
    """Return the targets without which tweezers would have a way in that they have not now; none where a cup lifts."""
    parts, target = case.parts, case.target
    if tweezers(target, parts) is not None:
        return []
    if lift(case, laminate(case.board, case.bench, target.footprint.side)).cup is not None:
        return []
    return [part_id for part_id in others if tweezers(target, _without(parts, part_id)) is not None]


def _without(parts: Parts, part_id: str) -> Parts:
    return replace(parts, by_id={key: part for key, part in parts.by_id.items() if key != part_id})
