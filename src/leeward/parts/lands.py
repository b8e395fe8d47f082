"""What a footprint's lands say by themselves: rows, pitch, exposed pad, and how the leads are formed."""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import median
from typing import Literal

import numpy as np
import shapely
from numpy.typing import NDArray

from leeward.board.records import Footprint, Pad
from leeward.parts.frame import Box, boxes_in_part_frame, size
from leeward.parts.records import LeadStyle

EDGE_TOLERANCE_MM = 0.3  # lands of one row end within this of each other
ROW_SHARE = 0.9  # of the lands that must stand in the rows
SAME_PLACE_MM = 0.05
EXPOSED_AREA_RATIO = 4.0  # an exposed pad's land against the median land
SURFACE = frozenset({"smd", "edge"})  # kinds of pads that are soldered on the surface
PAIR = 2
FEWEST_BALLS = 4
BALL_SHARE = 0.05  # lands of balls differ in length and width by less than this
GULL_CENTRE_MM = 0.15  # centres of gull-wings' lands lie at least so far outside the body
LONG_LAND = 1.5  # lands of J-leads are longer than wide by at least this
LEADLESS_TOE_MM = 0.6  # lands of leadless packages reach out by no more than this
ROUND_LAND = 1.2  # a land longer than wide by less than this tells no direction


@dataclass(frozen=True, slots=True)
class Lands:
    """The soldered lands of one footprint, in the part's frame."""

    boxes: NDArray[np.float64]  # (n, 4) float, mm, part frame, one row per terminal's land; exposed pad left out
    box: Box | None  # round all lands, None where the footprint has no copper
    mount: Literal["smd", "through-hole"]
    axes: tuple[bool, bool]  # whether rows face each other along x, along y
    exposed_pad: str | None
    pitch_mm: float | None
    pasted: bool  # some land gets solder paste

    @property
    def count(self) -> int:
        """How many terminals have a land."""
        return len(self.boxes)

    @property
    def longer_side_mm(self) -> float:
        """The longer side of the box round all lands."""
        return 0.0 if self.box is None else max(size(self.box))

    @property
    def rows(self) -> Literal[0, 2, 4]:
        """How many sides carry a row of lands."""
        return 0 if not any(self.axes) else 4 if all(self.axes) else 2


def lands(footprint: Footprint) -> Lands:
    """Read the lands of a footprint. Lands without copper and unplated holes are left out."""
    with_copper = [pad for pad in footprint.pads if not pad.copper.is_empty]
    surface_mount = _is_surface_mount(footprint, with_copper)
    soldered = _soldered(footprint, with_copper, surface_mount)
    boxes = boxes_in_part_frame([pad.copper for pad in soldered], footprint)
    exposed = _exposed_pad(boxes, soldered)
    terminals = boxes if exposed is None else boxes[[pad.number != exposed for pad in soldered]]
    return Lands(
        boxes=terminals,
        box=_box_round(boxes),
        mount="smd" if surface_mount else "through-hole",
        axes=_axes(terminals),
        exposed_pad=exposed,
        pitch_mm=_pitch_mm(terminals),
        pasted=any(pad.has_paste for pad in soldered),
    )


def _is_surface_mount(footprint: Footprint, with_copper: Sequence[Pad]) -> bool:
    """Say whether a part is soldered on the surface; thermal vias in a land do not count against it."""
    surface = [pad.number for pad in with_copper if pad.kind in SURFACE]
    if "smd" in footprint.attributes:
        return bool(surface)
    drilled = {pad.number for pad in footprint.pads if pad.kind == "through-hole"}.difference(surface)
    return len(surface) > len(drilled)


def lead_style_by_lands(read: Lands, body: Box) -> LeadStyle | None:
    """Judge the lead style from where the lands lie against the body's edge; None where they do not tell.

    The rule and its thresholds were fitted on KiCad's footprint library 6.0.11: round or square lands of one size
    under the body are balls, two lands as wide as the body are the end caps of a chip, land centres outside the
    body mean gull-wings, long lands far under it J-leads, short ones leadless packages. Two narrower lands and
    lands anywhere outside the body tell nothing.
    """
    if read.count == PAIR:
        return _pair_style(read, body)
    if read.count < FEWEST_BALLS:
        return "gull-wing" if _is_gull_wing_of_three(read, body) else None
    if _is_ball_grid(read, body):
        return "ball-grid"
    if not any(read.axes):
        return "bottom-terminated" if _within(read.boxes, body, LEADLESS_TOE_MM) else None
    return _row_style(read, body)


