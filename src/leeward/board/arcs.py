"""Arcs and circles as chords, as finely as KiCad draws them.

KiCad's copper areas are those of its chords, so the number of chords follows its rule (KiCad source,
libs/kimath/src/geometry/geometry_utils.cpp, GetArcToSegmentCount): as many as keep the middle of a chord
within `error_mm` of the arc.
"""

from math import acos, atan2, ceil, cos, hypot, pi, radians, sin, sqrt, tau

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from leeward.board.nodes import Points

ERROR_MM = 0.001
FEWEST_PER_CIRCLE = 8
MOST_PER_CURVE = 1024
FLATTEST_MM = 1e10  # an arc of a larger radius is as good as straight, and its points would lose their places


def chords_per_circle(radius_mm: float, error_mm: float) -> int:
    """Return how many chords stand for a full circle, in whole eighths so that 45 degree edges stay sharp."""
    return 8 * ceil(_chords(radius_mm, error_mm, tau) / 8)


def chords_per_quarter(radius_mm: float, error_mm: float = ERROR_MM) -> int:
    """Return the chords of a quarter circle, as shapely's buffer wants them."""
    return chords_per_circle(radius_mm, error_mm) // 4


def _chords(radius_mm: float, error_mm: float, sweep: float) -> int:
    if radius_mm <= error_mm:
        return 2
    step = min(tau / FEWEST_PER_CIRCLE, 2 * acos(1 - error_mm / radius_mm))
    return max(2, round(abs(sweep) / step))


def circle(x: float, y: float, radius_mm: float, error_mm: float = ERROR_MM) -> Points:
    """Return the corners of a circle, shape (n, 2), the first not repeated."""
    angles = np.arange(chords_per_circle(radius_mm, error_mm)) * (tau / chords_per_circle(radius_mm, error_mm))
    return np.column_stack((x + radius_mm * np.cos(angles), y + radius_mm * np.sin(angles)))


def arc(centre: tuple[float, float], start: tuple[float, float], sweep_deg: float) -> Points:
    """Return the chords' ends of an arc that begins at `start`, shape (n, 2).

    `sweep_deg` turns from +x towards +y, so clockwise as drawn (y down).
    """
    radius = hypot(start[0] - centre[0], start[1] - centre[1])
    begin = atan2(start[1] - centre[1], start[0] - centre[0])
    count = _chords(radius, ERROR_MM, radians(sweep_deg))
    angles = begin + np.linspace(0.0, radians(sweep_deg), count + 1)
    return np.column_stack((centre[0] + radius * np.cos(angles), centre[1] + radius * np.sin(angles)))


def arc_through(start: tuple[float, float], mid: tuple[float, float], end: tuple[float, float]) -> Points:
    """Return the chords' ends of the arc over three points; a straight line where they are in line."""
    centre = _centre(start, mid, end)
    if centre is None:
        return np.array([start, end])
    begin, middle, last = (atan2(y - centre[1], x - centre[0]) for x, y in (start, mid, end))
    sweep = (last - begin) % tau
    if (middle - begin) % tau > sweep:
        sweep -= tau
    if start == end:
        sweep = tau
    points = arc(centre, start, sweep * 180 / pi)
    points[-1] = end
    return points


def rounded_box(half_w: float, half_h: float, radius: float) -> BaseGeometry:
    """Return the box round the origin of half sizes `half_w` and `half_h`, which may be zero, grown by `radius`."""
    if half_w > 0 and half_h > 0:
        core = shapely.box(-half_w, -half_h, half_w, half_h)
    elif half_w > 0 or half_h > 0:
        core = shapely.linestrings([(-half_w, -half_h), (half_w, half_h)])
    else:
        core = shapely.points(0.0, 0.0)
    if radius <= 0:
        return core if core.area > 0 else shapely.Polygon()
    return shapely.buffer(core, radius, quad_segs=chords_per_quarter(radius))


def bezier(control: Points) -> Points:
    """Return points along a cubic Bezier curve with four control points, shape (n, 2).

    A curve of degree d lies within d (d - 1) / 8 of n chords, times its largest second difference over n squared
    (Filip, Magedson, Markot: Surface algorithms using bounds on derivatives, 1986; from memory).
    """
    bend = float(np.max(np.hypot(*np.diff(control, n=2, axis=0).T)))
    count = min(MOST_PER_CURVE, max(1, ceil(sqrt(0.75 * bend / ERROR_MM))))
    t = np.linspace(0.0, 1.0, count + 1)[:, None]
    a, b, c, d = control
    points: Points = (1 - t) ** 3 * a + 3 * (1 - t) ** 2 * t * b + 3 * (1 - t) * t**2 * c + t**3 * d
    return points


def turned(points: Points, x_mm: float, y_mm: float, rotation_deg: float) -> Points:
    """Return points of an own frame in the board frame: turned counter-clockwise as drawn, then moved."""
    turn = radians(rotation_deg)
    matrix = np.array([[cos(turn), -sin(turn)], [sin(turn), cos(turn)]])
    moved: Points = points @ matrix + (x_mm, y_mm)
    return moved


def turned_point(x: float, y: float, place: tuple[float, float, float]) -> tuple[float, float]:
    """Return one point of the own frame of something at `place` (x, y, degrees) in the board frame."""
    turn = radians(place[2])
    return place[0] + x * cos(turn) + y * sin(turn), place[1] - x * sin(turn) + y * cos(turn)


def _centre(
    start: tuple[float, float], mid: tuple[float, float], end: tuple[float, float]
) -> tuple[float, float] | None:
    """Return the centre of the circle through three points, None where they are in line."""
    bx, by = mid[0] - start[0], mid[1] - start[1]
    cx, cy = end[0] - start[0], end[1] - start[1]
    if start == end:
        return start[0] + bx / 2, start[1] + by / 2
    cross = 2 * (bx * cy - by * cx)
    if abs(cross) < 1e-9:
        return None
    b, c = bx * bx + by * by, cx * cx + cy * cy
    x, y = (cy * b - by * c) / cross, (bx * c - cx * b) / cross
    return (start[0] + x, start[1] + y) if hypot(x, y) < FLATTEST_MM else None
