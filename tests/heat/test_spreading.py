"""What a land smaller than its cells resists beyond them."""

import numpy as np
import pytest
import shapely
from scipy.integrate import solve_bvp
from scipy.sparse import csc_array, diags_array
from scipy.sparse.linalg import spsolve

from leeward.board.records import Zone
from leeward.heat.grid import Floats, Resolution
from leeward.heat.model import assemble
from leeward.heat.records import FaceKind
from leeward.heat.spreading import FAR_MM, gaps_mm, ground_mm2, spreading_k_w
from thermal_boards import board, chip, parts, pour, square

FREE_MM2 = 1e9  # ground without an end


def resisted(land: float, cells: float, own: float, sheet_w_k: float, through_w_m2k: float) -> float:
    """Return what one land resists beyond its cells, K/W."""
    (found,) = spreading_k_w(*(np.array([each]) for each in (land, cells, own, sheet_w_k, through_w_m2k)))
    return float(found)


def test_along_a_sheet_alone_it_is_a_logarithm() -> None:
    """With next to no way down, between 1 mm2 and 4 mm2 of a foil of 0.0137 W/K it is ln 2 / (2 pi kt) = 8.05 K/W."""
    assert resisted(1.0, 4.0, FREE_MM2, 0.0137, 1e-3) == pytest.approx(np.log(2) / (2 * np.pi * 0.0137), rel=1e-3)


def test_straight_down_it_goes_by_the_area() -> None:
    """With next to no way along, between 1 mm2 and 4 mm2 over 600 W/m2K it is (1 - 1/4) / 600e-6 = 1250 K/W."""
    assert resisted(1.0, 4.0, FREE_MM2, 1e-12, 600.0) == pytest.approx(1250.0, rel=2e-3)


def test_an_annulus_conducts_as_the_equation_of_fins_says() -> None:
    """On ground that ends at 3 mm2 it is what the fin's differential equation, solved in steps, gives within 0.1 %."""
    shut = [1 / solved_fin_w_k(area_mm2, 3.0, 2.4e-4, 600.0) for area_mm2 in (0.75, 1.5)]
    assert resisted(0.75, 1.5, 3.0, 2.4e-4, 600.0) == pytest.approx(shut[0] - shut[1], rel=1e-3)


def solved_fin_w_k(area_mm2: float, own_mm2: float, sheet_w_k: float, through_w_m2k: float) -> float:
    """Return what a disc at 1 K sends down and along an annulus shut at its rim, by scipy's boundary value solver."""
    r, rim = (np.sqrt(each * 1e-6 / np.pi) for each in (area_mm2, own_mm2))

    def slope(x: Floats, y: Floats) -> Floats:
        return np.vstack([y[1], through_w_m2k / sheet_w_k * y[0] - y[1] / x])

    x = np.linspace(r, rim, 200)
    found = solve_bvp(slope, lambda a, b: np.array([a[0] - 1, b[1]]), x, np.vstack([np.ones(200), np.zeros(200)]))
    return float(through_w_m2k * area_mm2 * 1e-6 - 2 * np.pi * r * sheet_w_k * found.sol(r)[1])


def test_neighbours_leave_less_to_put_back() -> None:
    """The nearer the neighbours, the less ground is a land's own and the less it resists; none where cells fill it."""
    slope = np.array([1.58])
    gaps = [np.array([[s, s, 2 * s, 2 * s]]) for s in (0.5, 1.0, 2.0, 50.0)]
    grounds = [float(ground_mm2([0.75], [0.5], gap, slope)[0]) for gap in gaps]
    assert grounds == sorted(grounds)
    found = [resisted(0.75, 1.5, own, 2.4e-4, 600.0) for own in grounds]
    assert found == sorted(found)
    assert resisted(0.75, 1.5, 0.75, 2.4e-4, 600.0) == 0.0


def test_ground_ends_half_way_to_the_neighbours() -> None:
    """A land of 0.5 x 1.5 mm with gaps of 0.5 mm along and 1.5 mm at its ends has 1 x 3 mm; alone, 3/m each way."""
    found = ground_mm2([0.75], [0.5], np.array([[0.5, 0.5, 1.5, 1.5], [FAR_MM] * 4]), [1.5])
    assert found == pytest.approx([3.0, (0.5 + 4.0) * (1.5 + 4.0)])


def test_gaps_are_those_to_lands_of_the_same_part() -> None:
    """In a row of 0.5 mm lands at 1 mm pitch the gaps are 0.5 and 1.5 mm; a stranger's land beside them is no gap."""
    row = [shapely.box(x, 0, x + 0.5, 1.5) for x in (0.0, 1.0, 2.0, 3.0, 4.0)]
    found = gaps_mm([*row, shapely.box(2.55, 0, 2.6, 1.5)], np.array([0, 0, 0, 0, 0, 1]))
    np.testing.assert_allclose(found[2], [0.5, 0.5, 1.5, 1.5])
    assert (found[5] == FAR_MM).all()
    assert gaps_mm([], np.array([], dtype=np.intp)).shape == (0, 4)


def test_cells_no_wider_than_the_land_spread_nothing() -> None:
    """A land that fills its cells has nothing to put back."""
    assert resisted(1.0, 1.0, FREE_MM2, 0.01, 600.0) == 0.0
    assert resisted(1.0, 0.9, FREE_MM2, 0.01, 600.0) == 0.0


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
