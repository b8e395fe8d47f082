"""What a land smaller than the cells that it lies on resists beyond them.

Heat that enters an outer sheet over a disc of radius r leaves it along the sheet (kt) and down to the next (g a unit
area), as from a disc on a fin: G(r) = g pi r2 + 2 pi r kt m K1(m r) / K0(m r), m2 = g / kt (Carslaw and Jaeger 2e
sec. 7.2). A coarse cell lets it enter over its own area instead; the difference of the two resistances is put back.
"""

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import k0e, k1e

from leeward.heat.grid import Floats


def spreading_k_w(land_mm2: ArrayLike, cells_mm2: ArrayLike, sheet_w_k: ArrayLike, through_w_m2k: ArrayLike) -> Floats:
    """Return the resistance between lands and the wider areas that their cells spread their heat over, K/W.

    `sheet_w_k` is the sheet's conductivity times thickness round a land, `through_w_m2k` down to the next sheet.
    """
    land, sheet, through = (np.asarray(each, dtype=float) for each in (land_mm2, sheet_w_k, through_w_m2k))
    wide = np.maximum(np.asarray(cells_mm2, dtype=float), land)
    resisted: Floats = 1 / _disc_w_k(land, sheet, through) - 1 / _disc_w_k(wide, sheet, through)
    return resisted


def _disc_w_k(area_mm2: Floats, sheet_w_k: Floats, through_w_m2k: Floats) -> Floats:
    area_m2, slope = area_mm2 * 1e-6, np.sqrt(through_w_m2k / sheet_w_k)
    reach = slope * np.sqrt(area_m2 / np.pi)
    conducted: Floats = through_w_m2k * area_m2 + 2 * np.pi * reach * sheet_w_k * k1e(reach) / k0e(reach)
    return conducted
