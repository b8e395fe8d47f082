"""What the nozzle's air does to every face: coefficient, air temperature, and how much heat it has left.

Heat flux is h (T_aw - T), T_aw = T_room + eta f (T_source - T_room): eta is the wall jet's own decay, f the share
of its heat that the board further in has not taken yet (the energy limiter), T_source the outlet's temperature,
or the cavity's under a boxed nozzle.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike

from leeward.bench.records import BoardHeater, NozzleFit, Stage
from leeward.board.records import Side
from leeward.constants import number
from leeward.heat import impingement
from leeward.heat.air import Air, air, mass_flow_kg_s
from leeward.heat.grid import Floats
from leeward.heat.records import Bools, FaceKind, Faces, Ints

RING_MM = 1.0  # the limiter marches outward in rings of this width
MOST_RINGS = 200


@dataclass(frozen=True, slots=True)
class Loads:
    """Everything outside the board: the nozzle in place, the heater on the other side, the room."""

    fit: NozzleFit
    side: Side  # the side that is worked on
    heater: BoardHeater
    ambient_c: float


@dataclass(frozen=True, slots=True)
class Jet:
    """The air of one stage on the faces of a model, (m,) each."""

    outlet_c: float
    ambient_c: float
    heat_rate_w_k: float  # mass flow times specific heat
    vented_up: float
    inside: Bools  # under a boxed nozzle
    h_w_m2k: Floats
    decay: Floats  # eta; 1 inside
    ring: Ints  # outward; -1 where no jet arrives
    validity: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Arrival:
    """Air at the faces at one moment: its temperature (m,), and what it carried away from the outlet, W."""

    air_c: Floats
    carried_w: float


def no_jet(faces: Faces, ambient_c: float) -> Jet:
    """Return still air."""
    still = np.zeros(faces.node.size)
    return Jet(ambient_c, ambient_c, 0.0, 0.0, still > 0, still, still, np.full(still.size, -1), ())


def jet(faces: Faces, loads: Loads, stage: Stage) -> Jet:
    """Return the jet of a stage; still air where the stage has none."""
    if stage.air_c is None or stage.flow_l_min is None:
        return no_jet(faces, loads.ambient_c)
    if loads.fit.nozzle.outlet == "round":
        return _open_jet(faces, loads, stage.air_c, stage.flow_l_min)
    return _boxed_jet(faces, loads, stage.air_c, stage.flow_l_min)


def arrive(field: Jet, faces: Faces, face_c: Floats) -> Arrival:
    """Return the air at each face for the faces' temperatures.

    Cavity: m c (T_outlet - T_cavity) = sum h A (T_cavity - T). Outside, ring by ring: what a ring takes is no
    longer there for the next.
    """
    if field.heat_rate_w_k == 0:
        return Arrival(np.full(face_c.size, field.ambient_c), 0.0)
    weight = field.h_w_m2k * faces.area_m2
    inner = np.where(field.inside, weight, 0.0)
    source = (field.heat_rate_w_k * field.outlet_c + np.sum(inner * face_c)) / (field.heat_rate_w_k + inner.sum())
    left = _heat_left(field, weight, face_c, source)
    outside = field.ambient_c + field.decay * left * (source - field.ambient_c)
    return Arrival(np.where(field.inside, source, outside), field.heat_rate_w_k * (field.outlet_c - field.ambient_c))


def _heat_left(field: Jet, weight: Floats, face_c: Floats, source_c: float) -> Floats:
    """Return the share f of the leaving heat that still flows at each face, (m,)."""
    outside = ~field.inside & (field.ring >= 0)
    ring, excess = field.ring[outside], source_c - field.ambient_c
    leaving = field.heat_rate_w_k * (1 - field.vented_up) * excess
    offered = np.bincount(ring, (weight * field.decay)[outside] * excess)
    drained = np.bincount(ring, weight[outside] * (face_c[outside] - field.ambient_c))
    share, shares = 1.0, np.ones(offered.size + 1)
    for i, (gain, loss) in enumerate(zip(offered, drained, strict=True)):
        shares[i] = share
        share = min(max(share - (share * gain - loss) / leaving, 0.0), 1.0)
    left = np.zeros(face_c.size)
    left[outside] = shares[ring]
    return left


def _boxed_jet(faces: Faces, loads: Loads, air_c: float, flow_l_min: float) -> Jet:
    """Return a stirred cavity that leaks under its skirt as a plane wall jet."""
    fit, nozzle = loads.fit, loads.fit.nozzle
    mass = mass_flow_kg_s(flow_l_min)
    along, across = _in_nozzle_frame(faces, fit)
    worked = faces.on_top == (loads.side == "top")
    half = np.array(nozzle.aperture_mm) / 2
    inside = worked & (np.abs(along) < half[0]) & (np.abs(across) < half[1])
    beyond = _distance_outside(along, across, half + nozzle.wall_mm)
    lead_h, body_h, validity = _cavity_coefficients(fit, mass, air_c)
    cavity_h = np.where(faces.of_target & (faces.kind == FaceKind.BODY), body_h, lead_h)
    gap_mm = fit.standoff_mm
    perimeter_mm = 2 * sum(nozzle.aperture_mm)
    leak_h = _leak_coefficient(beyond, gap_mm, mass * (1 - nozzle.vented_up_fraction), perimeter_mm, air_c)
    decay = _wall_jet("wall_jet_temperature", beyond, gap_mm, perimeter_mm)
    return Jet(
        outlet_c=air_c,
        ambient_c=loads.ambient_c,
        heat_rate_w_k=mass * float(air(air_c).specific_heat_j_kgk),
        vented_up=nozzle.vented_up_fraction,
        inside=inside,
        h_w_m2k=np.where(worked, np.where(inside, cavity_h, leak_h), 0.0),
        decay=np.where(inside, 1.0, np.where(worked, decay, 0.0)),
        ring=_rings(beyond, worked & ~inside),
        validity=validity,
    )


def _cavity_coefficients(fit: NozzleFit, mass: float, air_c: float) -> tuple[float, float, tuple[str, ...]]:
    """Return h on the lead rows and on the target's body, W/m2K, and what lies outside the correlations' range."""
    nozzle, film = fit.nozzle, _film(air_c)
    width, length = (side * 1e-3 for side in nozzle.aperture_mm)
    if nozzle.outlet == "area" or nozzle.slot_width_mm is None:
        bore = 2 * width * length / (width + length)  # hydraulic diameter
        reynolds = mass / (width * length) * bore / float(film.viscosity_pa_s)
        round_jet = impingement.Round(reynolds, float(film.prandtl), max(2.0, fit.standoff_mm * 1e-3 / bore))
        nusselt = float(impingement.round_local(round_jet, np.asarray(0.25)))
        h = nusselt * float(film.conductivity_w_mk) / bore
        return h, h, (_range_note("full-area nozzle", reynolds, 2000),)
    slot = nozzle.slot_width_mm * 1e-3
    sides = 2 * length + (2 * width if nozzle.slot_sides == 4 else 0.0)
    reynolds = mass / (slot * sides) * 2 * slot / float(film.viscosity_pa_s)
    nusselt = impingement.slot_average(reynolds, float(film.prandtl), 2.0, 4.0)
    h = nusselt * float(film.conductivity_w_mk) / (2 * slot)
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
        f"range's lower end; the coefficient inside a boxed nozzle is good to a factor of {doubt:.0f}"
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
    film = _film(air_c)
    flux = mass / (perimeter_mm * gap_mm * 1e-6)
    fade = _wall_jet("wall_jet_velocity", beyond_mm, gap_mm, perimeter_mm)
    reach_m = (np.maximum(beyond_mm, 0.0) + gap_mm) * 1e-3
    reynolds = flux * fade * reach_m / film.viscosity_pa_s
    return 0.332 * np.sqrt(reynolds) * film.prandtl ** (1 / 3) * film.conductivity_w_mk / reach_m


def _open_jet(faces: Faces, loads: Loads, air_c: float, flow_l_min: float) -> Jet:
    """Return a round jet with its wall jet: Martin's local form, eta = cosh(0.25 r/D)^-0.8 (Goldstein 1990, memory)."""
    fit, film = loads.fit, _film(air_c)
    mass, bore = mass_flow_kg_s(flow_l_min), fit.nozzle.aperture_mm[0] * 1e-3
    reynolds = 4 * mass / (np.pi * bore * float(film.viscosity_pa_s))
    height = fit.standoff_mm * 1e-3
    round_jet = impingement.Round(reynolds, float(film.prandtl), max(2.0, height / bore))
    worked = faces.on_top == (loads.side == "top")
    radius_mm = np.hypot(faces.x_mm - fit.x_mm, faces.y_mm - fit.y_mm)
    over_bore = radius_mm * 1e-3 / bore
    share = number("heat", "jet", "decay_diameter_share")
    core = min(1.0, number("heat", "jet", "core_lengths") * share * bore / height)
    h = impingement.round_local(round_jet, np.maximum(over_bore, 1e-6)) * film.conductivity_w_mk / bore
    in_range = "" if round_jet.within_range and height / bore >= 2 else ", outside the correlation's range"
    return Jet(
        outlet_c=air_c,
        ambient_c=loads.ambient_c,
        heat_rate_w_k=mass * float(air(air_c).specific_heat_j_kgk),
        vented_up=0.0,
        inside=np.zeros(radius_mm.size, dtype=bool),
        h_w_m2k=np.where(worked, h, 0.0),
        decay=np.where(worked, core * np.cosh(0.25 * np.minimum(over_bore / share, 100.0)) ** -0.8, 0.0),
        ring=_rings(radius_mm, worked),
        validity=(f"round bore: Reynolds number {reynolds:.0f}, stand-off {height / bore:.1f} bores{in_range}",),
    )


