"""What a warm surface loses to the room: natural convection of a horizontal board, and radiation.

Natural convection: Nu = 0.54 Ra^1/4 (Ra up to 1e7) or 0.15 Ra^1/3 above it for a hot face up, 0.52 Ra^1/5 for a
hot face down, on the length area over perimeter (Incropera 7e sec. 9.6).
"""

from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from leeward.heat.air import ZERO_C_IN_K, air
from leeward.heat.grid import Floats

STEFAN_BOLTZMANN_W_M2K4 = 5.670374e-8  # CODATA 2018
GRAVITY_M_S2 = 9.80665
TABLE_C = np.arange(-100.0, 1001.0)


def still_w_m2k(surface_c: Floats, ambient_c: float, length_m: float, *, faces_up: NDArray[np.bool_]) -> Floats:
    """Return the same as `natural_w_m2k` read from a table, where it is asked for again and again."""
    up, down = _tables(ambient_c, length_m, GRAVITY_M_S2)
    return np.where(faces_up, np.interp(surface_c, TABLE_C, up), np.interp(surface_c, TABLE_C, down))


@lru_cache(maxsize=16)
def _tables(ambient_c: float, length_m: float, _gravity_m_s2: float) -> tuple[Floats, Floats]:
    up, down = (
        natural_w_m2k(TABLE_C, ambient_c, length_m, faces_up=np.full(TABLE_C.size, upward)) for upward in (True, False)
    )
    return up, down


def natural_w_m2k(surface_c: Floats, ambient_c: float, length_m: float, *, faces_up: NDArray[np.bool_]) -> Floats:
    """Return the coefficient of natural convection, shape of `surface_c`; `faces_up` is True where a face looks up."""
    film_c = (surface_c + ambient_c) / 2
    film = air(film_c)
    nu = film.kinematic_viscosity_m2_s
    warmer = np.maximum(surface_c - ambient_c, 0.1)
    rayleigh = (GRAVITY_M_S2 * length_m**3) * warmer * film.prandtl / (nu * nu * (film_c + ZERO_C_IN_K))
    up = np.where(rayleigh < 1e7, 0.54 * np.sqrt(np.sqrt(rayleigh)), 0.15 * np.cbrt(rayleigh))
    return np.where(faces_up, up, 0.52 * rayleigh**0.2) * film.conductivity_w_mk / length_m


def radiation_w_m2k(surface_c: Floats, ambient_c: float, emissivity: float) -> Floats:
    """Return radiation to the room as a coefficient on the difference to ambient, shape of `surface_c`."""
    surface, room = surface_c + ZERO_C_IN_K, ambient_c + ZERO_C_IN_K
    return emissivity * STEFAN_BOLTZMANN_W_M2K4 * (surface**2 + room**2) * (surface + room)
