"""How tweezers get at a part: across which sides, and how steeply past the parts that stand around.

Jaws grip the body at half its height or above. What stands before a side and is taller than half of it lifts the
jaw's way in to the angle at which it clears the top of it; what is as tall as the body and nearer than a jaw is thick
leaves no room.
"""

from dataclasses import dataclass
from math import atan2, degrees
from typing import Literal

import shapely
from shapely.geometry.base import BaseGeometry

from leeward.constants import number
from leeward.parts.frame import Box, box_in_part_frame, box_on_board, centre
from leeward.parts.records import Part, Parts
from leeward.review.records import Tweezers

NO_WAY_DEG = 90.0
MOST_REFS = 3  # so many of the parts in the way are named


@dataclass(frozen=True, slots=True)
class _InTheWay:
    """A part before one jaw, and how steeply the jaw has to come in over it."""

    access_deg: float
    ref: str


def tweezers(target: Part, parts: Parts) -> Tweezers | None:
    """Return the way in with the flattest angle, None where jaws have no room on either pair of sides."""
    around = [
        part
        for part in parts.by_id.values()
        if part.id != target.id and part.footprint.side == target.footprint.side and not part.body.is_empty
    ]
    ways = [_across(target, around, "x"), _across(target, around, "y")]
    best = min(ways, key=lambda way: way.access_deg)
    return None if best.access_deg >= NO_WAY_DEG else best


def _across(target: Part, around: list[Part], axis: Literal["x", "y"]) -> Tweezers:
    found = [entry for way in _corridors(target, axis) for part in around for entry in _obstacle(target, part, way)]
    found.sort(key=lambda entry: (-entry.access_deg, entry.ref))
    turned = 0.0 if axis == "x" else 90.0
    return Tweezers(
        across=axis,
        direction_deg=(target.footprint.rotation_deg + turned) % 180.0,
        access_deg=max((entry.access_deg for entry in found), default=0.0),
        past=tuple(dict.fromkeys(entry.ref for entry in found))[:MOST_REFS],
    )


def _corridors(target: Part, axis: Literal["x", "y"]) -> tuple[BaseGeometry, BaseGeometry]:
    """Return the ground that the two jaws come in over, board frame."""
    x0, y0, x1, y1 = box = box_in_part_frame(target.body, target.footprint)
    middle_x, middle_y = centre(box)
    half, reach = number("lift", "tweezers", "jaw_width_mm") / 2, number("lift", "tweezers", "reach_mm")
    ways: tuple[Box, Box] = (
        ((x0 - reach, middle_y - half, x0, middle_y + half), (x1, middle_y - half, x1 + reach, middle_y + half))
        if axis == "x"
        else ((middle_x - half, y0 - reach, middle_x + half, y0), (middle_x - half, y1, middle_x + half, y1 + reach))
    )
    return box_on_board(ways[0], target.footprint), box_on_board(ways[1], target.footprint)


def _obstacle(target: Part, part: Part, corridor: BaseGeometry) -> list[_InTheWay]:
    over_mm = part.height_mm.value - target.height_mm.value / 2
    before = shapely.intersection(part.body, corridor)
    # A footprint that is drawn round the target, of a module or a board outline, does not stand beside it.
    if over_mm <= 0 or before.area == 0 or part.body.intersection(target.body).area > 0:
        return []
    gap_mm = float(before.distance(target.body))
    near = gap_mm < number("lift", "tweezers", "jaw_thickness_mm")
    no_room = near and part.height_mm.value >= target.height_mm.value
    angle = NO_WAY_DEG if no_room else degrees(atan2(over_mm, gap_mm))
    return [_InTheWay(angle, part.ref)]
