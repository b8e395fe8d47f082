"""Marching the network through time."""

import numpy as np
import pytest

from leeward.heat.grid import Resolution
from leeward.heat.loads import no_jet
from leeward.heat.losses import natural_w_m2k, radiation_w_m2k
from leeward.heat.records import ThermalModel
from leeward.heat.stepping import Surroundings, fluxes, room_w_m2k, step_of
from plain_plates import Plate, fields, model_of, surrounded, through

RESOLUTION = Resolution(finest_mm=1.0, coarsest_mm=2.0, growth=1.2, reach_mm=10.0)


def small_plate() -> ThermalModel:
    """Return a plate so thin and conducting that it is at one temperature."""
    return model_of(Plate(10.0, 0.1, 2, 400.0, 400.0, 3.4e6, 4.0, RESOLUTION))


def test_second_order_in_time() -> None:
    """Each halving of the step brings a cooling plate a quarter as far as the one before, within 3.5 to 4.6 times."""
    model = small_plate()
    around = surrounded(
        model,
        flux_w_m2=np.zeros(model.faces.node.size),
        exchange_w_m2k=np.full(model.faces.node.size, 50.0),
        air_c=100.0,
    )
    ends = []
    for steps in (4, 8, 16, 32):
        *_, (_, last) = fields(model, around, 300.0, 8.0, 8.0 / steps)
        ends.append(float(through(model, last)[0]))
    first, second, third = np.diff(ends)
    assert 3.5 < first / second < 4.6
    assert 3.5 < second / third < 4.6


def test_the_room_takes_convection_and_radiation() -> None:
    """In still air a face loses by natural convection and radiation together; under a jet by radiation alone."""
    model = small_plate()
    n = model.faces.node.size
    still = no_jet(model.faces, 25.0)
    around = Surroundings(still, np.zeros(n), 25.0, 25.0, 0.025, np.ones(n))
    warm = np.full(n, 150.0)
    glow = radiation_w_m2k(warm, 25.0, 0.9)
    expected = natural_w_m2k(warm, 25.0, 0.025, faces_up=model.faces.on_top) + glow
    np.testing.assert_allclose(room_w_m2k(around, model.faces, warm), expected)
    lost = fluxes(around, model.faces, warm).to_room_w
    np.testing.assert_allclose(lost, model.faces.area_m2 * expected * 125.0)


def test_steps_fill_the_time() -> None:
    """A stage of 118.5 s at steps of 1 s at most takes 119 equal ones; a short stage takes one."""
    assert step_of(118.5, 1.0) == pytest.approx(118.5 / 119)
    assert step_of(0.4, 1.0) == pytest.approx(0.4)
