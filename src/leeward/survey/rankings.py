"""The three rankings of a board's targets: shielding need, nozzle clearance, the risk that a land lifts."""

from collections.abc import Mapping
from typing import Literal, get_args

from leeward.parts.order import natural_key
from leeward.review.odds import PRIORITIES
from leeward.review.records import Priority
from leeward.survey.records import Survey, Target
from leeward.survey.settle import is_hand_work

Ranking = Literal["shielding", "clearance", "lift"]
RANKINGS: tuple[Ranking, ...] = get_args(Ranking)
TIGHT_MM = 0.5  # a nozzle with less room than this has to be set with care; house rule


def level(target: Target, ranking: Ranking) -> Priority | None:
    """Return how a target stands in a ranking, None where it has no place in it: no heat computed, or hand work."""
    if is_hand_work(target.part):
        return None
    if ranking == "clearance":
        return _clearance(target)
    return None if target.heat is None else _shielding(target) if ranking == "shielding" else _lift(target)


def ranked(survey: Survey, ranking: Ranking) -> tuple[tuple[Target, Priority], ...]:
    """Return the targets that have a place in a ranking, with their levels, the worst first."""
    placed = [(target, place) for target in survey.targets if (place := level(target, ranking)) is not None]
    if ranking == "shielding":
        return tuple(sorted(placed, key=lambda entry: PRIORITIES.index(entry[1])))  # the survey's own order otherwise
    order = _by_clearance if ranking == "clearance" else _by_lift
    return tuple(sorted(placed, key=lambda entry: (PRIORITIES.index(entry[1]), *order(entry[0]))))


def levels(survey: Survey) -> Mapping[Ranking, Mapping[str, Priority]]:
    """Return the level of each target that has one, by ranking and part id."""
    return {name: {target.part.id: place for target, place in ranked(survey, name)} for name in RANKINGS}


def _clearance(target: Target) -> Priority:
    if not target.nozzle.fits:
        return "high"
    gap = target.nozzle.gap_mm
    return "medium" if gap is not None and gap < TIGHT_MM else "low"


def _shielding(target: Target) -> Priority:
    return "high" if target.high else "medium" if target.in_need else "low"


def _lift(target: Target) -> Priority:
    lands = () if target.heat is None else target.heat.lands
    return min((land.priority for land in lands), key=PRIORITIES.index, default="low")


def _by_clearance(target: Target) -> tuple[object, ...]:
    nozzle = target.nozzle
    gap = float("inf") if nozzle.gap_mm is None else nozzle.gap_mm
    return gap, -len(nozzle.blocked_by), natural_key(target.part.ref), target.part.id


def _by_lift(target: Target) -> tuple[object, ...]:
    risk = 0.0 if target.heat is None else target.heat.lift_risk
    return -risk, natural_key(target.part.ref), target.part.id
