"""Parts that may move while all their joints are molten: blown by the air, dropped from the other side, floated off.

Drag of the wall jet, q C_d L H, or a nudge of the board, mass times a share of g, against what molten joints hold
sideways, 2 gamma l a joint (two-dimensional liquid bridge; 4 gamma l of a chip); mass per wetted land area against
the practice limit for second sides.
"""

from leeward.constants import constant, number
from leeward.heat.bodies import soldered_pads
from leeward.heat.jets import pressure_pa
from leeward.parts.records import Part
from leeward.review.neighbours import drop_ratio
from leeward.review.odds import probability_melts
from leeward.review.pads import weight_n
from leeward.review.peel import least_width_mm
from leeward.review.records import Case, LoosePart, Neighbour
from leeward.shields.records import Shape

MAY_MELT = 0.05
HELD_BY: frozenset[Shape] = frozenset({"sheet", "strip"})  # tape lies on a part and keeps it in its place
WORTH_WATCHING = 0.1  # parts that are held ten times over are not named; house rule


def loose(case: Case, neighbours: tuple[Neighbour, ...]) -> tuple[LoosePart, ...]:
    """Return the parts that may be blown away, drop or float off, each by its worst, the likeliest first.

    The shields of the plan are on: no air moves what one covers, and tape holds what it lies on.
    """
    stay = [entry for entry in neighbours if entry.part.footprint.fitted and not comes_off_first(entry)]
    chances = [(entry, all_melt(case, entry.part)) for entry in stay if entry.part.surface_mount]
    worst = [_worst(case, entry, melts) for entry, melts in chances if melts >= MAY_MELT]
    kept = [entry for entry in worst if entry.ratio >= WORTH_WATCHING]
    return tuple(sorted(kept, key=lambda entry: (-entry.ratio * entry.probability, entry.part.id)))


def comes_off_first(entry: Neighbour) -> bool:
    """Return whether a part is taken off before any heat, as cells are."""
    return entry.part.fragile_class == "E"


def drag_n(pressure_pa: float, part: Part) -> float:
    """Return what air of a dynamic pressure pushes a part with, on its longer side, N."""
    face_mm2 = max(part.body_mm.value) * part.height_mm.value
    return pressure_pa * number("lift", "loose", "drag_coefficient") * face_mm2 * 1e-6


def holding_n(part: Part) -> float:
    """Return what the molten joints of a part hold sideways, N."""
    return 2 * number("lift", "loose", "holding_n_m") * sum(_grips_mm(part)) * 1e-3


def blow_ratio(pressure_pa: float, part: Part) -> float:
    """Return drag over what holds; over a half is a warning."""
    return drag_n(pressure_pa, part) / max(holding_n(part), 1e-9) if pressure_pa else 0.0


def float_ratio(part: Part) -> float:
    """Return what a tilt or a nudge of the board pushes a part with over what holds it."""
    return weight_n(part) * number("lift", "loose", "jolt_g") / max(holding_n(part), 1e-9)


def termination_mm(length_mm: float) -> float:
    """Return the length of a chip's terminations along it, mm."""
    steps: list[tuple[float, float]] = constant("lift", "loose", "termination_mm").value
    return next((long for longest, long in steps if length_mm <= longest), steps[-1][1])


def _grips_mm(part: Part) -> list[float]:
    """Return the length of solder that holds a part sideways, joint by joint."""
    own = soldered_pads(part)
    if part.lead_style.value == "end-cap":
        return [min(termination_mm(max(part.body_mm.value)), *part.body_mm.value) for _ in own]
    return [least_width_mm(pad.copper) for pad in own]


def _worst(case: Case, entry: Neighbour, melts: float) -> LoosePart:
    part = entry.part
    if part.footprint.side != case.target.footprint.side:
        return LoosePart(part, "dropped", drop_ratio(part), melts)
    shapes = {piece.shape for piece in case.shields.pieces if part.id in piece.covers}
    air_pa = 0.0 if shapes else pressure_pa(case.loads, case.recipe.stages, entry.nozzle_gap_mm)
    blown = blow_ratio(air_pa, part)
    floated = 0.0 if shapes & HELD_BY else float_ratio(part)
    if blown >= floated:
        return LoosePart(part, "blown", blown, melts)
    return LoosePart(part, "floated", floated, melts)


def all_melt(case: Case, part: Part) -> float:
    """Return the probability that the last joint of a part melts: one that is solid holds it."""
    return min((probability_melts(case, joint) for joint in case.heat.of_part(part.id)), default=0.0)
