"""Air properties and mass flow."""

import pytest

from leeward.heat.air import air, mass_flow_kg_s


def test_density_follows_the_gas_law_between_rows() -> None:
    """Density at 302 C lies on 348.3 / T, the gas law at one atmosphere, within 0.1 %."""
    assert float(air(302.0).density_kg_m3) == pytest.approx(348.3 / 575.15, rel=1e-3)


def test_twenty_litres_a_minute() -> None:
    """20 standard litres a minute are 4.01e-4 kg/s (1.204 kg/m3 at 20 C)."""
    assert mass_flow_kg_s(20.0) == pytest.approx(1.204 * 20 / 60000, rel=1e-3)
