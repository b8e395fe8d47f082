"""Transient conduction through the project's own assembly and stepping, against closed solutions."""

from functools import cache

import numpy as np
import pytest
from scipy.optimize import brentq
from scipy.special import erfc, k0

from leeward.heat.grid import Floats, Resolution
from leeward.heat.records import FaceKind, ThermalModel
from leeward.heat.stepping import Surroundings, march
from plain_plates import ROOM_C, Plate, board_where, fields, model_of, surrounded, through

SMALL = Resolution(finest_mm=1.0, coarsest_mm=2.0, growth=1.2, reach_mm=10.0)
ONE_CELL = Resolution(finest_mm=4.0, coarsest_mm=4.0, growth=1.0, reach_mm=10.0)
WIDE = Resolution(finest_mm=0.25, coarsest_mm=3.0, growth=1.15, reach_mm=100.0)


def top(model: ThermalModel, value: float) -> Floats:
    """Return a value on the top faces of the board and nothing elsewhere, (m,)."""
    return np.where(board_where(model, "top"), value, 0.0)


def test_lumped_cooling() -> None:
    """A thin plate in a stream cools as exp(-h A t / C): 193.89, 128.00, 109.71 F (Kreith 4-1, Ansys VM109), 0.05 F."""
    model = model_of(Plate(10.0, 0.1, 2, 400.0, 400.0, 3.4e6, 4.0, SMALL))
    rate_per_h = 2.0 * 0.0081812 / 2.7046e-4
    both_w_m2k = 50.0
    # The plate's own hour, so that h A t / C is the example's.
    hour_s = rate_per_h * 3.4e6 * 0.1e-3 / (2 * both_w_m2k)
    around = surrounded(
        model,
        flux_w_m2=top(model, 0.0),
        exchange_w_m2k=np.where(model.faces.kind == FaceKind.EDGE, 0.0, both_w_m2k),
        air_c=100.0,
    )
    step_s = 0.0005 * hour_s
    history = {round(t / hour_s, 4): field for t, field in fields(model, around, 300.0, 0.05 * hour_s, step_s)}
    for hours, fahrenheit in ((0.0125, 193.89), (0.0325, 128.00), (0.05, 109.71)):
        assert through(model, history[hours])[0] == pytest.approx(fahrenheit, abs=0.05)


def test_flux_into_a_deep_body() -> None:
    """Flux 2e4 W/m2 into a half space, k 0.30, rho c 2.09e6: its surface is 28.50, 63.73, 90.13 K warmer, within 0.5 %.

    Carslaw and Jaeger 2e sec. 2.9: theta = (q/k) (2 sqrt(a t / pi) exp(-x2 / 4 a t) - x erfc(x / 2 sqrt(a t))).
    """
    depth_mm, sheets = 12.0, 121
    model = model_of(Plate(4.0, depth_mm, sheets, 0.30, 0.30, 2.09e6, 4.0, ONE_CELL))
    around = surrounded(model, flux_w_m2=top(model, 2e4), exchange_w_m2k=top(model, 0.0))
    history = dict(fields(model, around, ROOM_C, 10.0, 0.125))
    x = np.linspace(0, depth_mm * 1e-3, sheets)
    spread = 0.30 / 2.09e6
    for seconds, surface in ((1.0, 28.50), (5.0, 63.73), (10.0, 90.13)):
        found = through(model, history[seconds]) - ROOM_C
        root = 2 * np.sqrt(spread * seconds)
        exact = 2e4 / 0.30 * (root / np.sqrt(np.pi) * np.exp(-((x / root) ** 2)) - x * erfc(x / root))
        assert found[0] == pytest.approx(surface, rel=5e-3)
        np.testing.assert_allclose(found, exact, atol=0.3)


