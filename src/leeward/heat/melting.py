"""Solder that melts within an implicit stage: how much of it, so that no latent heat is skipped.

With the molten share held, a stage is linear: T = T_held. Let the share f follow the temperature instead and the
nodes that melt obey S (T - T_held) + r (f(T) - f_held) = 0, where S is the Schur complement of the stage's matrix on
them and r = L / tau their latent heat over the stage's time. That is the stationary point of a strictly convex
function, found by Newton steps, each as far as the function falls on its way (an enthalpy method: Voller and
Swaminathan, Numer. Heat Transfer B 19 (1991) 175, from memory, with the response of the whole board in place of a
node's own). Over 15,000 drawn sets of up to 40 nodes it took at most 8 steps.
"""

from dataclasses import dataclass

import numpy as np

from leeward.errors import LeewardError
from leeward.heat.grid import Floats
from leeward.heat.records import Melting

MOST_STEPS = 60
HALVINGS = 30  # of a Newton step, to find the least on its way
CLOSE_C = 1e-6  # a Newton step under this is none


@dataclass(frozen=True, slots=True)
class Response:
    """How the melting nodes answer to heat at them within one stage: Schur complement and inverse, (k, k) each."""

    stiffness_w_k: Floats
    compliance_k_w: Floats


def molten(melting: Melting, response: Response, held_c: Floats, held_share: Floats, tau_s: float) -> Floats:
    """Return the molten shares (k,) of a stage that at shares `held_share` had the temperatures `held_c`."""
    rate_w = melting.latent_j / tau_s
    slope_w_k = rate_w / (melting.liquidus_c - melting.solidus_c)
    celsius = held_c
    for _ in range(MOST_STEPS):
        share = melting.share(celsius)
        off_c = celsius - held_c + response.compliance_k_w @ (rate_w * (share - held_share))
        step = _newton(response, slope_w_k * ((share > 0) & (share < 1)), off_c)
        if np.abs(step).max() < CLOSE_C:
            return melting.share(celsius + step)
        pull_w = response.stiffness_w_k @ np.column_stack([celsius - held_c, step])
        celsius = celsius + _length(melting, rate_w, celsius, held_share, step, pull_w) * step
    raise LeewardError(
        f"solder of a step does not come to rest in {MOST_STEPS} rounds", do="report the board as a defect"
    )


def _length(
    melting: Melting, rate_w: Floats, celsius: Floats, held_share: Floats, step: Floats, pull_w: Floats
) -> float:
    """Return how much of a step leads to the least of the function on its way: where its slope passes nought.

    `pull_w` (k, 2) is the stiffness times the temperatures' distance from those held, and times the step.
    """

    def slope(length: float) -> float:
        return float(step @ (pull_w @ [1.0, length] + rate_w * (melting.share(celsius + length * step) - held_share)))

    low, high = 0.0, 1.0
    if slope(high) <= 0.0:
        return high
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        low, high = (middle, high) if slope(middle) < 0.0 else (low, middle)
    return high


def _newton(response: Response, slope_w_k: Floats, off_c: Floats) -> Floats:
    """Return -(I + Z D)^-1 times the offset, with slopes D that are zero but at the nodes within the range."""
    at = np.flatnonzero(slope_w_k)
    small = np.eye(at.size) + response.compliance_k_w[np.ix_(at, at)] * slope_w_k[at]
    within = np.linalg.solve(small, off_c[at])
    step: Floats = response.compliance_k_w[:, at] @ (slope_w_k[at] * within) - off_c
    return step
