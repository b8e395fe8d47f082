"""Areas of rings that cross or touch themselves, as KiCad counts them."""

from collections.abc import Sequence
from math import pi

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from leeward.board.arcs import chords_per_quarter
from leeward.board.nodes import UnreadableError

LOST_MM2 = 1e-6
TANGLED_LENGTH, TANGLED_EDGE = 250, 0.05  # shares of the box's diagonal
TOO_MANY_TO_LOOK_AT = 20_000


def mended(areas: Sequence[BaseGeometry], pen_mm: float = 0.0) -> NDArray[np.object_]:
    """Return each polygon made valid, its edge drawn with a round pen; shape (n,).

    What a ring winds round is inside, in whichever sense it does: so does KiCad 6's SHAPE_POLY_SET.Simplify.
    Growing does the same in half the time, but drops what winds the other way round; then the area differs from
    the ring's own by more than the pen can add. Raises UnreadableError where a ring is a tangle.
    """
    written, radius = np.array(areas, dtype=object), pen_mm / 2
    _refuse_tangles(written)
    made = _grown(written, radius)
    least = shapely.area(written)
    most = least + shapely.length(written) * radius + pi * radius**2
    crossed = (shapely.area(made) < least - LOST_MM2) | (shapely.area(made) > most + LOST_MM2)
    made[crossed] = _grown(shapely.make_valid(written[crossed], method="structure", keep_collapsed=False), radius)
    return made


def apart(areas: NDArray[np.object_]) -> BaseGeometry:
    """Return valid polygons as one area; where they overlap, which KiCad's own fills never do, they are joined.

    Fills of very many points are no work of the hand and are taken as they are: looking at them takes as long as
    a tenth of all reading.
    """
    parts = shapely.get_parts(areas)
    together: BaseGeometry = shapely.multipolygons(parts[~shapely.is_empty(parts)])
    if len(parts) < 2 or shapely.get_num_coordinates(together) > TOO_MANY_TO_LOOK_AT or shapely.is_valid(together):
        return together
    whole: BaseGeometry = shapely.union_all(parts)
    return whole


def joined(areas: NDArray[np.object_]) -> BaseGeometry:
    """Return valid polygons as one area; only those that touch another are put together, which is the slow part."""
    parts = shapely.get_parts(areas)
    parts = parts[~shapely.is_empty(parts)]
    one, other = shapely.STRtree(parts).query(parts, predicate="intersects")
    touching = np.unique(one[one != other])
    together = shapely.get_parts(shapely.union_all(parts[touching]))
    area: BaseGeometry = shapely.multipolygons(np.concatenate([np.delete(parts, touching), together]))
    return area


def _refuse_tangles(written: NDArray[np.object_]) -> None:
    """Raise UnreadableError where so many long edges cross that finding the crossings could take hours.

    Fills of real boards are up to 83 times as long as the box round them is wide, their edges a sixtieth of it.
    """
    left, top, right, bottom = shapely.bounds(written).T
    across, around = np.hypot(right - left, bottom - top), shapely.length(written)
    corners = shapely.get_num_coordinates(written)
    if np.any((around > TANGLED_LENGTH * across) & (around > TANGLED_EDGE * across * corners)):
        raise UnreadableError("a polygon crosses itself all over")


def _grown(areas: NDArray[np.object_], radius: float) -> NDArray[np.object_]:
    found: NDArray[np.object_] = shapely.buffer(areas, radius, quad_segs=chords_per_quarter(radius))
    return found
