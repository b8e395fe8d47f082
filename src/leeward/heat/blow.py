"""What a stage sends through the outlet: temperature and mass flow, with what the bench's factors make of them."""

from dataclasses import dataclass

from leeward.bench.records import Stage
from leeward.constants import number
from leeward.heat.air import Air, air, mass_flow_kg_s
from leeward.heat.loads import Loads


@dataclass(frozen=True, slots=True)
class Blow:
    """Air at the outlet."""

    air_c: float
    mass_kg_s: float

    @property
    def heat_rate_w_k(self) -> float:
        """Mass flow times specific heat."""
        return self.mass_kg_s * float(air(self.air_c).specific_heat_j_kgk)


def blow(stage: Stage, loads: Loads) -> Blow | None:
    """Return the air of a stage, None where it has none."""
    if stage.air_c is None or stage.flow_l_min is None:
        return None
    factors = loads.factors
    outlet_c = loads.ambient_c + factors.outlet * (stage.air_c - loads.ambient_c)
    return Blow(outlet_c, factors.flow * mass_flow_kg_s(stage.flow_l_min))


def film(air_c: float) -> Air:
    """Return the properties of air between the outlet and a board near reflow."""
    return air((air_c + number("heat", "jet", "surface_c")) / 2)
