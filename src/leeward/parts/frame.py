"""Between the board's frame and a part's own frame.

A part's frame has the footprint's place as origin and its axes turned with the footprint; y points down.
Bottom parts are seen through the board in both frames, so sizes carry over.
"""

import math
from typing import TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from leeward.board.records import Footprint

Box: TypeAlias = tuple[float, float, float, float]  # least x, least y, greatest x, greatest y, mm


def boxes_in_part_frame(geometries: list[BaseGeometry], footprint: Footprint) -> NDArray[np.float64]:
    """Return (n, 4) float, mm, part frame: the box of each geometry, NaN where one is empty."""
    if footprint.rotation_deg % 90.0 == 0.0:
        return _boxes_turned(shapely.bounds(np.array(geometries, dtype=object)), footprint)
    turn = math.radians(footprint.rotation_deg)
    turned = shapely.transform(
        np.array(geometries, dtype=object),
        lambda xy: _turned(xy - (footprint.x_mm, footprint.y_mm), turn),
    )
    return np.asarray(shapely.bounds(turned), dtype=float).reshape(-1, 4)


def _boxes_turned(boxes: NDArray[np.float64], footprint: Footprint) -> NDArray[np.float64]:
    """Return (n, 4) boxes of the board's frame in the part's frame, for quarter turns; boxes then stay boxes."""
    place = np.array([footprint.x_mm, footprint.y_mm] * 2)
    moved: NDArray[np.float64] = boxes - place
    quarters = round(footprint.rotation_deg / 90.0) % 4
    sources = ((0, 1, 2, 3), (3, 0, 1, 2), (2, 3, 0, 1), (1, 2, 3, 0))[quarters]
    signs = ((1, 1, 1, 1), (-1, 1, -1, 1), (-1, -1, -1, -1), (1, -1, 1, -1))[quarters]
    return moved[:, sources] * signs


def box_in_part_frame(geometry: BaseGeometry, footprint: Footprint) -> Box:
    """Return the box of one geometry that is not empty, mm, part frame."""
    if footprint.rotation_deg % 90.0 == 0.0:
        return _box_turned(geometry.bounds, footprint)
    least_x, least_y, greatest_x, greatest_y = boxes_in_part_frame([geometry], footprint)[0].tolist()
    return least_x, least_y, greatest_x, greatest_y


def _box_turned(box: Box, footprint: Footprint) -> Box:
    """Return one box as `_boxes_turned` does many, several times as fast."""
    left, top = box[0] - footprint.x_mm, box[1] - footprint.y_mm
    right, bottom = box[2] - footprint.x_mm, box[3] - footprint.y_mm
    quarters = round(footprint.rotation_deg / 90.0) % 4
    if quarters == 0:
        return left, top, right, bottom
    if quarters == 1:
        return -bottom, left, -top, right
    return (-right, -bottom, -left, -top) if quarters == 2 else (top, -right, bottom, -left)


def box_on_board(box: Box, footprint: Footprint) -> BaseGeometry:
    """Return a box of the part's frame as a polygon in the board's frame."""
    turn = -math.radians(footprint.rotation_deg)
    place = np.array([footprint.x_mm, footprint.y_mm])
    return shapely.transform(shapely.box(*box), lambda xy: _turned(xy, turn) + place)


def size(box: Box) -> tuple[float, float]:
    """Return a box's extents along x and y, mm."""
    return box[2] - box[0], box[3] - box[1]


def centred(centre: tuple[float, float], extents: tuple[float, float]) -> Box:
    """Return the box of the given extents round a centre, mm."""
    half_x, half_y = extents[0] / 2, extents[1] / 2
    return centre[0] - half_x, centre[1] - half_y, centre[0] + half_x, centre[1] + half_y


def centre(box: Box) -> tuple[float, float]:
    """Return the middle of a box, mm."""
    return (box[0] + box[2]) / 2, (box[1] + box[3]) / 2


def grown(box: Box, along_x_mm: float, along_y_mm: float) -> Box:
    """Return a box with each side moved out, or in where negative; never turned inside out."""
    extents = size(box)
    return centred(centre(box), (max(extents[0] + 2 * along_x_mm, 0.0), max(extents[1] + 2 * along_y_mm, 0.0)))


def _turned(xy: NDArray[np.float64], angle: float) -> NDArray[np.float64]:
    cosine, sine = math.cos(angle), math.sin(angle)
    turn: NDArray[np.float64] = np.array([[cosine, sine], [-sine, cosine]])
    turned: NDArray[np.float64] = np.matmul(xy, turn)
    return turned
