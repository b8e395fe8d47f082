"""What stands round a target in its way, by the outlines alone."""

from collections.abc import Sequence

import shapely

from leeward.bench.records import Bench, NozzleFit
from leeward.parts.records import Part, Parts
from leeward.review.records import Finding
from leeward.survey.made import made

EXPECTED = 0.5  # probability of what the outlines show; house rule
CERTAIN = 1.0


def in_the_way(parts: Parts, target: Part, fit: NozzleFit | None) -> list[Finding]:
    """Return that no nozzle fits: for want of room, for want of an aperture, or though the courtyards keep clear."""
    if fit is not None and fit.fits:
        return []
    blockers = () if fit is None else tuple(parts.by_id[blocker.id] for blocker in fit.blockers)
    if not blockers:
        return [made("no-nozzle-fits", (target,), "touch-up", CERTAIN, {})]
    rule = "courtyards-clear-no-nozzle" if _courtyards_clear(target, blockers) else "wall-too-close"
    gap = min(float(part.leads.distance(target.leads)) for part in blockers)
    evidence = {"blockers": float(len(blockers)), "gap_mm": gap}
    return [made(rule, (target, *blockers), "part lost", CERTAIN, evidence)]


def tall_neighbours(parts: Sequence[Part], target: Part, bench: Bench) -> list[Finding]:
    """Return the parts beside a target that stand over a nozzle at it, nearer than their own height."""
    top_mm = target.height_mm.value + bench.boxed_standoff_mm
    tall = [part for part in parts if part.height_mm.value > top_mm and _beside(part, target)]
    found = []
    for part in tall:
        gap = float(part.body.distance(target.leads))
        if gap < part.height_mm.value:
            evidence = {"gap_mm": gap, "height_mm": part.height_mm.value, "target_height_mm": target.height_mm.value}
            found.append(made("tall-neighbour", (target, part), "touch-up", EXPECTED, evidence))
    return found


def under_a_can(parts: Parts, target: Part) -> list[Finding]:
    """Return that a target stands under a shield can."""
    if target.under is None:
        return []
    return [made("under-a-can", (target, parts.by_id[target.under]), "touch-up", CERTAIN, {})]


def _beside(part: Part, target: Part) -> bool:
    """Return whether a part stands on the target's side, on its board, in the open and not over it."""
    one, two = part.footprint, target.footprint
    same = one.side == two.side and one.board_index == two.board_index and part.id not in (target.id, target.under)
    return same and not part.body.is_empty


def _courtyards_clear(target: Part, blockers: Sequence[Part]) -> bool:
    own = target.footprint.courtyard
    others = [part.footprint.courtyard for part in blockers]
    if own is None or any(other is None for other in others):
        return False
    return not any(shapely.intersection(own, other).area > 0 for other in others)
