"""March the network through one stage.

M dT/dt = -K T + sum over faces A (h (T_aw - T) + h_heater (T_heater - T) - h_room(T) (T - T_room)). Two implicit
stages of equal diagonal (SDIRK2, gamma = 1 - 1/sqrt 2: second order, stiffly accurate) share one sparse factor.
What depends on temperature (the air that the board further in has cooled, natural convection, radiation) is taken
from the last known field.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
from scipy.sparse import csc_array, diags_array
from scipy.sparse.linalg import splu

from leeward.bench.records import Stage
from leeward.constants import number
from leeward.heat.grid import Floats
from leeward.heat.jets import jet
from leeward.heat.loads import Jet, Loads, arrive
from leeward.heat.losses import natural_w_m2k, radiation_w_m2k
from leeward.heat.records import Faces, ThermalModel

GAMMA = 1 - 1 / np.sqrt(2)
ROOM_W_M2K = 18.0  # what the factored matrix assumes of the loss to the room; the rest is carried on the right side


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What the faces of a model meet during one stage."""

    jet: Jet
    heater_w_m2k: Floats  # (m,), 0 where the heater does not reach
    heater_c: Floats | float
    ambient_c: float
    board_length_m: float
    room: Floats  # (m,) 1 where the face sees the room, 0 under a boxed nozzle or over the heater


@dataclass(frozen=True, slots=True)
class Fluxes:
    """Heat through the faces at one moment, W, (m,) each but for the last."""

    from_air_w: Floats
    from_heater_w: Floats
    to_room_w: Floats
    carried_w: float


def surroundings(model: ThermalModel, loads: Loads, stage: Stage) -> Surroundings:
    """Return what a stage puts round the board: jet on the worked side, heater on the other, room elsewhere."""
    faces = model.faces
    field = jet(faces, loads, stage)
    other = faces.on_top != (loads.side == "top")
    heated = other if stage.board_heater_c is not None else np.zeros_like(other)
    return Surroundings(
        jet=field,
        heater_w_m2k=np.where(heated, loads.factors.heater * loads.heater.coupling_w_m2k, 0.0),
        heater_c=loads.ambient_c if stage.board_heater_c is None else stage.board_heater_c,
        ambient_c=loads.ambient_c,
        board_length_m=model.board_length_m,
        room=np.where(field.inside | heated, 0.0, 1.0),
    )


def fluxes(around: Surroundings, faces: Faces, face_c: Floats) -> Fluxes:
    """Return the heat through every face at temperatures `face_c` (m,), from the laws themselves."""
    arrival = arrive(around.jet, faces, face_c)
    return Fluxes(
        from_air_w=faces.area_m2 * around.jet.h_w_m2k * (arrival.air_c - face_c),
        from_heater_w=faces.area_m2 * around.heater_w_m2k * (around.heater_c - face_c),
        to_room_w=faces.area_m2 * room_w_m2k(around, faces, face_c) * (face_c - around.ambient_c),
        carried_w=arrival.carried_w,
    )


def room_w_m2k(around: Surroundings, faces: Faces, face_c: Floats) -> Floats:
    """Return the loss to the room, (m,): radiation, and natural convection as far as no jet is stronger."""
    still = natural_w_m2k(face_c, around.ambient_c, around.board_length_m, faces_up=faces.on_top)
    glow = radiation_w_m2k(face_c, around.ambient_c, number("materials", "surface", "emissivity"))
    return around.room * (np.maximum(still - around.jet.h_w_m2k, 0.0) + glow)


def stepper(model: ThermalModel, around: Surroundings, step_s: float) -> Callable[[Floats], Floats]:
    """Return the function that takes a nodal field (n,) one step on. The factorisation happens here."""
    faces = model.faces
    fixed = around.jet.h_w_m2k + around.heater_w_m2k + ROOM_W_M2K * around.room
    exchange = np.bincount(faces.node, faces.area_m2 * fixed, minlength=model.capacity_j_k.size)
    matrix = model.conductance_w_k + diags_array(exchange + model.capacity_j_k / (GAMMA * step_s))
    factor = splu(csc_array(matrix), permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
    mass = model.capacity_j_k / (GAMMA * step_s)

    def driven(field: Floats) -> Floats:
        face_c = field[faces.node]
        air_c = arrive(around.jet, faces, face_c).air_c
        excess = (room_w_m2k(around, faces, face_c) - ROOM_W_M2K * around.room) * (face_c - around.ambient_c)
        flux = around.jet.h_w_m2k * air_c + around.heater_w_m2k * around.heater_c
        flux += ROOM_W_M2K * around.room * around.ambient_c - excess
        return np.bincount(faces.node, faces.area_m2 * flux, minlength=field.size).astype(float)

    def step(field: Floats) -> Floats:
        first = factor.solve(mass * field + driven(field))
        slope = (1 - GAMMA) / GAMMA * (first - field)
        return factor.solve(mass * (field + slope) + driven(first))

    return step


def march(model: ThermalModel, around: Surroundings, start: Floats, seconds: float, step_s: float) -> Iterator[Floats]:
    """Yield the field after each of the equal steps that fill the time, none longer than `step_s`."""
    equal_s = step_of(seconds, step_s)
    advance = stepper(model, around, equal_s)
    field = start
    for _ in range(round(seconds / equal_s)):
        field = advance(field)
        yield field


def step_of(seconds: float, step_s: float) -> float:
    """Return the longest equal step, not over `step_s`, that fills the time."""
    return seconds / max(1, int(np.ceil(seconds / step_s - 1e-9)))
