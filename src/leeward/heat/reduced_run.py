"""March the stand-in of a model, many settings at once: states are (c, r), one row a setting."""

from collections.abc import Callable, Sequence
from dataclasses import replace

import numpy as np

from leeward.bench.records import Stage
from leeward.heat.covers import Contact
from leeward.heat.factors import Factors, of_air
from leeward.heat.grid import Floats
from leeward.heat.jets import jet
from leeward.heat.loads import Jet, Loads, arrive, stacked
from leeward.heat.records import Bools, ThermalModel
from leeward.heat.reduced import Reduced, lumped, lumped_contact, sampled
from leeward.heat.stepping import GAMMA, ROOM_W_M2K, Surroundings, room_w_m2k, step_of, touch

LOOKS_AT_LOSS = 4  # the loss to the room is looked at every so many steps: it changes too little to matter in between


def weather(model: ThermalModel, reduced: Reduced, loads: Sequence[Loads], stages: Sequence[Stage]) -> Surroundings:
    """Return what surrounds the lumps in each of c settings, as one record with a leading axis of c.

    The settings share nozzle, place and side; settings of air that repeat are looked at once.
    """
    jets: dict[tuple[float | None, float | None, Factors], Jet] = {}
    keys = [(stage.air_c, stage.flow_l_min, of_air(load.factors)) for load, stage in zip(loads, stages, strict=True)]
    for key, load, stage in zip(keys, loads, stages, strict=True):
        if key not in jets:
            jets[key] = _jet(model, reduced, load, stage)
    blows = np.array([[key[0] is not None and key[1] is not None] for key in keys])
    pattern = next((jets[key] for key, on in zip(keys, blows, strict=True) if on), jets[keys[0]])
    air = stacked([jets[key] if on else _hushed(pattern) for key, on in zip(keys, blows, strict=True)])
    contact = _touch(model, reduced, loads, stages, air.inside & blows)
    return Surroundings(
        jet=air,
        heater_w_m2k=contact.w_m2k,
        heater_c=contact.celsius,
        ambient_c=loads[0].ambient_c,
        board_length_m=model.board_length_m,
        room=contact.room,
    )


def _touch(
    model: ThermalModel, reduced: Reduced, loads: Sequence[Loads], stages: Sequence[Stage], inside: Bools
) -> Contact:
    """Return what the lumps meet besides air, (c, g) each; `inside` (c, g) are under a box that blows.

    Covers and gel lie over parts of lumps, so that with them the lumps have the means of their faces.
    """
    met: dict[tuple[float | None, float, bool], Contact] = {}
    keys = [
        (stage.board_heater_c, load.factors.heater, bool(under.any()))
        for load, stage, under in zip(loads, stages, inside, strict=True)
    ]
    for key, load, stage, under in zip(keys, loads, stages, inside, strict=True):
        if key in met:
            continue
        if load.covers:
            met[key] = lumped_contact(reduced, touch(model.faces, load, stage, under[reduced.group]))
        else:
            met[key] = touch(reduced.faces, load, stage, under)
    rows = [met[key] for key in keys]
    size = reduced.faces.node.size
    return Contact(
        np.array([row.w_m2k for row in rows]),
        np.array([np.broadcast_to(row.celsius, size) for row in rows]),
        np.array([row.room for row in rows]),
    )


def _jet(model: ThermalModel, reduced: Reduced, load: Loads, stage: Stage) -> Jet:
    if load.covers:  # which lie over parts of lumps
        return lumped(reduced, jet(model.faces, load, stage))
    return sampled(reduced, jet(reduced.samples, load, stage))


def _hushed(pattern: Jet) -> Jet:
    """Return a jet of the pattern's shape that brings nothing: air of the room at no coefficient."""
    nothing = np.zeros_like(pattern.h_w_m2k)
    return replace(pattern, outlet_c=pattern.ambient_c, heat_rate_w_k=1.0, vented_up=0.0, h_w_m2k=nothing)


def march(
    reduced: Reduced, around: Surroundings, factors: Sequence[Factors], start: Floats, seconds: float, step_s: float
) -> tuple[Floats, Floats]:
    """Return times (k,) s, the start's 0 first, and states (k, c, r), by the stages of `stepping` (SDIRK2)."""
    equal_s = step_of(seconds, step_s)
    step, loss = _stepper(reduced, around, factors, equal_s)
    states, lost = [start], loss(start)
    for i in range(round(seconds / equal_s)):
        if i % LOOKS_AT_LOSS == 0:
            lost = loss(states[-1])
        states.append(step(states[-1], lost))
    return np.arange(len(states), dtype=float) * equal_s, np.array(states)


def _stepper(
    reduced: Reduced, around: Surroundings, factors: Sequence[Factors], step_s: float
) -> tuple[Callable[[Floats, Floats], Floats], Callable[[Floats], Floats]]:
    """Return what takes states one step on, and what the lumps lose to the room beyond ROOM_W_M2K, W/m2."""
    rows, area = reduced.at_faces, reduced.faces.area_m2
    mass = np.array([reduced.mass(factor) for factor in factors]) / (GAMMA * step_s)
    conductance = np.array([reduced.conductance(factor) for factor in factors])
    fixed = around.jet.h_w_m2k + around.heater_w_m2k + ROOM_W_M2K * around.room
    inverse = np.linalg.inv(conductance + mass + np.tensordot(fixed, reduced.exchange_m2, axes=1))
    room = around.ambient_c

    def loss(state: Floats) -> Floats:
        face_c = room + state @ rows.T
        return (room_w_m2k(around, reduced.faces, face_c) - ROOM_W_M2K * around.room) * (face_c - room)

    heated = around.heater_w_m2k * (around.heater_c - room)
    blows = bool(around.jet.h_w_m2k.any())

    def driven(state: Floats, lost: Floats) -> Floats:
        flux = heated - lost
        if blows:
            air_c = arrive(around.jet, reduced.faces, room + state @ rows.T).air_c
            flux = flux + around.jet.h_w_m2k * (air_c - room)
        return np.asarray((area * flux) @ rows)

    def step(state: Floats, lost: Floats) -> Floats:
        load = driven(state, lost)  # the air's share changes too little within a step to be looked at twice
        first = _each(inverse, _each(mass, state) + load)
        slope = (1 - GAMMA) / GAMMA * (first - state)
        return _each(inverse, _each(mass, state + slope) + load)

    return step, loss


def _each(matrices: Floats, states: Floats) -> Floats:
    """Return matrix times state for each setting, (c, r)."""
    return np.asarray((matrices @ states[:, :, None])[:, :, 0])


def still(reduced: Reduced, settings: int) -> Floats:
    """Return states of a board at room temperature, (c, r)."""
    return np.zeros((settings, reduced.conductance_w_k.shape[0]))