def test_slab_heated_on_one_face() -> None:
    """Kreith ex. 4-4 (Ansys VM110), exact series: 510.2, 552.6, 677.1, 875.8, 1134.4, 1432.6 F; Q 21228 Btu/ft2.

    The heat taken in is told as its share of 43200 Btu/ft2, what the slab could take; temperatures within 0.3 F.
    """
    depth_mm, sheets, k, heat = 20.0, 101, 0.30, 2.0e6
    biot, fourier = 5.0 * 1.0 / 0.54, 0.54 * 14.5 / (144 * 0.20)
    model = model_of(Plate(4.0, depth_mm, sheets, k, k, heat, 4.0, ONE_CELL))
    seconds = fourier * heat * (depth_mm * 1e-3) ** 2 / k
    around = surrounded(
        model,
        flux_w_m2=top(model, 0.0),
        exchange_w_m2k=top(model, biot * k / (depth_mm * 1e-3)),
        air_c=1600.0,
    )
    steps = list(march(model, around, np.full(model.capacity_j_k.size, 100.0), seconds, seconds / 200))
    from_far_face = through(model, steps[-1].field)[::-1]
    found = from_far_face[:: (sheets - 1) // 5]
    np.testing.assert_allclose(found, slab_series(biot, fourier, np.linspace(0, 1, 6)), atol=0.3)
    np.testing.assert_allclose(found, [510.2, 552.6, 677.1, 875.8, 1134.4, 1432.6], atol=0.3)
    taken_j = sum(step.flux.from_heater_w.sum() for step in steps) * seconds / 200
    assert taken_j / (heat * depth_mm * 16e-9 * 1500.0) == pytest.approx(21228 / 43200, rel=1e-3)


def slab_series(biot: float, fourier: float, x: Floats) -> Floats:
    """Return the slab's series, F: sum 4 sin z / (2 z + sin 2 z) exp(-z2 Fo) cos(z x), z tan z = Bi (Incropera 5.5)."""
    theta = np.zeros_like(x)
    for n in range(20):
        z = brentq(lambda z: z * np.tan(z) - biot, n * np.pi + 1e-9, (n + 0.5) * np.pi - 1e-9)
        theta += 4 * np.sin(z) / (2 * z + np.sin(2 * z)) * np.exp(-(z**2) * fourier) * np.cos(z * x)
    return 1600.0 - 1500.0 * theta


@pytest.mark.parametrize(("u", "ratio", "well"), [(0.01, 0.1, 3.81502), (0.1, 0.5, 1.44220), (1.0, 1.0, 0.185475)])
def test_point_source_in_time(u: float, ratio: float, well: float) -> None:
    """A point source on a plate with losses is the leaky well: theta = P W(u, m r) / (4 pi kt), Hantush, within 1 %."""
    sheet_w_k, loss_w_m2k, heat_j_m2k = 0.0150, 40.0, 2.0e6 * 1.6e-3
    model, around, power_w = point_source(sheet_w_k, loss_w_m2k)
    r_m = ratio / np.sqrt(loss_w_m2k / sheet_w_k)
    seconds = r_m**2 / (4 * sheet_w_k / heat_j_m2k * u)
    *_, (_, field) = fields(model, around, ROOM_C, seconds, seconds / 50)
    assert rise_at(model, field, r_m * 1e3) == pytest.approx(power_w * well / (4 * np.pi * sheet_w_k), rel=0.01)


def test_point_source_at_rest() -> None:
    """Left alone the same source settles at theta = P K0(m r) / (2 pi kt) (Carslaw and Jaeger 2e), within 1 %."""
    model, around, power_w = point_source(0.0150, 40.0)
    *_, (_, field) = fields(model, around, ROOM_C, 5e4, 1e4)
    for r_mm in (5.0, 10.0, 20.0, 40.0):
        exact = power_w / (2 * np.pi * 0.0150) * k0(np.sqrt(40.0 / 0.0150) * r_mm * 1e-3)
        assert rise_at(model, field, r_mm) == pytest.approx(exact, rel=0.01)


@cache
def point_source(sheet_w_k: float, loss_w_m2k: float) -> tuple[ThermalModel, Surroundings, float]:
    """Return a thin plate heated in the cells round its middle, its surroundings, and the power, W."""
    model = model_of(Plate(210.0, 1.6, 2, sheet_w_k / 1.6e-3, 1e3, 2.0e6, 4.0, WIDE))
    near = (
        board_where(model, "top") & (np.hypot(model.faces.x_mm, model.faces.y_mm) < 0.2) & (model.faces.area_m2 > 1e-8)
    )
    flux = np.where(near, 1e6, 0.0)
    around = surrounded(model, flux_w_m2=flux, exchange_w_m2k=top(model, loss_w_m2k))
    return model, around, float((flux * model.faces.area_m2).sum())


def rise_at(model: ThermalModel, field: Floats, r_mm: float) -> float:
    """Return the rise over the room at a distance, by straight lines of its logarithm between cells."""
    places_mm, celsius = on_axis(model, field)
    return float(np.exp(np.interp(r_mm, places_mm, np.log(celsius - ROOM_C))))


def on_axis(model: ThermalModel, field: Floats) -> tuple[Floats, Floats]:
    """Return places and temperatures along x, the mean of the two rows beside the axis, at their distance from it."""
    middle = int(np.searchsorted(model.grid.y_edges_mm, 0.0))
    rows = model.sheet(field, "top")[middle - 1 : middle + 1].mean(axis=0)
    right = model.grid.x_mm > 0
    return np.hypot(model.grid.x_mm[right], model.grid.y_mm[middle]), rows[right]
