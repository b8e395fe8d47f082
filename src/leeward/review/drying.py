"""What must be dry before it is heated: the bake step of the work order."""

from collections.abc import Sequence

from leeward.chance import LIKELY, probability_above
from leeward.constants import number
from leeward.parts.moisture import Bake, bake, floor_life, may_hold_moisture, rework_limit_c
from leeward.parts.records import Msl, Part
from leeward.review.records import Case, Neighbour

DAYS_FROM_H = 120.0  # longer bakes are told in days


def drying(case: Case, neighbours: Sequence[Neighbour]) -> list[tuple[str, str]]:
    """Return the step that bakes the board, none where nothing in the heat can hold moisture.

    Bodies count that are likely to pass 200 C; the target always does, for the case that it is used again.
    """
    hot = [entry.part for entry in neighbours if _likely_passes(entry)]
    sensitive = [part for part in (case.target, *hot) if may_hold_moisture(part) and part.floor_life != "within"]
    known = [(part, part.msl.value) for part in sensitive if part.msl is not None]
    unknown = [_ref(case, part) for part in sensitive if part.msl is None]
    if not sensitive:
        return []
    house = f"{number('moisture', 'board_bake_c'):g} C for {number('moisture', 'board_bake_h'):g} h"
    ask = f"Moisture level not known of {', '.join(unknown)}: find it out" if unknown else ""
    why = f"J-STD-033: no body above {rework_limit_c():.0f} C unless dry; the board's bake is a house rule"
    if not known:
        return [(f"{ask}; unless they are within their floor life, bake the board dry, {house}.", why)]
    alone = "; ".join(_alone(case, part, level) for part, level in known)
    return [(f"Bake the board dry, {house}, for {alone}.{f' {ask}.' if ask else ''}", why)]


def _likely_passes(entry: Neighbour) -> bool:
    return entry.body_peak_c is not None and (
        probability_above(entry.body_peak_c, rework_limit_c(), entry.spread_c) >= LIKELY
    )


def _ref(case: Case, part: Part) -> str:
    return f"{part.ref} (if it is to be used again)" if part.id == case.target.id else part.ref


def _alone(case: Case, part: Part, level: Msl) -> str:
    """Return a part with its level and what J-STD-033 asks for it by itself."""
    open_for = {"short": "exceeded by up to 72 h", "late": "exceeded by more than 72 h"}
    state = open_for.get(part.floor_life or "", "exceeded for all that is known")
    told = bake(part)
    if told is None:
        return f"{_ref(case, part)}: MSL {level}, by its label"
    return f"{_ref(case, part)}: MSL {level}, floor life of {floor_life(level)} {state}, by itself {_words(told)}"


def _words(told: Bake) -> str:
    times = [f"{_time(hours)} at {celsius} C" for celsius, hours in told.hours_at]
    return " or ".join(times) + f" ({told.source})"


def _time(hours: float) -> str:
    return f"{hours:g} h" if hours < DAYS_FROM_H else f"{hours / 24:g} d"
