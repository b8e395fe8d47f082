"""Jet and loss correlations against published sets and tables."""

import numpy as np
import pytest

from leeward.heat.air import air
from leeward.heat.impingement import CORE, Round, round_average, round_local, slot_average
from leeward.heat.losses import natural_w_m2k, radiation_w_m2k


@pytest.mark.parametrize(("reynolds", "nusselt"), [(1e5, 170.22), (4e5, 462.25)])
def test_round_jet_of_the_fire_dynamics_verification_set(reynolds: float, nusselt: float) -> None:
    """Martin's average at r = 5 D, H = 5 D, Pr 0.71: inputs of NIST's FDS verification case impinging_jet."""
    assert float(round_average(Round(reynolds, 0.71, 5.0), 5.0)) == pytest.approx(nusselt, abs=0.005)


def test_round_jet_of_a_course_exercise() -> None:
    """D 1 mm, H 5 mm, r 2.5 mm, 70 m/s, 500 C on 25 C: Nu 17.651, h 774.9 (inputs: thermoToolKit exercise 11.5).

    A test of the formula alone: the Reynolds number is under Martin's range.
    """
    density, viscosity, conductivity, prandtl = 0.6329, 288.4e-7, 0.0439, 0.683
    reynolds = density * 70 * 1e-3 / viscosity
    nusselt = float(round_average(Round(reynolds, prandtl, 5.0), 2.5))
    assert reynolds == pytest.approx(1536.2, abs=0.1)
    assert nusselt == pytest.approx(17.651, abs=0.002)
    assert nusselt * conductivity / 1e-3 == pytest.approx(774.9, abs=0.1)


def test_slot_jet() -> None:
    """Martin's slot average at Re 5000, Pr 0.700, H/W 4, x/W 10: m 0.60043, Nu 26.11 (Incropera sec. 7.7, memory)."""
    assert slot_average(5000, 0.700, 4.0, 10.0) == pytest.approx(26.11, abs=0.005)


def test_local_form_averages_to_martins() -> None:
    """The local Nusselt number, core included, integrates over the disc to Martin's average at 2.5 D and at 5 D."""
    jet = Round(5000, 0.69, 4.0)
    for edge in (CORE, 5.0):
        s = np.linspace(0, edge, 200_001)[1:]
        mean = np.trapezoid(2 * s * round_local(jet, s), s) / edge**2
        assert mean == pytest.approx(float(round_average(jet, edge)), rel=1e-3)


def test_air_table_row() -> None:
    """Air at 550 K has density 0.6329, viscosity 288.4e-7, conductivity 0.0439, Pr 0.683 (Incropera 7e table A.4)."""
    row = air(550 - 273.15)
    found = [float(v) for v in (row.density_kg_m3, row.viscosity_pa_s, row.conductivity_w_mk, row.prandtl)]
    assert found == pytest.approx([0.6329, 288.4e-7, 43.9e-3, 0.683], rel=1e-3)


@pytest.mark.parametrize(
    ("surface_c", "up", "down", "glow"),
    [(60, 8.4, 4.7, 6.4), (100, 9.9, 5.5, 7.8), (150, 11.1, 6.1, 9.9), (200, 11.8, 6.5, 12.3), (250, 12.4, 6.8, 15.2)],
)
def test_losses_of_a_horizontal_board(surface_c: float, up: float, down: float, glow: float) -> None:
    """Natural convection of a 100 mm square board and radiation at emissivity 0.9 (Incropera 7e sec. 9.6), 2 %."""
    faces = np.full(2, surface_c)
    still = natural_w_m2k(faces, 25.0, 0.025, faces_up=np.array([True, False]))
    assert still == pytest.approx([up, down], rel=0.02)
    assert float(radiation_w_m2k(faces, 25.0, 0.9)[0]) == pytest.approx(glow, rel=0.02)
