"""What a land smaller than the cells that it lies on resists beyond them.

Heat that enters an outer sheet over a disc of radius r leaves it straight down to the next sheet (g a unit area), and
along the sheet (kt) and then down, as from a disc on an annular fin whose rim, at R, lets nothing through:
G(r) = g pi r2 + 2 pi kt m r (K1(mr) I1(mR) - I1(mr) K1(mR)) / (K0(mr) I1(mR) + I0(mr) K1(mR)), m2 = g / kt (Carslaw
and Jaeger 2e sec. 7.2). R is that of the ground which is a land's own: half way to its neighbours, which heat the
sheet from the other side. A coarse cell lets the heat enter over its own area instead; the difference of the two
resistances is put back.
"""

import numpy as np
import shapely
from numpy.typing import ArrayLike
from scipy.spatial import KDTree
from scipy.special import i0e, i1e, k0e, k1e

from leeward.heat.grid import Floats
from leeward.heat.records import Ints

SIDES = 4  # of a land, its long ones first
FAR_MM = 1e6
REACH = 3.0  # 1/m: a fin that is longer takes no more, tanh 3 = 0.995


def gaps_mm(lands: ArrayLike, owner: Ints) -> Floats:
    """Return how far the nearest four lands of the same owner stand from each land, nearest first, mm, (k, 4).

    `lands` are shapely areas, (k,). Where there are fewer the gap is FAR_MM.
    """
    shapes = np.asarray(lands, dtype=object)
    gaps = np.full((shapes.size, SIDES), FAR_MM)
    if shapes.size == 0:
        return gaps
    middles = np.column_stack([shapely.get_coordinates(shapely.centroid(shapes)), FAR_MM * owner])
    found = np.asarray(KDTree(middles).query(middles, SIDES + 1)[1])
    for i in range(SIDES):
        other = np.minimum(found[:, i + 1], shapes.size - 1)
        near = (found[:, i + 1] < shapes.size) & (owner[other] == owner)
        gaps[near, i] = shapely.distance(shapes[near], shapes[other[near]])
    return np.sort(gaps, axis=1)


def ground_mm2(land_mm2: ArrayLike, short_mm: ArrayLike, gaps: Floats, slope_1_mm: ArrayLike) -> Floats:
    """Return the ground that is a land's own, (k,): half way to its neighbours, or as far as the sheet leads heat.

    The nearest two neighbours are taken to stand along the long sides, the next two along the short ones; `slope_1_mm`
    is m.
    """
    land, short, slope = (np.asarray(each, dtype=float) for each in (land_mm2, short_mm, slope_1_mm))
    room = np.minimum(gaps / 2, (REACH / slope)[:, None])
    across, along = room[:, :2].sum(axis=1), room[:, 2:].sum(axis=1)
    ground: Floats = (short + across) * (land / short + along)
    return ground


def spreading_k_w(
    land_mm2: ArrayLike, cells_mm2: ArrayLike, ground: ArrayLike, sheet_w_k: ArrayLike, through_w_m2k: ArrayLike
) -> Floats:
    """Return the resistance between lands and the wider areas that their cells spread their heat over, K/W.

    `ground` mm2 is each land's own, `sheet_w_k` the sheet's conductivity times thickness round a land,
    `through_w_m2k` down to the next sheet.
    """
    land, own, sheet, through = (np.asarray(each, dtype=float) for each in (land_mm2, ground, sheet_w_k, through_w_m2k))
    wide = np.clip(np.asarray(cells_mm2, dtype=float), land, np.maximum(own, land))
    resisted: Floats = 1 / _disc_w_k(land, own, sheet, through) - 1 / _disc_w_k(wide, own, sheet, through)
    return resisted


def _disc_w_k(area_mm2: Floats, ground: Floats, sheet_w_k: Floats, through_w_m2k: Floats) -> Floats:
    slope = np.sqrt(through_w_m2k / sheet_w_k)
    reach, rim = slope * np.sqrt(area_mm2 * 1e-6 / np.pi), slope * np.sqrt(np.maximum(ground, area_mm2) * 1e-6 / np.pi)
    back = np.exp(2 * (reach - rim))  # what the scaled functions leave out
    shut = (k1e(reach) * i1e(rim) - i1e(reach) * k1e(rim) * back) / (
        k0e(reach) * i1e(rim) + i0e(reach) * k1e(rim) * back
    )
    conducted: Floats = through_w_m2k * area_mm2 * 1e-6 + 2 * np.pi * reach * sheet_w_k * shut
    return conducted
