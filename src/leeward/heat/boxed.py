"""A boxed nozzle: a stirred cavity over the part that leaks under its skirt as a plane wall jet.

Coefficients inside from the slot or round correlation with stand-off and Reynolds number at the range's ends where
they lie outside it; the result is good to a factor of two, and says so.
"""

import numpy as np
from numpy.typing import ArrayLike

from leeward.bench.records import NozzleFit
from leeward.constants import number
from leeward.heat import impingement
from leeward.heat.air import air
from leeward.heat.blow import Blow, film
from leeward.heat.grid import Floats
from leeward.heat.loads import Jet, Loads, rings
from leeward.heat.records import FaceKind, Faces

MOST_VENTED = 0.95  # something always leaks under the skirt


def boxed_jet(faces: Faces, loads: Loads, blow: Blow) -> Jet:
    """Return a stirred cavity that leaks under its skirt as a plane wall jet."""
    fit, nozzle, factors = loads.fit, loads.fit.nozzle, loads.factors
    along, across = _in_nozzle_frame(faces, fit)
    worked = faces.facing(loads.side)
    half = np.array(nozzle.aperture_mm) / 2
    inside = worked & (np.abs(along) < half[0]) & (np.abs(across) < half[1])
    beyond = _distance_outside(along, across, half + nozzle.wall_mm)
    vented = min(nozzle.vented_up_fraction * factors.vented, MOST_VENTED)
    lead_h, body_h, validity = _cavity_coefficients(fit, blow)
    joint_h = lead_h * (number("heat", "jet", "tucked_share") if loads.tucked else 1.0)
    cavity_h = np.full(faces.node.size, lead_h)
    cavity_h[faces.of_target & (faces.kind == FaceKind.BODY)] = body_h
    cavity_h[faces.of_target & (faces.kind == FaceKind.LEAD)] = joint_h
    gap_mm = fit.standoff_mm
    perimeter_mm = 2 * sum(nozzle.aperture_mm)
    leak_h = _leak_coefficient(beyond, gap_mm, blow.mass_kg_s * (1 - vented), perimeter_mm, blow.air_c)
    decay = _wall_jet("wall_jet_temperature", beyond / factors.reach, gap_mm, perimeter_mm)
    return Jet(
        outlet_c=blow.air_c,
        ambient_c=loads.ambient_c,
        heat_rate_w_k=blow.heat_rate_w_k,
        vented_up=vented,
        inside=inside,
        h_w_m2k=np.where(worked, np.where(inside, cavity_h, leak_h), 0.0) * factors.air_h,
        decay=np.where(inside, 1.0, np.where(worked, decay, 0.0)),
        ring=rings(beyond, worked & ~inside),
        validity=validity,
    )


def _cavity_coefficients(fit: NozzleFit, blow: Blow) -> tuple[float, float, tuple[str, ...]]:
    """Return h on the lead rows and on the target's body, W/m2K, and what lies outside the correlations' range."""
    nozzle, mass, air_film = fit.nozzle, blow.mass_kg_s, film(blow.air_c)
    width, length = (side * 1e-3 for side in nozzle.aperture_mm)
    if nozzle.outlet == "area" or nozzle.slot_width_mm is None:
        bore = 2 * width * length / (width + length)  # hydraulic diameter
        reynolds = mass / (width * length) * bore / float(air_film.viscosity_pa_s)
        round_jet = impingement.Round(reynolds, float(air_film.prandtl), max(2.0, fit.standoff_mm * 1e-3 / bore))
        nusselt = float(impingement.round_local(round_jet, np.asarray(0.25)))
        h = nusselt * float(air_film.conductivity_w_mk) / bore
        return h, h, (_range_note("full-area nozzle", reynolds, 2000),)
    slot = nozzle.slot_width_mm * 1e-3
    sides = 2 * length + (2 * width if nozzle.slot_sides == 4 else 0.0)
    reynolds = mass / (slot * sides) * 2 * slot / float(air_film.viscosity_pa_s)
    nusselt = impingement.slot_average(reynolds, float(air_film.prandtl), 2.0, 4.0)
    h = nusselt * float(air_film.conductivity_w_mk) / (2 * slot)
    return (
        h,
        h * number("heat", "jet", "cavity_body_share"),
        (_range_note("slots of the boxed nozzle", reynolds, 3000),),
    )


