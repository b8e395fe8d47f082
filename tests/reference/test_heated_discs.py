"""Discs on a thin plate with losses, solved by the project's own assembly and stepping, against closed forms.

Carslaw and Jaeger, Conduction of Heat in Solids 2e, sec. 7.2 and appendix III (modified Bessel functions): a thin
plate of sheet conductance kt with loss H to the room, heated over a disc.
"""

from collections.abc import Callable
from functools import cache

import numpy as np
import pytest
import shapely
from scipy.special import i0, i1, k0, k1

from leeward.heat.coverage import fractions
from leeward.heat.grid import Floats, Resolution
from leeward.heat.loads import Jet
from leeward.heat.records import ThermalModel
from leeward.heat.stepping import Surroundings, march
from plain_plates import ROOM_C, Plate, board_where, model_of

SHEET_W_K = 0.0150
THICK_MM = 1.6
RESOLUTION = Resolution(finest_mm=0.25, coarsest_mm=3.0, growth=1.1, reach_mm=130.0)


@cache
def thin_plate() -> ThermalModel:
    """Return a copper-free plate whose in-plane sheet conductance is SHEET_W_K and whose two faces are as one."""
    return model_of(Plate(300.0, THICK_MM, 2, SHEET_W_K / (THICK_MM * 1e-3), 1e3, 2.0e6, 14.0, RESOLUTION))


def settled(
    model: ThermalModel, jet_w_m2k: float, jet_c: float, radius_mm: float, room: Callable[[Floats], Floats]
) -> Floats:
    """Return the steady top sheet (ny, nx): jet over the disc, loss `room(share of the disc)` on each top face."""
    share = disc_share(model, radius_mm)
    jet = Jet(
        outlet_c=jet_c,
        ambient_c=ROOM_C,
        heat_rate_w_k=1e30,  # air without end: nothing for the limiter to do
        vented_up=0.0,
        inside=share > 0,
        h_w_m2k=jet_w_m2k * share,
        decay=np.ones(share.size),
        ring=np.full(share.size, -1),
        validity=(),
    )
    loss = np.where(board_where(model, "top"), room(share), 0.0)
    around = Surroundings(jet, loss, ROOM_C, ROOM_C, model.board_length_m, np.zeros(share.size))
    # Five long implicit steps: the plate's own time is 83 s, so what is left of the start is nothing.
    *_, steady = march(model, around, np.full(model.capacity_j_k.size, ROOM_C), 5e4, 1e4)
    return model.sheet(steady.field, "top")


def disc_share(model: ThermalModel, radius_mm: float) -> Floats:
    """Return the share of each face that lies in the disc, by area; 0 for faces on the bottom."""
    disc = shapely.Point(0, 0).buffer(radius_mm, quad_segs=256)
    per_cell = fractions([disc], model.grid)
    column = np.searchsorted(model.grid.x_edges_mm, model.faces.x_mm) - 1
    row = np.searchsorted(model.grid.y_edges_mm, model.faces.y_mm) - 1
    share: Floats = np.where(board_where(model, "top"), per_cell[row, column], 0.0)
    return share


def along_x(model: ThermalModel, field: Floats, places_mm: list[float]) -> Floats:
    """Return the field on the x axis, the mean of the two rows beside it, by straight lines between cells."""
    middle = np.searchsorted(model.grid.y_edges_mm, 0.0, side="left")
    rows = field[middle - 1 : middle + 1].mean(axis=0)
    found: Floats = np.interp(places_mm, model.grid.x_mm, rows)
    return found


def test_uniform_flux_on_a_disc() -> None:
    """A flux of 2e4 W/m2 on a 5 mm disc, loss 40 W/m2K: 33.212 K in the middle, 1.766 K at 40 mm, within 0.5 %."""
    model = thin_plate()
    weak = 1e-3  # a jet so weak and hot that its flux does not depend on the plate
    field = settled(model, weak, 2e4 / weak + ROOM_C, 5.0, lambda share: np.full(share.size, 40.0))
    places = [0.0, 2.5, 5.0, 7.5, 10.0, 20.0, 40.0]
    found = along_x(model, field, places) - ROOM_C
    np.testing.assert_allclose(found, disc_flux(np.array(places) * 1e-3), rtol=5e-3)
    np.testing.assert_allclose(found, [33.212, 31.265, 25.399, 19.206, 15.089, 6.753, 1.766], rtol=5e-3)


def test_jet_on_a_disc() -> None:
    """A jet of 300 W/m2K and 370 C on a 6.25 mm disc: 177.75 C in the middle, 60.33 C at 20 mm, within 0.5 C."""
    model = thin_plate()
    field = settled(model, 300.0, 370.0, 6.25, lambda share: 15.0 * share + 40.0 * (1 - share))
    places = [0.0, 3.0, 6.25, 10.0, 20.0]
    found = along_x(model, field, places)
    np.testing.assert_allclose(found, disc_jet(np.array(places) * 1e-3), atol=0.5)
    np.testing.assert_allclose(found, [177.75, 169.34, 139.80, 103.93, 60.33], atol=0.5)


def disc_flux(r: Floats) -> Floats:
    """Return the closed form of the uniform-flux disc, K."""
    a, m, plateau = 5e-3, np.sqrt(40.0 / SHEET_W_K), 2e4 / 40.0
    inner = plateau * (1 - m * a * k1(m * a) * i0(m * r))
    outer = plateau * m * a * i1(m * a) * k0(m * np.maximum(r, 1e-6))
    rise: Floats = np.where(r <= a, inner, outer)
    return rise


def disc_jet(r: Floats) -> Floats:
    """Return the closed form of the disc under a jet, C."""
    a, m1, m2 = 6.25e-3, np.sqrt(315.0 / SHEET_W_K), np.sqrt(40.0 / SHEET_W_K)
    plateau = 300.0 * (370.0 - ROOM_C) / 315.0
    b = plateau / (k0(m2 * a) + m2 * k1(m2 * a) * i0(m1 * a) / (m1 * i1(m1 * a)))
    inner = plateau - b * m2 * k1(m2 * a) / (m1 * i1(m1 * a)) * i0(m1 * r)
    celsius: Floats = ROOM_C + np.where(r <= a, inner, b * k0(m2 * np.maximum(r, 1e-6)))
    return celsius


@pytest.mark.parametrize("formula", [disc_flux, disc_jet])
def test_the_closed_forms_join_at_the_rim(formula: Callable[[Floats], Floats]) -> None:
    """Inside and outside forms agree at the disc's rim, so a slip in copying them shows."""
    rim = 5e-3 if formula is disc_flux else 6.25e-3
    inner, outer = formula(np.array([rim - 1e-9, rim + 1e-9]))
    assert inner == pytest.approx(outer, abs=1e-3)
