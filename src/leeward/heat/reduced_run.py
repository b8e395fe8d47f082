"""March the stand-in of a model, many settings at once: states are (c, r), one row a setting."""

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from leeward.bench.records import Stage
from leeward.heat.factors import Factors
from leeward.heat.grid import Floats
from leeward.heat.loads import Loads, arrive, stacked
from leeward.heat.records import ThermalModel
from leeward.heat.reduced import Reduced, lumped
from leeward.heat.stepping import GAMMA, ROOM_W_M2K, Surroundings, room_w_m2k, step_of, surroundings


def weather(model: ThermalModel, reduced: Reduced, loads: Sequence[Loads], stages: Sequence[Stage]) -> Surroundings:
    """Return what surrounds the lumps in each of c settings, as one record with a leading axis of c."""
    each = [lumped(reduced, surroundings(model, load, stage)) for load, stage in zip(loads, stages, strict=True)]
    return replace(
        each[0],
        jet=stacked([one.jet for one in each]),
        heater_w_m2k=np.array([one.heater_w_m2k for one in each]),
        heater_c=np.array([[one.heater_c] for one in each]),
        room=np.array([one.room for one in each]),
    )


def march(
    reduced: Reduced, around: Surroundings, factors: Sequence[Factors], start: Floats, seconds: float, step_s: float
) -> tuple[Floats, Floats]:
    """Return times (k,) s, the start's 0 first, and states (k, c, r), by the stages of `stepping` (SDIRK2)."""
    equal_s = step_of(seconds, step_s)
    step = _stepper(reduced, around, factors, equal_s)
    states = [start]
    for _ in range(round(seconds / equal_s)):
        states.append(step(states[-1]))
    return np.arange(len(states), dtype=float) * equal_s, np.array(states)


def _stepper(
    reduced: Reduced, around: Surroundings, factors: Sequence[Factors], step_s: float
) -> Callable[[Floats], Floats]:
    rows, area = reduced.at_faces, reduced.faces.area_m2
    mass = np.array([reduced.mass(factor) for factor in factors]) / (GAMMA * step_s)
    conductance = np.array([reduced.conductance(factor) for factor in factors])
    fixed = around.jet.h_w_m2k + around.heater_w_m2k + ROOM_W_M2K * around.room
    inverse = np.linalg.inv(conductance + mass + np.tensordot(fixed, reduced.exchange_m2, axes=1))
    room = around.ambient_c

    def driven(state: Floats) -> Floats:
        face_c = room + state @ rows.T
        air_c = arrive(around.jet, reduced.faces, face_c).air_c
        excess = (room_w_m2k(around, reduced.faces, face_c) - ROOM_W_M2K * around.room) * (face_c - room)
        flux = around.jet.h_w_m2k * (air_c - room) + around.heater_w_m2k * (around.heater_c - room) - excess
        return np.asarray((area * flux) @ rows)

    def step(state: Floats) -> Floats:
        first = _each(inverse, _each(mass, state) + driven(state))
        slope = (1 - GAMMA) / GAMMA * (first - state)
        return _each(inverse, _each(mass, state + slope) + driven(first))

    return step


def _each(matrices: Floats, states: Floats) -> Floats:
    """Return matrix times state for each setting, (c, r)."""
    return np.asarray((matrices @ states[:, :, None])[:, :, 0])


def still(reduced: Reduced, settings: int) -> Floats:
    """Return states of a board at room temperature, (c, r)."""
    return np.zeros((settings, reduced.conductance_w_k.shape[0]))
