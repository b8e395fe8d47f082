"""Plane sections and fins through the project's own assembly and stepping, against published benchmarks.

A section lies in the board's x and in its thickness. Lengths are scaled to a board's, and coefficients with them, so
that h L / k is the benchmark's own.
"""

from functools import cache

import numpy as np
import pytest
from scipy.optimize import brentq

from leeward.heat.grid import Floats, Resolution
from leeward.heat.records import FaceKind, ThermalModel
from leeward.heat.stepping import Surroundings, march
from plain_plates import Plate, between, board_where, fields, model_of, rim_where, surrounded

HELD_W_M2K = 1e12  # an exchange that holds a surface at its air's temperature


def even(cell_mm: float) -> Resolution:
    """Return cells of one size throughout."""
    return Resolution(finest_mm=cell_mm, coarsest_mm=cell_mm, growth=1.0, reach_mm=1e3)


def at_rest(model: ThermalModel, around: Surroundings, start_c: float = 0.0) -> Floats:
    """Return the steady nodal field: a few implicit steps that are long against anything in the plate."""
    *_, last = march(model, around, np.full(model.capacity_j_k.size, start_c), 5e6, 1e6)
    return last.field


def section(model: ThermalModel, field: Floats) -> Floats:
    """Return the field over the thickness and x, (sheets, nx), top first; the plate is one cell wide."""
    return field[: len(model.stack.sheets) * model.columns].reshape(len(model.stack.sheets), -1)


def test_orthotropic_bar_in_time() -> None:
    """A bar of k 20 by 3.6036 cools from 500 F for 3 s: 462.2, 151.0, 285.2, 199.8 F (Schneider 10-7, VM113), 0.5 %.

    The exact answer is the product of two slabs' series; Ansys' targets, read from a chart, are 459, 151, 279, 202.
    """
    long_mm, thick_mm, heat = 4.0, 2.0, 1.0e6
    # Fo and Bi of the half lengths 2 and 1 in: k t / (rho c L2) and h L / k.
    fourier, biot_x = 20 * (3 / 3600) / (400 * 0.009009) * 144 / 4, 240 * (2 / 12) / 20
    h, seconds = biot_x * 20 / (long_mm * 1e-3), fourier * heat * (long_mm * 1e-3) ** 2 / 20
    model = model_of(Plate(long_mm, thick_mm, 41, 20.0, 3.6036, heat, long_mm, even(0.05), wide_mm=0.05))
    open_ = board_where(model, "top") | rim_where(model, "right")
    around = surrounded(model, flux_w_m2=np.zeros(open_.size), exchange_w_m2k=np.where(open_, h, 0.0), air_c=100.0)
    *_, (_, last) = fields(model, around, 500.0, seconds, seconds / 200)
    top = last[model.faces.node[rim_where(model, "right")]]  # the corner's surface is of the rim, top sheet first
    found = section(model, last)
    # The middle of the bar is at the left and below; its cells' centres are half a cell from the plane of symmetry.
    seen = [found[-1, 0], top[0], top[-1], found[0, 0]]
    exact = [product(fourier, biot_x, x, z) for x, z in ((0.00625, 0.0), (1.0, 1.0), (1.0, 0.0), (0.00625, 1.0))]
    np.testing.assert_allclose(seen, exact, rtol=5e-3)
    printed = [462.2, 151.0, 285.2, 199.8]
    np.testing.assert_allclose(
        [product(fourier, biot_x, x, z) for x, z in ((0, 0), (1, 1), (1, 0), (0, 1))], printed, atol=0.06
    )
    np.testing.assert_allclose(seen, printed, rtol=5e-3)


def product(fourier_x: float, biot_x: float, x: float, z: float) -> float:
    """Return the bar's exact temperature, F, at shares of its half lengths (Incropera 5.5, product solution)."""
    fourier_z, biot_z = fourier_x * 3.6036 / 20 * 4, biot_x * 20 / 3.6036 / 2
    return 100.0 + 400.0 * slab(fourier_x, biot_x, x) * slab(fourier_z, biot_z, z)


def slab(fourier: float, biot: float, x: float) -> float:
    """Return the series of one slab: sum 4 sin z / (2 z + sin 2 z) exp(-z2 Fo) cos(z x), z tan z = Bi."""
    theta = 0.0
    for n in range(30):
        z = brentq(lambda z: z * np.tan(z) - biot, n * np.pi + 1e-9, (n + 0.5) * np.pi - 1e-9)
        theta += 4 * np.sin(z) / (2 * z + np.sin(2 * z)) * np.exp(-(z**2) * fourier) * np.cos(z * x)
    return float(theta)


def fin(thick_mm: float, long_mm: float, k: float, *, wide_mm: float = 0.5) -> ThermalModel:
    """Return a fin along x whose temperature is one over its section."""
    return model_of(Plate(long_mm, thick_mm, 2, k, 1e5, 1e6, long_mm, even(long_mm / 80), wide_mm=wide_mm))


