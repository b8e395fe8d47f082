"""Parts that may move while their joints are molten: blown by the air, or dropped from the other side.

Drag of the wall jet, q C_d L H, against what two molten end caps hold sideways, 4 gamma l (two-dimensional liquid
bridge); mass per wetted land area against the practice limit for second sides.
"""

from leeward.constants import number
from leeward.heat.jets import pressure_pa
from leeward.parts.records import Part
from leeward.review.neighbours import drop_ratio
from leeward.review.records import Case, LoosePart, Neighbour

MAY_MELT = 0.05
WORTH_WATCHING = 0.1  # parts that are held ten times over are not named; house rule


def loose(case: Case, neighbours: tuple[Neighbour, ...]) -> tuple[LoosePart, ...]:
    """Return the parts that may be blown away or may drop, the likeliest first."""
    molten = [n for n in neighbours if n.probability_joint_melts >= MAY_MELT]
    same = case.target.footprint.side
    blown = [_blown(case, n) for n in molten if n.part.footprint.side == same and n.part.lead_style.value == "end-cap"]
    dropped = [_dropped(n) for n in molten if n.part.footprint.side != same and n.part.surface_mount]
    kept = [entry for entry in (*blown, *dropped) if entry.ratio >= WORTH_WATCHING]
    return tuple(sorted(kept, key=lambda entry: (-entry.ratio * entry.probability, entry.part.id)))


def drag_ratio(pressure_pa: float, part: Part) -> float:
    """Return drag over holding force of a chip whose both joints are molten; over 0.5 is a warning."""
    length, width = max(part.body_mm.value), min(part.body_mm.value)
    drag_n = pressure_pa * number("lift", "loose", "drag_coefficient") * length * part.height_mm.value * 1e-6
    cap_mm = 0.25 * length  # length of an end cap along the chip; derived from chip drawings
    return drag_n / (4 * number("lift", "loose", "holding_n_m") * min(cap_mm, width) * 1e-3)


def _blown(case: Case, neighbour: Neighbour) -> LoosePart:
    pressure = pressure_pa(case.loads, case.recipe.stages, neighbour.nozzle_gap_mm)
    return LoosePart(neighbour.part, "blown", drag_ratio(pressure, neighbour.part), neighbour.probability_joint_melts)


def _dropped(neighbour: Neighbour) -> LoosePart:
    return LoosePart(neighbour.part, "dropped", drop_ratio(neighbour.part), neighbour.probability_joint_melts)