def _film(air_c: float) -> Air:
    return air((air_c + number("heat", "jet", "surface_c")) / 2)


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


def _rings(distance_mm: Floats, reached: Bools) -> Ints:
    ring = np.minimum((distance_mm / RING_MM).astype(np.intp), MOST_RINGS - 1)
    return np.where(reached, ring, -1)


def leak_pressure_pa(loads: Loads, stages: tuple[Stage, ...], distance_mm: float) -> float:
    """Return the dynamic pressure, rho v2 / 2, of the strongest stage's air at a distance outside the nozzle.

    Boxed: the leak under the skirt. Round: the wall jet, v / v_outlet = min(1, 1.1 (r/D)^-1.1) (Poreh 1967, from
    memory).
    """
    blowing = [stage for stage in stages if stage.air_c is not None and stage.flow_l_min is not None]
    return max((_stage_pressure_pa(loads, stage, distance_mm) for stage in blowing), default=0.0)


def _stage_pressure_pa(loads: Loads, stage: Stage, distance_mm: float) -> float:
    nozzle, standoff = loads.fit.nozzle, loads.fit.standoff_mm
    mass = mass_flow_kg_s(stage.flow_l_min or 0.0)
    density = float(air(stage.air_c if stage.air_c is not None else loads.ambient_c).density_kg_m3)
    if nozzle.outlet == "round":
        bore = nozzle.aperture_mm[0]
        flux = mass / (np.pi / 4 * bore**2 * 1e-6)
        fade = min(1.0, 1.1 * max((distance_mm + bore / 2) / bore, 1e-3) ** -1.1)
    else:
        perimeter_mm = 2 * sum(nozzle.aperture_mm)
        flux = mass * (1 - nozzle.vented_up_fraction) / (perimeter_mm * standoff * 1e-6)
        fade = float(_wall_jet("wall_jet_velocity", distance_mm, standoff, perimeter_mm))
    return float((flux * fade) ** 2 / density / 2)
