"""Which parts stand under a shield can."""

from collections.abc import Iterable
from dataclasses import replace

from shapely import STRtree

from leeward.parts.records import Part

CAN = "shield can"  # the family of cans, frames and lids that are soldered over other parts
EDGE_MM = 0.1  # a body may reach so far over the drawn outline of a can


def with_cans(parts: Iterable[Part]) -> list[Part]:
    """Return the parts, those under a can with its id; the smallest can where several stand over a part."""
    everyone = list(parts)
    cans = sorted(
        (part for part in everyone if part.family.value == CAN and not part.body.is_empty),
        key=lambda can: (-can.body.convex_hull.area, can.id),
    )
    bodies = STRtree([part.body for part in everyone])
    over: dict[int, str] = {}
    for can in cans:
        inside = can.body.convex_hull.buffer(EDGE_MM)
        for index in bodies.query(inside, predicate="contains").tolist():
            stands = everyone[index].footprint.side == can.footprint.side and everyone[index].family.value != CAN
            if stands and not everyone[index].body.is_empty:
                over[index] = can.id
    return [replace(part, under=over.get(index)) if index in over else part for index, part in enumerate(everyone)]
