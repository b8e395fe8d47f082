"""Heat transfer of a jet on a plate: round and slot nozzles.

H. Martin, Advances in Heat Transfer 13 (1977) 1-60, as given by Incropera 7e sec. 7.7. r is the distance from
the axis, D the bore, W the slot's width, H the stand-off. Nusselt numbers are built on D, and on 2 W for slots.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from leeward.heat.grid import Floats

CORE = 2.5  # r/D up to which Martin's round-jet average says nothing about single points


@dataclass(frozen=True, slots=True)
class Round:
    """A round jet: Reynolds and Prandtl number, stand-off over bore."""

    reynolds: float
    prandtl: float
    standoff_over_bore: float

    @property
    def within_range(self) -> bool:
        """Whether Martin's range of Reynolds number and stand-off holds."""
        return 2000 <= self.reynolds <= 4e5 and 2 <= self.standoff_over_bore <= 12


def round_average(jet: Round, radius_over_bore: ArrayLike) -> Floats:
    """Return Nu averaged over the disc of that radius; Martin's range is r/D 2.5 to 7.5."""
    s = np.asarray(radius_over_bore, dtype=float)
    spread = (1 - 1.1 / s) / (s + 0.1 * (jet.standoff_over_bore - 6))
    return spread * _round_strength(jet)


def round_local(jet: Round, radius_over_bore: ArrayLike) -> Floats:
    """Return Nu at a distance from the axis.

    Outside the core the derivative of Martin's average, Nu = (1/2r) d(r2 Nu_avg)/dr. Inside it a profile that
    starts at the stagnation value, joins the outside without a step and keeps Martin's average over the core.
    """
    s = np.asarray(radius_over_bore, dtype=float)
    edge = float(_outer(jet, np.asarray(CORE)))
    mean = float(round_average(jet, CORE))
    centre = max(stagnation(jet), 1.05 * mean)
    power = (centre - edge) / (mean - edge) - 1
    inner = edge + (centre - edge) * np.clip(1 - (s / CORE) ** 2, 0, 1) ** power
    return np.where(s < CORE, inner, _outer(jet, np.maximum(s, CORE)))


def stagnation(jet: Round) -> float:
    """Return Nu on the axis, 0.75 Re^1/2 Pr^0.4 (laminar jet theory and Hoogendoorn 1977; from memory, spread 20 %)."""
    return float(0.75 * np.sqrt(jet.reynolds) * jet.prandtl**0.4)


def slot_average(reynolds: float, prandtl: float, standoff_over_width: float, reach_over_width: float) -> float:
    """Return Nu (on 2 W) averaged over |x| up to the reach; range Re 3000 to 9e4, H/W 2 to 10, x/W 4 to 20."""
    share = 1 / (2 * reach_over_width)
    exponent = 0.695 - 1 / (1 / (4 * share) + (standoff_over_width / 2) ** 1.33 + 3.06)
    return float(3.06 / (0.5 / share + standoff_over_width + 2.78) * reynolds**exponent * prandtl**0.42)


def _round_strength(jet: Round) -> float:
    """Pr^0.42 times Martin's F(Re)."""
    f = 2 * np.sqrt(jet.reynolds) * np.sqrt(1 + 0.005 * jet.reynolds**0.55)
    return float(jet.prandtl**0.42 * f)


def _outer(jet: Round, s: Floats) -> Floats:
    b = 0.1 * (jet.standoff_over_bore - 6)
    return _round_strength(jet) * (s**2 + 2 * b * s - 1.1 * b) / (2 * s * (s + b) ** 2)
