"""What a footprint's lands say by themselves: rows, pitch, exposed pad, and how the leads are formed."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import KDTree

from leeward.board.records import Footprint, Pad
from leeward.parts.frame import Box, boxes_in_part_frame, size
from leeward.parts.records import LeadStyle

EDGE_TOLERANCE_MM = 0.3  # lands of one row end within this of each other
ROW_SHARE = 0.9  # of the lands that must stand in the rows
SAME_PLACE_MM = 0.05
EXPOSED_AREA_RATIO = 4.0  # an exposed pad's land against the median land
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
    surface_mount = is_surface_mount(footprint)
    soldered = _soldered(footprint, surface_mount)
    boxes = boxes_in_part_frame([pad.copper for pad in soldered], footprint)
    numbers = np.array([pad.number for pad in soldered])
    areas = np.array([pad.area_mm2 for pad in soldered])
    exposed = _exposed_pad(boxes, numbers, areas)
    terminals = boxes if exposed is None else boxes[numbers != exposed]
    return Lands(
        boxes=terminals,
        box=_box_round(boxes),
        mount="smd" if surface_mount else "through-hole",
        axes=_axes(terminals),
        exposed_pad=exposed,
        pitch_mm=_pitch_mm(terminals),
        pasted=any(pad.has_paste for pad in soldered),
    )


def is_surface_mount(footprint: Footprint) -> bool:
    """Say whether a part is soldered on the surface; thermal vias in a land do not count against it."""
    surface = {pad.number for pad in footprint.pads if _on_surface(pad)}
    drilled = {pad.number for pad in footprint.pads if pad.kind == "through-hole"} - surface
    if "smd" in footprint.attributes:
        return bool(surface)
    return sum(_on_surface(pad) for pad in footprint.pads) > len(drilled)


def lead_style_by_lands(read: Lands, body: Box) -> LeadStyle | None:
    """Judge the lead style from where the lands lie against the body's edge; None where they do not tell.

    The rule and its thresholds were fitted on 1 200 packages of KiCad's footprint library 6.0.11:
    fewer than five lands tell little, land centres
    outside the body mean gull-wings, long lands far under it J-leads, short ones leadless packages.
    """
    if read.count < 5:
        return None
    if not any(read.axes):
        return "ball-grid" if read.count >= 9 and _within(read.boxes, body) else None
    outer, inner, along = _against_body(read, body)
    if float(np.median((outer + inner) / 2)) > 0.15:
        return "gull-wing"
    if float(np.median(inner)) <= -0.85 and float(np.median(along)) >= 1.25:
        return "j-lead" if (read.pitch_mm or 0.0) >= 1.0 else None
    return "bottom-terminated" if float(np.median(along)) <= 1.2 else None


def _soldered(footprint: Footprint, surface_mount: bool) -> list[Pad]:
    plated = [pad for pad in footprint.pads if pad.kind != "unplated" and not pad.copper.is_empty]
    if not surface_mount:
        return plated
    surface = [pad for pad in plated if _on_surface(pad)]
    return [pad for pad in surface if footprint.side in pad.sides] or surface


def _on_surface(pad: Pad) -> bool:
    return pad.kind in ("smd", "edge") and not pad.copper.is_empty


def _box_round(boxes: NDArray[np.float64]) -> Box | None:
    if not len(boxes):
        return None
    least, greatest = boxes[:, :2].min(axis=0).tolist(), boxes[:, 2:].max(axis=0).tolist()
    return least[0], least[1], greatest[0], greatest[1]


def _exposed_pad(boxes: NDArray[np.float64], numbers: NDArray[np.str_], areas: NDArray[np.float64]) -> str | None:
    """Return the number of the land that lies between two rows and is much larger than theirs."""
    if len(boxes) < 5:
        return None
    totals = {str(number): float(areas[numbers == number].sum()) for number in numbers if number}
    if not totals:
        return None
    number = max(sorted(totals), key=lambda key: totals[key])
    own = numbers == number
    if own.all() or totals[number] <= EXPOSED_AREA_RATIO * float(np.median(areas[~own])):
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
    if len(boxes) < 2:
        return False, False
    first = boxes[:, :2] - boxes[:, :2].min(axis=0) < EDGE_TOLERANCE_MM  # (n, 2) bool: at the least x, y
    last = boxes[:, 2:].max(axis=0) - boxes[:, 2:] < EDGE_TOLERANCE_MM
    covered = (first | last).mean(axis=0) >= ROW_SHARE
    faced = covered & (first & ~last).any(axis=0) & (last & ~first).any(axis=0)
    if faced.all():
        return (True, False) if _faces_along_x(boxes) else (False, True)
    if faced.any():
        return bool(faced[0]), bool(faced[1])
    at_edge = (first | last).any(axis=1).mean() >= ROW_SHARE
    all_sides = first.any(axis=0).all() and last.any(axis=0).all()
    quad = bool(at_edge and all_sides and len(boxes) >= 8)
    return quad, quad


def _faces_along_x(boxes: NDArray[np.float64]) -> bool:
    """Decide for two or four lands in the corners: by their length, else by their distance."""
    lengths = boxes[:, 2:] - boxes[:, :2]
    along_x, along_y = lengths.sum(axis=0).tolist()
    if len(boxes) > 2 and max(along_x, along_y) > ROUND_LAND * min(along_x, along_y):
        return bool(along_x > along_y)
    centres = (boxes[:, :2] + boxes[:, 2:]) / 2
    spread_x, spread_y = (centres.max(axis=0) - centres.min(axis=0)).tolist()
    return bool(spread_x >= spread_y)


def _pitch_mm(boxes: NDArray[np.float64]) -> float | None:
    """Return the least distance between the centres of two lands, None for fewer than three."""
    if len(boxes) < 3:
        return None
    centres = (boxes[:, :2] + boxes[:, 2:]) / 2
    nearest = np.asarray(KDTree(centres).query(centres, k=2)[0])[:, 1]
    apart = nearest[nearest > SAME_PLACE_MM]
    return round(float(apart.min()), 4) if len(apart) else None


def _within(boxes: NDArray[np.float64], body: Box) -> bool:
    inside = (boxes[:, :2] >= np.array(body[:2]) - 0.1) & (boxes[:, 2:] <= np.array(body[2:]) + 0.1)
    return bool(inside.all())


def _against_body(read: Lands, body: Box) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
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