def median_of(values: NDArray[np.float64]) -> float:
    """Return the median of a few values, several times as fast as numpy does."""
    return float(median(values.ravel().tolist()))


def _row_style(read: Lands, body: Box) -> LeadStyle | None:
    outer, inner, along = against_body(read, body)
    if median_of((outer + inner) / 2) > GULL_CENTRE_MM:
        return "gull-wing"
    if median_of(inner) <= -0.85 and median_of(along) >= 1.25:
        return "j-lead" if (read.pitch_mm or 0.0) >= 1.0 and _are_long(read) else None
    return "bottom-terminated" if median_of(along) <= 1.2 else None


def _are_long(read: Lands) -> bool:
    sizes = read.boxes[:, 2:] - read.boxes[:, :2]
    return median_of(sizes.max(axis=1) / sizes.min(axis=1)) >= LONG_LAND


def _pair_style(read: Lands, body: Box) -> LeadStyle | None:
    """Two lands that face each other along the body and are as wide as it hold a chip by its end caps."""
    if not any(read.axes):
        return None
    along, across = (0, 1) if read.axes[0] else (1, 0)
    first, last = sorted(read.boxes.tolist(), key=lambda box: box[along])
    under = body[along] < first[along + 2] and last[along] < body[along + 2]
    width = min(first[across + 2] - first[across], last[across + 2] - last[across])
    return "end-cap" if under and width >= size(body)[across] else None


def _is_gull_wing_of_three(read: Lands, body: Box) -> bool:
    if read.count < 3 or not any(read.axes):
        return False
    outer, inner, _ = against_body(read, body)
    return median_of((outer + inner) / 2) > GULL_CENTRE_MM


def _is_ball_grid(read: Lands, body: Box) -> bool:
    """Say whether nearly all lands are as long as wide, of one size, under the body, and round no exposed pad."""
    if read.exposed_pad is not None:
        return False
    sizes = read.boxes[:, 2:] - read.boxes[:, :2]
    common = median_of(sizes)
    alike = (np.abs(sizes - common) <= BALL_SHARE * common).all(axis=1)
    return bool(alike.mean() >= ROW_SHARE) and _within(read.boxes, body, 0.1)


def _soldered(footprint: Footprint, with_copper: Sequence[Pad], surface_mount: bool) -> list[Pad]:
    if not surface_mount:
        return [pad for pad in with_copper if pad.kind != "unplated"]
    surface = [pad for pad in with_copper if pad.kind in SURFACE]
    outer = "F.Cu" if footprint.side == "top" else "B.Cu"
    return [pad for pad in surface if outer in pad.layers] or surface


def _box_round(boxes: NDArray[np.float64]) -> Box | None:
    if not len(boxes):
        return None
    least, greatest = boxes[:, :2].min(axis=0).tolist(), boxes[:, 2:].max(axis=0).tolist()
    return least[0], least[1], greatest[0], greatest[1]


def _exposed_pad(boxes: NDArray[np.float64], soldered: Sequence[Pad]) -> str | None:
    """Return the number of the land that lies between two rows and is much larger than theirs."""
    if len(boxes) < 5:
        return None
    numbers = np.array([pad.number for pad in soldered])
    areas = shapely.area(np.array([pad.copper for pad in soldered], dtype=object))
    totals: dict[str, float] = {}
    for number, area in zip(numbers.tolist(), areas.tolist(), strict=True):
        if number:
            totals[number] = totals.get(number, 0.0) + area
    if not totals:
        return None
    number = max(sorted(totals), key=lambda key: totals[key])
    own = numbers == number
    if own.all() or totals[number] <= EXPOSED_AREA_RATIO * median_of(areas[~own]):
        return None
    exposed = _box_round(boxes[own])
    between = exposed is not None and any(_lies_between(exposed, boxes[~own], axis) for axis in (0, 1))
    return number if between else None


