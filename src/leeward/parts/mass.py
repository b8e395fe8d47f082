"""What a part weighs and how much heat it takes up."""

from leeward.known import Confidence, Known
from leeward.parts.families import Material

WORST_FIRST: tuple[Confidence, ...] = ("low", "medium", "high")


def mass(material: Material, body_mm: tuple[float, float], thickness_mm: float, size: Confidence) -> Known[float]:
    """Return the mass in mg: the material's density over the box of the body.

    `size` is how sure body and thickness are. The densities are makers' masses over their bodies, so leads and
    hollows are in them.
    """
    density = material.density_mg_mm3
    value = density.value * body_mm[0] * body_mm[1] * thickness_mm
    confidence = min(density.confidence, size, key=WORST_FIRST.index)
    return Known(value, f"{density.value:g} mg/mm3 over the body: {density.source}", confidence)


def heat_capacity_j_k(material: Material, mass_mg: float) -> float:
    """Return the heat that warms a part by one degree, J/K: mass times specific heat."""
    return mass_mg * 1e-3 * material.specific_heat_j_gk.value
