"""Solder that melts within an implicit stage: how much of it, so that no latent heat is skipped.

With the molten share held, a stage is linear: T = T_held. Let the share f follow the temperature instead and the
nodes that melt obey S (T - T_held) + r (f(T) - f_held) = 0, where S is the Schur complement of the stage's matrix on
them and r = L / tau their latent heat over the stage's time. That is the stationary point of a strictly convex
function, found by Newton steps that are shortened until it falls (an enthalpy method: Voller and Swaminathan, Numer.
Heat Transfer B 19 (1991) 175, from memory, with the response of the whole board in place of a node's own).
"""

from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from leeward.heat.grid import Floats
from leeward.heat.records import Melting

MOST_STEPS = 60
MOST_HALVINGS = 40
CLOSE_C = 1e-6  # a Newton step under this is none
ROUNDING = 1e-12  # a rise of the potential by so small a share of it is no rise


@dataclass(frozen=True, slots=True)
class Response:
    """How the melting nodes answer to heat at them within one stage: Schur complement and inverse, (k, k) each."""

    stiffness_w_k: Floats
    compliance_k_w: Floats


def molten(melting: Melting, response: Response, held_c: Floats, held_share: Floats, tau_s: float) -> Floats:
    """Return the molten shares (k,) of a stage that at shares `held_share` had the temperatures `held_c`."""
    rate_w = melting.latent_j / tau_s
    slope_w_k = rate_w / (melting.liquidus_c - melting.solidus_c)

    def potential(celsius: Floats) -> float:
        rise = celsius - held_c
        return float(
            rise @ (response.stiffness_w_k @ rise) / 2 + rate_w @ (_integral(melting, celsius) - held_share * rise)
        )

    celsius, now = held_c, potential(held_c)
    for _ in range(MOST_STEPS):
        share = melting.share(celsius)
        off_c = celsius - held_c + response.compliance_k_w @ (rate_w * (share - held_share))
        step = _newton(response, slope_w_k * ((share > 0) & (share < 1)), off_c)
        celsius, now = _shortened(potential, celsius, now, step)
        if np.abs(step).max() < CLOSE_C:
            break
    return melting.share(celsius)


def _shortened(potential: Callable[[Floats], float], celsius: Floats, now: float, step: Floats) -> tuple[Floats, float]:
    """Return the temperatures a step on, or half of it, and so on, where the potential is no higher, and its value."""
    for halvings in range(MOST_HALVINGS):
        trial = celsius + step * 0.5**halvings
        value = potential(trial)
        if value <= now + ROUNDING * (1 + abs(now)):
            return trial, value
    return celsius, now


def _integral(melting: Melting, celsius: Floats) -> Floats:
    """Return the molten share integrated over temperature up to `celsius`, C."""
    width = melting.liquidus_c - melting.solidus_c
    share = melting.share(celsius)
    return width * share**2 / 2 + np.maximum(celsius - melting.liquidus_c, 0.0)


def _newton(response: Response, slope_w_k: Floats, off_c: Floats) -> Floats:
    """Return -(I + Z D)^-1 times the offset, with slopes D that are zero but at the nodes within the range."""
    at = np.flatnonzero(slope_w_k)
    small = np.eye(at.size) + response.compliance_k_w[np.ix_(at, at)] * slope_w_k[at]
    within = np.linalg.solve(small, off_c[at])
    step: Floats = response.compliance_k_w[:, at] @ (slope_w_k[at] * within) - off_c
    return step
