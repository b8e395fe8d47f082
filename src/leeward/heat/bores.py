"""A round bore, held still over a small part or moved along a path over a larger one.

Held still: Martin's local form with the wall jet's temperature eta = cosh(0.25 r/D)^-0.8 (Goldstein 1990, memory).
Moved: the bore passes each place of its path many times within the seconds that a board takes to follow, so a face
sees the mean of the flux: h the mean over the path, eta the mean weighted by h.
"""

from dataclasses import dataclass

import numpy as np
import shapely

from leeward.bench.records import NozzleFit
from leeward.constants import number
from leeward.heat import impingement
from leeward.heat.air import air
from leeward.heat.blow import Blow, film
from leeward.heat.grid import Floats
from leeward.heat.loads import Jet, Loads, rings
from leeward.heat.records import Faces

STEP_BORES = 0.5  # places along a path stand this many bores apart


@dataclass(frozen=True, slots=True)
class _OpenJet:
    """A round jet over a plate, as laws of the distance from its axis."""

    law: impingement.Round
    bore_mm: float
    fade_mm: float  # the bore that the wall jet's temperature goes by
    conductivity_w_mk: float
    core: float  # share of the outlet's excess that arrives on the axis

    def h_w_m2k(self, radius_mm: Floats) -> Floats:
        nusselt = impingement.round_local(self.law, np.maximum(radius_mm / self.bore_mm, 1e-6))
        return nusselt * self.conductivity_w_mk / (self.bore_mm * 1e-3)

    def eta(self, radius_mm: Floats) -> Floats:
        cooled: Floats = np.cosh(0.25 * np.minimum(radius_mm / self.fade_mm, 100.0)) ** -0.8
        return self.core * cooled


def bore_jet(faces: Faces, loads: Loads, blow: Blow) -> Jet:
    """Return the jet of a round bore on the faces."""
    open_jet = _open_jet(loads, blow)
    worked = faces.facing(loads.side)
    places = path_places_mm(loads.fit)
    h, heat, nearest = np.zeros(faces.node.size), np.zeros(faces.node.size), np.full(faces.node.size, np.inf)
    for x_mm, y_mm in places:
        radius_mm = np.hypot(faces.x_mm - x_mm, faces.y_mm - y_mm)
        here = open_jet.h_w_m2k(radius_mm)
        h += here / len(places)
        heat += here * open_jet.eta(radius_mm) / len(places)
        nearest = np.minimum(nearest, radius_mm)
    return Jet(
        outlet_c=blow.air_c,
        ambient_c=loads.ambient_c,
        heat_rate_w_k=blow.heat_rate_w_k,
        vented_up=0.0,
        inside=np.zeros(faces.node.size, dtype=bool),
        h_w_m2k=np.where(worked, h, 0.0) * loads.factors.air_h,
        decay=np.where(worked, heat / h, 0.0),
        ring=rings(nearest, worked),
        validity=_validity(open_jet, len(places)),
    )


def path_places_mm(fit: NozzleFit) -> Floats:
    """Return where a bore stands over the path's time, (k, 2) float, mm, board frame; one place where it is still."""
    if fit.path is None:
        return np.array([[fit.x_mm, fit.y_mm]])
    count = max(8, int(np.ceil(fit.path.length / (STEP_BORES * fit.nozzle.aperture_mm[0]))))
    along = np.arange(count) / count * fit.path.length
    return np.asarray(shapely.get_coordinates(shapely.line_interpolate_point(fit.path, along)))


def _open_jet(loads: Loads, blow: Blow) -> _OpenJet:
    fit, at = loads.fit, film(blow.air_c)
    bore_mm, height_mm = fit.nozzle.aperture_mm[0], fit.standoff_mm
    reynolds = 4 * blow.mass_kg_s / (np.pi * bore_mm * 1e-3 * float(at.viscosity_pa_s))
    fade_mm = number("heat", "jet", "decay_diameter_share") * bore_mm * loads.factors.reach
    return _OpenJet(
        law=impingement.Round(reynolds, float(at.prandtl), max(2.0, height_mm / bore_mm)),
        bore_mm=bore_mm,
        fade_mm=fade_mm,
        conductivity_w_mk=float(at.conductivity_w_mk),
        core=min(1.0, number("heat", "jet", "core_lengths") * fade_mm / height_mm),
    )


def _validity(open_jet: _OpenJet, places: int) -> tuple[str, ...]:
    law = open_jet.law
    in_range = "" if law.within_range and law.standoff_over_bore > 2 else ", outside the correlation's range"
    still = f"round bore: Reynolds number {law.reynolds:.0f}, stand-off {law.standoff_over_bore:.1f} bores{in_range}"
    moved = "the moving bore is a mean over its path; stand still anywhere and that place gets hotter"
    return (still,) if places == 1 else (still, moved)


def bore_pressure_pa(fit: NozzleFit, blow: Blow, distance_mm: float) -> float:
    """Return the dynamic pressure of the wall jet at a distance outside the bore.

    v / v_outlet = min(1, 1.1 (r/D)^-1.1) (Poreh 1967, from memory).
    """
    bore = fit.nozzle.aperture_mm[0]
    flux = blow.mass_kg_s / (np.pi / 4 * bore**2 * 1e-6)
    fade = min(1.0, 1.1 * max((distance_mm + bore / 2) / bore, 1e-3) ** -1.1)
    return float((flux * fade) ** 2 / float(air(blow.air_c).density_kg_m3) / 2)