def _range_note(what: str, reynolds: float, least: float) -> str:
    state = "below the range of" if reynolds < least else "within the range of"
    doubt = number("heat", "jet", "cavity_factor")
    return (
        f"{what}: Reynolds number {reynolds:.0f}, {state} the correlation (from {least:.0f}); stand-off taken at the "
        f"range's lower end; the coefficient inside a boxed nozzle is good to a factor of {doubt:.0f} uncalibrated"
    )


def _wall_jet(law: str, beyond_mm: ArrayLike, gap_mm: float, perimeter_mm: float) -> Floats:
    """Return the excess temperature or greatest velocity of the leak, as a share of its start.

    C (x/g)^-1/2 of a plane wall jet, times (P / (P + 2 pi x))^1/2 because a jet round a box of perimeter P spreads:
    with thickness growing as x, momentum U2 x w and heat U x w T constant, U and T fall as (x w)^-1/2 (derived).
    """
    x = np.maximum(np.asarray(beyond_mm, dtype=float), 1e-9)
    spreading = np.sqrt(perimeter_mm / (perimeter_mm + 2 * np.pi * x))
    share: Floats = np.minimum(1.0, number("heat", "jet", law) / np.sqrt(x / gap_mm) * spreading)
    return share


def _leak_coefficient(beyond_mm: Floats, gap_mm: float, mass: float, perimeter_mm: float, air_c: float) -> Floats:
    """Return h under the leak: laminar plate flow Nu = 0.332 Re^1/2 Pr^1/3 at the wall jet's greatest velocity."""
    at = film(air_c)
    flux = mass / (perimeter_mm * gap_mm * 1e-6)
    fade = _wall_jet("wall_jet_velocity", beyond_mm, gap_mm, perimeter_mm)
    reach_m = (np.maximum(beyond_mm, 0.0) + gap_mm) * 1e-3
    reynolds = flux * fade * reach_m / at.viscosity_pa_s
    return 0.332 * np.sqrt(reynolds) * at.prandtl ** (1 / 3) * at.conductivity_w_mk / reach_m


def _in_nozzle_frame(faces: Faces, fit: NozzleFit) -> tuple[Floats, Floats]:
    """Return the faces' places along the nozzle's width and length, (m,) each, mm."""
    turn = np.deg2rad(fit.rotation_deg)
    dx, dy = faces.x_mm - fit.x_mm, faces.y_mm - fit.y_mm
    # Rotation is counter-clockwise as drawn while y runs down.
    return dx * np.cos(turn) - dy * np.sin(turn), dx * np.sin(turn) + dy * np.cos(turn)


def _distance_outside(along: Floats, across: Floats, half: Floats) -> Floats:
    """Return the distance from an upright rectangle, 0 inside it."""
    distance: Floats = np.hypot(np.maximum(np.abs(along) - half[0], 0.0), np.maximum(np.abs(across) - half[1], 0.0))
    return distance


def leak_pressure_pa(fit: NozzleFit, blow: Blow, distance_mm: float) -> float:
    """Return the dynamic pressure rho v2 / 2 of the leak under the skirt at a distance outside the wall."""
    nozzle, standoff, perimeter_mm = fit.nozzle, fit.standoff_mm, 2 * sum(fit.nozzle.aperture_mm)
    flux = blow.mass_kg_s * (1 - nozzle.vented_up_fraction) / (perimeter_mm * standoff * 1e-6)
    fade = float(_wall_jet("wall_jet_velocity", distance_mm, standoff, perimeter_mm))
    return (flux * fade) ** 2 / float(air(blow.air_c).density_kg_m3) / 2
