"""Air at one atmosphere (Incropera 7e table A.4, in the data file `air`)."""

from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np
from numpy.typing import ArrayLike

from leeward.constants import table
from leeward.heat.grid import Floats

ZERO_C_IN_K = 273.15
# Flow is told in litres at 20 C and one atmosphere: common practice, no source. 101325 Pa / (287.05 J/kgK 293.15 K).
STANDARD_DENSITY_KG_M3 = 1.2041


@dataclass(frozen=True, slots=True)
class Air:
    """Properties at one temperature, or arrays of them of one shape."""

    density_kg_m3: Floats
    specific_heat_j_kgk: Floats
    viscosity_pa_s: Floats
    conductivity_w_mk: Floats
    prandtl: Floats

    @property
    def kinematic_viscosity_m2_s(self) -> Floats:
        """Viscosity over density."""
        return self.viscosity_pa_s / self.density_kg_m3


def air(celsius: ArrayLike) -> Air:
    """Return the properties of air at a temperature in C, held at the table's ends outside 27 to 427 C.

    Density follows the gas law from the nearest row, so that it stays right between rows.
    """
    return _air_at(celsius) if isinstance(celsius, float) else _air(celsius)


@lru_cache(maxsize=4096)
def _air_at(celsius: float) -> Air:
    """Return the properties at a single temperature: the settings that are tried share their few air temperatures."""
    return _air(celsius)


def _air(celsius: ArrayLike) -> Air:
    kelvin = np.asarray(celsius, dtype=float) + ZERO_C_IN_K
    rows = _rows()
    at = {name: np.interp(kelvin, rows["temperature_k"], rows[name]) for name in rows if name != "temperature_k"}
    return Air(
        at["density_t"] / kelvin,
        at["specific_heat_j_kgk"],
        at["viscosity_pa_s"],
        at["conductivity_w_mk"],
        at["prandtl"],
    )


def mass_flow_kg_s(flow_l_min: float) -> float:
    """Return the mass flow of so many standard litres a minute."""
    return STANDARD_DENSITY_KG_M3 * flow_l_min / 60_000


@cache
def _rows() -> dict[str, Floats]:
    raw = table("air")
    names = ("temperature_k", "specific_heat_j_kgk", "viscosity_pa_s", "conductivity_w_mk", "prandtl")
    rows = {name: np.array(raw[name]) for name in names}
    return rows | {"density_t": np.array(raw["density_kg_m3"]) * rows["temperature_k"]}