def _lies_between(box: Box, others: NDArray[np.float64], axis: int) -> bool:
    before = others[:, axis + 2] <= box[axis] + SAME_PLACE_MM
    after = others[:, axis] >= box[axis + 2] - SAME_PLACE_MM
    return bool(before.any() and after.any() and (before | after).mean() >= 0.4)


def _axes(boxes: NDArray[np.float64]) -> tuple[bool, bool]:
    """Say along which axes rows of lands face each other."""
    if len(boxes) < PAIR:
        return False, False
    if len(boxes) == PAIR:
        return _axes_of_pair(*boxes.tolist())
    first = boxes[:, :2] - boxes[:, :2].min(axis=0) < EDGE_TOLERANCE_MM  # (n, 2) bool: at the least x, y
    last = boxes[:, 2:].max(axis=0) - boxes[:, 2:] < EDGE_TOLERANCE_MM
    covered = (first | last).sum(axis=0) >= ROW_SHARE * len(boxes)
    faced = covered & (first & ~last).any(axis=0) & (last & ~first).any(axis=0)
    if faced.all():
        return (True, False) if _faces_along_x(boxes) else (False, True)
    if faced.any():
        return bool(faced[0]), bool(faced[1])
    at_edge = (first | last).any(axis=1).sum() >= ROW_SHARE * len(boxes)
    all_sides = first.any(axis=0).all() and last.any(axis=0).all()
    quad = bool(at_edge and all_sides and len(boxes) >= 8)
    return quad, quad


def _axes_of_pair(one: Sequence[float], other: Sequence[float]) -> tuple[bool, bool]:
    """Say along which axis two lands face each other: both edges of one lie before those of the other."""
    faced = []
    for axis in (0, 1):
        least, greatest = other[axis] - one[axis], other[axis + 2] - one[axis + 2]
        faced.append(least * greatest > 0 and min(abs(least), abs(greatest)) >= EDGE_TOLERANCE_MM)
    if not all(faced):
        return faced[0], faced[1]
    apart_x, apart_y = (abs(other[axis] + other[axis + 2] - one[axis] - one[axis + 2]) for axis in (0, 1))
    return (True, False) if apart_x >= apart_y else (False, True)


def _faces_along_x(boxes: NDArray[np.float64]) -> bool:
    """Decide for four lands in the corners: by their length, else by their distance."""
    lengths = boxes[:, 2:] - boxes[:, :2]
    along_x, along_y = lengths.sum(axis=0).tolist()
    if max(along_x, along_y) > ROUND_LAND * min(along_x, along_y):
        return bool(along_x > along_y)
    centres = (boxes[:, :2] + boxes[:, 2:]) / 2
    spread_x, spread_y = (centres.max(axis=0) - centres.min(axis=0)).tolist()
    return bool(spread_x >= spread_y)


def _pitch_mm(boxes: NDArray[np.float64]) -> float | None:
    """Return the least distance between the centres of two lands, None for fewer than three."""
    if len(boxes) < 3:
        return None
    centres = (boxes[:, :2] + boxes[:, 2:]) / 2
    apart_mm = np.hypot(*(axis[:, None] - axis for axis in centres.T))
    np.fill_diagonal(apart_mm, np.inf)
    nearest = apart_mm.min(axis=1)
    apart = nearest[nearest > SAME_PLACE_MM]
    return round(float(apart.min()), 4) if len(apart) else None


def _within(boxes: NDArray[np.float64], body: Box, margin_mm: float) -> bool:
    inside = (boxes[:, :2] >= np.array(body[:2]) - margin_mm) & (boxes[:, 2:] <= np.array(body[2:]) + margin_mm)
    return bool(inside.all())


def against_body(read: Lands, body: Box) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    """Return per land of the rows, mm: outer and inner edge beyond the body's edge, and length."""
    outers, inners = [], []
    for axis in (axis for axis in (0, 1) if read.axes[axis]):
        least, greatest = read.boxes[:, axis], read.boxes[:, axis + 2]
        first = least - least.min() < EDGE_TOLERANCE_MM
        last = greatest.max() - greatest < EDGE_TOLERANCE_MM
        outers += [body[axis] - least[first], greatest[last] - body[axis + 2]]
        inners += [body[axis] - greatest[first], least[last] - body[axis + 2]]
    outer, inner = np.concatenate(outers), np.concatenate(inners)
    return outer, inner, outer - inner
