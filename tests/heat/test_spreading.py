"""What a land smaller than its cells resists beyond them."""

import numpy as np
import pytest
from scipy.sparse import csc_array, diags_array
from scipy.sparse.linalg import spsolve

from leeward.board.records import Zone
from leeward.heat.grid import Resolution
from leeward.heat.model import assemble
from leeward.heat.records import FaceKind
from leeward.heat.spreading import spreading_k_w
from thermal_boards import board, chip, parts, pour, square


def test_along_a_sheet_alone_it_is_a_logarithm() -> None:
    """With next to no way down, between 1 mm2 and 4 mm2 of a foil of 0.0137 W/K it is ln 2 / (2 pi kt) = 8.05 K/W."""
    assert float(spreading_k_w(1.0, 4.0, 0.0137, 1e-3)) == pytest.approx(np.log(2) / (2 * np.pi * 0.0137), rel=1e-3)


def test_straight_down_it_goes_by_the_area() -> None:
    """With next to no way along, between 1 mm2 and 4 mm2 over 600 W/m2K it is (1 - 1/4) / 600e-6 = 1250 K/W."""
    assert float(spreading_k_w(1.0, 4.0, 1e-12, 600.0)) == pytest.approx(1250.0, rel=1e-3)


def test_cells_no_wider_than_the_land_spread_nothing() -> None:
    """A land that fills its cells has nothing to put back."""
    assert spreading_k_w(1.0, 1.0, 0.01, 600.0) == 0.0
    assert spreading_k_w(1.0, 0.9, 0.01, 600.0) == 0.0


@pytest.mark.parametrize("zones", [(), (pour("F.Cu", square(0, 0, 20.0)),)])
def test_a_joint_hardly_depends_on_the_cells(zones: tuple[Zone, ...]) -> None:
    """Cells of 0.1, 0.5 and 1 mm give what a 0.64 mm2 land and its chip resist to the air below within 8 %."""
    found = [to_the_air_below_k_w(zones, cell_mm) for cell_mm in (0.1, 0.5, 1.0)]
    assert found == pytest.approx([found[0]] * 3, rel=0.08)


def to_the_air_below_k_w(zones: tuple[Zone, ...], cell_mm: float) -> float:
    """Return how much warmer a chip is than the air below a board, for each watt into it."""
    target = chip("C1", 0.13, 0.07)
    plain = board(square(0, 0, 20.0), footprints=(target.footprint,), zones=zones)
    model = assemble(plain, parts(target), target, Resolution(cell_mm, max(cell_mm, 0.5), 1.2, 40.0))
    faces = model.faces
    wet = faces.facing("bottom") & (faces.kind == FaceKind.BOARD)
    exchange = np.bincount(faces.node, faces.area_m2 * np.where(wet, 2000.0, 0.0), minlength=model.capacity_j_k.size)
    power = np.zeros(model.capacity_j_k.size)
    power[model.bodies[target.id].core] = 1.0
    rise = spsolve(csc_array(model.conductance_w_k + diags_array(exchange)), power)
    return float(rise[model.bodies[target.id].core])
