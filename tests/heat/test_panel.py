"""Boards of one panel share no heat through the air between them."""

import numpy as np
import pytest
import shapely
from scipy.sparse.linalg import spsolve
from shapely.geometry.base import BaseGeometry

from leeward.heat.model import assemble
from thermal_boards import board, parts, pour, quad


def conducted_w_k(outline: BaseGeometry, left_mm: float, right_mm: float) -> float:
    """Return what flows per kelvin from where x is below `left_mm` to where it is above `right_mm`.

    Copper covers top and bottom all over, also where there is no board.
    """
    everywhere = shapely.box(-100, -100, 100, 100)
    plain = board(outline, zones=(pour("F.Cu", everywhere), pour("B.Cu", everywhere)))
    target = quad("U1", -10, 0, 7.0)
    model = assemble(plain, parts(target), target)
    held = model.column >= 0
    x = np.broadcast_to(model.grid.x_mm, model.grid.shape)[held]
    nodes = model.conductance_w_k.shape[0]
    where = np.full(nodes, np.nan)
    where[: x.size * len(model.stack.sheets)] = np.tile(x, len(model.stack.sheets))
    hot, cold = where < left_mm, where > right_mm
    free = ~(hot | cold)
    matrix = model.conductance_w_k.tocsc()
    field = np.where(hot, 1.0, 0.0)
    field[free] = spsolve(matrix[free][:, free], -(matrix[free] @ field))
    return float(np.sum((matrix @ field)[hot]))


@pytest.mark.parametrize("gap_mm", [0.3, 2.0, 5.0])  # a routed gap is commonly 2 mm wide (common practice, no source)
@pytest.mark.parametrize("from_mm", [-2.0, 3.0, 7.1, 11.3, 13.0])
def test_no_heat_crosses_the_gap(gap_mm: float, from_mm: float) -> None:
    """Wherever a routed gap falls in the grid, less than a thousandth of what a whole board conducts crosses it."""
    left, right = shapely.box(-30, -15, from_mm, 15), shapely.box(from_mm + gap_mm, -15, 30, 15)
    limits = (from_mm - 1.0, from_mm + gap_mm + 1.0)
    whole = conducted_w_k(shapely.box(-30, -15, 30, 15), *limits)
    assert whole > 1e-3
    assert conducted_w_k(shapely.union_all([left, right]), *limits) < 1e-3 * whole