def test_fin_that_loses_heat_at_its_tip() -> None:
    """Kreith 2-13 (VM97): k 15, h 15, 1 by 4 in, 1100 F on 100 F: tip 416.5 F, 5822.4 Btu/h a foot, exact; 0.1 %."""
    thick_mm, long_mm, k = 0.5, 2.0, 15.0
    model, h = fin(thick_mm, long_mm, k), 15 * (1 / 12) / 15 * k / (thick_mm * 1e-3)
    left, right = rim_where(model, "left"), rim_where(model, "right")
    wet = (model.faces.kind == FaceKind.BOARD) | right
    around = between(
        model,
        hot_w_m2k=np.where(left, HELD_W_M2K, 0.0),
        hot_c=1100.0,
        cold_w_m2k=np.where(wet, h, 0.0),
        cold_c=100.0,
    )
    *_, last = march(model, around, np.full(model.capacity_j_k.size, 100.0), 5e6, 1e6)
    assert last.field[model.faces.node[right]].mean() == pytest.approx(416.5, rel=1e-3)
    per_metre_k = last.flux.from_air_w.sum() / 0.5e-3 / 1000.0
    assert per_metre_k / k == pytest.approx(5822.4 / 1000.0 / 15.0, rel=1e-3)


def test_fin_with_an_insulated_tip() -> None:
    """Ansys VM95: k 25, h 1, 1 by 1 by 8 in, 100 F on 0 F: tip 68.594 F, 17.504 Btu/h; within 0.05 %."""
    side_mm, long_mm, k = 0.5, 4.0, 25.0
    model, h = fin(side_mm, long_mm, k, wide_mm=side_mm), 1 * (1 / 12) / 25 * k / (side_mm * 1e-3)
    left, right = rim_where(model, "left"), rim_where(model, "right")
    sides = rim_where(model, "near") | rim_where(model, "far") | (model.faces.kind == FaceKind.BOARD)
    around = between(
        model,
        hot_w_m2k=np.where(left, HELD_W_M2K, 0.0),
        hot_c=100.0,
        cold_w_m2k=np.where(sides, h, 0.0),
        cold_c=0.0,
    )
    *_, last = march(model, around, np.zeros(model.capacity_j_k.size), 5e6, 1e6)
    assert last.field[model.faces.node[right]].mean() == pytest.approx(68.594, rel=5e-4)
    # Heat goes as k, length and temperature: a foot of k 25 against a section of 0.5 mm.
    assert last.flux.from_air_w.sum() / (k * side_mm * 1e-3 * 100.0) == pytest.approx(
        17.504 / (25 * (1 / 12) * 100.0), rel=5e-4
    )


def test_turbine_blade() -> None:
    """Incropera 7e 3.116: h 250, P 0.11 m, k 20, A 6e-4 m2, L 50 mm, 300 C on 1200 C: tip 1037 C, -508 W, to a unit."""
    thick_mm, long_mm, k = 0.5, 5.0, 20.0
    model = fin(thick_mm, long_mm, k)
    # m L of the blade, from two faces: 2 h' / (k t) = h P / (k A), at a tenth of the length.
    h = 250 * 0.11 / 6e-4 * (50.0 / long_mm) ** 2 * thick_mm * 1e-3 / 2
    left, right = rim_where(model, "left"), rim_where(model, "right")
    around = between(
        model,
        hot_w_m2k=np.where(model.faces.kind == FaceKind.BOARD, h, 0.0),
        hot_c=1200.0,
        cold_w_m2k=np.where(left, HELD_W_M2K, 0.0),
        cold_c=300.0,
    )
    *_, last = march(model, around, np.full(model.capacity_j_k.size, 300.0), 5e6, 1e6)
    assert last.field[model.faces.node[right]].mean() == pytest.approx(1037.0, abs=1.0)
    per_area_w_m2 = last.flux.from_heater_w.sum() / (thick_mm * 0.5e-6)
    assert per_area_w_m2 * (long_mm / 50.0) * 6e-4 == pytest.approx(-508.0, abs=1.0)


@cache
def nafems_t4(cells: int) -> float:
    """Return the temperature at the point of NAFEMS T4 with so many cells to 0.2 m."""
    scale = 0.01  # 10 mm of board for a metre
    model = model_of(Plate(6.0, 10.0, 5 * cells + 1, 52.0, 52.0, 1e6, 6.0, even(2.0 / cells), wide_mm=2.0 / cells))
    right = rim_where(model, "right")
    around = between(
        model,
        hot_w_m2k=np.where(board_where(model, "bottom"), HELD_W_M2K, 0.0),
        hot_c=100.0,
        cold_w_m2k=np.where(board_where(model, "top") | right, 750.0 / scale, 0.0),
        cold_c=0.0,
    )
    surface = at_rest(model, around)[model.faces.node[right]]
    return float(surface[-1 - cells])


def test_nafems_t4() -> None:
    """NAFEMS T4: 0.6 by 1 m, k 52, foot 100 C, two sides h 750 to 0 C: T(0.6, 0.2) is 18.2538 C (series), 0.02 C.

    Published as 18.25 (FeenoX, code_aster and Wolfram verification manuals).
    """
    assert nafems_t4(40) == pytest.approx(18.2538, abs=0.02)


def test_second_order_in_space() -> None:
    """On NAFEMS T4 with 5 to 40 cells to 0.2 m the error falls with the size of a cell to the power 2, within 0.1."""
    cells = np.array([5, 10, 20, 40])
    error = np.abs([nafems_t4(n) - 18.2538 for n in cells.tolist()])
    order = -np.polyfit(np.log(cells), np.log(error), 1)[0]
    assert order == pytest.approx(2.0, abs=0.1)
