"""Factors on what the model does not know well: 1 each is the model as it stands.

They are what a bench learns from a thermocouple run, and what the spread of an answer is computed from.
"""

from dataclasses import dataclass, fields, replace
from functools import cache

from leeward.constants import constant


@dataclass(frozen=True, slots=True)
class Factors:
    """Factors on the air, the board heater, the board and the bodies."""

    air_h: float = 1.0  # heat transfer coefficient of the nozzle's air
    reach: float = 1.0  # length over which the wall jet outside the nozzle fades
    flow: float = 1.0  # litres a minute at the outlet over those set
    outlet: float = 1.0  # the outlet's temperature above the room over that set
    vented: float = 1.0  # share of a boxed nozzle's air that leaves upward
    heater: float = 1.0  # coupling of the board heater
    laminate_heat: float = 1.0  # heat capacity of the laminate
    copper: float = 1.0  # thickness of the copper
    body_heat: float = 1.0  # heat capacity of the parts' bodies


def of_air(factors: Factors) -> Factors:
    """Return the factors that the nozzle's air goes by, the others at 1."""
    return replace(factors, heater=1.0, laminate_heat=1.0, copper=1.0, body_heat=1.0)


NAMES: tuple[str, ...] = tuple(field.name for field in fields(Factors))


@cache
def prior_spread(boxed: bool) -> dict[str, float]:  # a box or not is the whole question
    """Return one relative standard deviation of each factor before any calibration, by name."""
    own = {"air_h": "air_h_boxed" if boxed else "air_h_round"}
    return {name: float(constant("heat", "doubt", own.get(name, name)).value) for name in NAMES}
