"""March the network through one stage.

dH/dt = -K T + sum over faces A (h (T_aw - T) + h_heater (T_heater - T) - h_room(T) (T - T_room)), with the heat
content H = C T + L f(T) of nodes that melt. Two implicit stages of equal diagonal (SDIRK2, gamma = 1 - 1/sqrt 2:
second order, stiffly accurate; Alexander, SIAM J. Numer. Anal. 14 (1977) 1006) share one sparse factor. What depends
on temperature beyond the factored matrix (the air that the board further in has cooled, natural convection,
radiation) is first taken from a forecast and then again from the answer until the two agree. The heat of a step is
the scheme's own sum of the laws at its two stage fields, so that a run closes its balance.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from scipy.sparse import csr_array, diags_array

from leeward.bench.records import Stage
from leeward.constants import number
from leeward.errors import LeewardError
from leeward.heat.covers import Contact, covered
from leeward.heat.factor import Factor, factored
from leeward.heat.grid import Floats
from leeward.heat.jets import jet
from leeward.heat.loads import Jet, Loads, arrive
from leeward.heat.losses import radiation_w_m2k, still_w_m2k
from leeward.heat.melting import Response, molten
from leeward.heat.records import Bools, Faces, Ints, ThermalModel

GAMMA = 1 - 1 / np.sqrt(2)
ROOM_W_M2K = 18.0  # what the factored matrix assumes of the loss to the room; the rest is carried on the right side
MOST_ROUNDS = 40  # of taking the loads from the answer again
CLOSE_C = 0.05  # no node may be further off than this when the loads have been taken again
CLOSE_SHARE = 3e-4  # nor the sum of the loads by more than this share of the heat that passes the faces
LEAST_W = 1e-6  # of heat that does not count: rounding, on a board at rest
EASED_STEPS = 4  # short ones at the start of a stage that is eased in


@dataclass(frozen=True, slots=True)
class Surroundings:
    """What the faces of a model meet during one stage."""

    jet: Jet
    heater_w_m2k: Floats  # (m,), 0 where neither the heater nor wet gel reaches
    heater_c: Floats | float  # (m,), or one for all
    ambient_c: float
    board_length_m: float
    room: Floats  # (m,) 1 where the face sees the room, 0 under a boxed nozzle or over the heater


@dataclass(frozen=True, slots=True)
class Fluxes:
    """Heat through the faces, at one moment or as a mean over a step, W, (m,) each but for the last."""

    from_air_w: Floats
    from_heater_w: Floats
    to_room_w: Floats
    carried_w: float


@dataclass(frozen=True, slots=True)
class Step:
    """One step: how long it is, the nodal field at its end (n,), and the mean heat through the faces during it."""

    seconds: float
    field: Floats
    flux: Fluxes


def surroundings(model: ThermalModel, loads: Loads, stage: Stage) -> Surroundings:
    """Return what a stage puts round the board: jet on the worked side, heater on the other, room elsewhere."""
    field = jet(model.faces, loads, stage)
    contact = touch(model.faces, loads, stage, field.inside)
    return Surroundings(
        jet=field,
        heater_w_m2k=contact.w_m2k,
        heater_c=contact.celsius,
        ambient_c=loads.ambient_c,
        board_length_m=model.board_length_m,
        room=contact.room,
    )


def touch(faces: Faces, loads: Loads, stage: Stage, inside: Bools) -> Contact:
    """Return what faces meet besides the nozzle's air, covers and gel in place; those `inside` (m,) see no room."""
    other = faces.facing("bottom" if loads.side == "top" else "top")
    heated = other if stage.board_heater_c is not None else np.zeros_like(other)
    bare = Contact(
        w_m2k=np.where(heated, loads.factors.heater * loads.heater.coupling_w_m2k, 0.0),
        celsius=loads.ambient_c if stage.board_heater_c is None else stage.board_heater_c,
        room=np.where(inside | heated, 0.0, 1.0),
    )
    return covered(bare, faces, loads.covers)


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
    seen = np.broadcast_to(around.room > 0, face_c.shape)  # the laws are dear, and half of the faces see no room
    up = np.broadcast_to(faces.on_top, face_c.shape)[seen]
    blown = np.broadcast_to(around.jet.h_w_m2k, face_c.shape)[seen]
    still = still_w_m2k(face_c[seen], around.ambient_c, around.board_length_m, faces_up=up)
    glow = radiation_w_m2k(face_c[seen], around.ambient_c, number("materials", "surface", "emissivity"))
    lost = np.zeros(face_c.shape)
    lost[seen] = np.maximum(still - blown, 0.0) + glow
    return around.room * lost


def march(
    model: ThermalModel, around: Surroundings, start: Floats, seconds: float, step_s: float, *, eased: bool = False
) -> Iterator[Step]:
    """Yield the steps that fill the time, none longer than `step_s`, from a nodal field (n,).

    They are equal; where a stage is eased in, EASED_STEPS of GAMMA times that length come first, by their first stage
    alone (implicit Euler, with the same factor): nodes that follow their air at once, which the two stages together
    would throw past it, then go there without overshooting (Rannacher, Numer. Math. 43 (1984) 309, from memory).

    The factorisation happens here. Raises LeewardError where the loads of a step do not come to rest, which would be
    a defect of the model and not of its input.
    """
    short = EASED_STEPS if eased else 0
    whole = max(0 if eased else 1, int(np.ceil(seconds / step_s - short * GAMMA - 1e-9)))
    equal_s = seconds / (whole + short * GAMMA)
    stage = _implicit(model, around, GAMMA * equal_s)
    field, loads = start, _Forecast(*[_load_w(stage, start, _fluxes_at(stage, start))] * 2)
    for i in range(short + whole):
        step, loads = _ease(stage, field, loads) if i < short else _advance(stage, equal_s, field, loads)
        yield step
        field = step.field


def step_of(seconds: float, step_s: float) -> float:
    """Return the longest equal step, not over `step_s`, that fills the time."""
    return seconds / max(1, int(np.ceil(seconds / step_s - 1e-9)))


@dataclass(frozen=True)  # no slots: the response is kept once it has been asked for
class _Implicit:
    """The equation of one implicit stage: (C / tau + K + exchange) T = what the loads and the stage's start give."""

    model: ThermalModel
    around: Surroundings
    tau_s: float
    exchange_w_k: Floats  # (n,) what the matrix holds of the loads
    factor: Factor

    @cached_property
    def response(self) -> Response:
        """How the melting nodes answer to heat at them."""
        stiffness = self.factor.schur(self.model.melting.node.size)
        return Response(stiffness, np.linalg.inv(stiffness).astype(float))


@dataclass(frozen=True, slots=True)
class _Forecast:
    """Loads at a step's first stage and at its end, (n,) W, from which the next step's are drawn on."""

    first_w: Floats
    end_w: Floats

    @property
    def next_first_w(self) -> Floats:
        """What the next step's first stage is forecast to have, by a straight line."""
        forecast: Floats = self.end_w + (self.end_w - self.first_w) * GAMMA / (1 - GAMMA)
        return forecast


def _implicit(model: ThermalModel, around: Surroundings, tau_s: float) -> _Implicit:
    faces = model.faces
    fixed = around.jet.h_w_m2k + around.heater_w_m2k + ROOM_W_M2K * around.room
    exchange = np.bincount(faces.node, faces.area_m2 * fixed, minlength=model.capacity_j_k.size).astype(float)
    matrix = csr_array(model.conductance_w_k + diags_array(exchange + model.capacity_j_k / tau_s))
    return _Implicit(model, around, tau_s, exchange, factored(matrix, model.order))


def _ease(stage: _Implicit, field: Floats, past: _Forecast) -> tuple[Step, _Forecast]:
    """Return a step of one implicit stage from a field, and the loads to forecast the next one's by."""
    end, flux, end_w = _settled(stage, stage.model.heat_j(field), past.next_first_w, field)
    first_w = end_w - (end_w - past.end_w) * (1 - GAMMA) / GAMMA  # as far back as a whole step's first stage
    return Step(stage.tau_s, end, flux), _Forecast(first_w, end_w)


def _advance(stage: _Implicit, step_s: float, field: Floats, past: _Forecast) -> tuple[Step, _Forecast]:
    """Return the step from a field, and the loads to forecast the next one's by."""
    held_j = stage.model.heat_j(field)
    first, first_flux, first_w = _settled(stage, held_j, past.next_first_w, field)
    slope_j = (1 - GAMMA) / GAMMA * (stage.model.heat_j(first) - held_j)
    drawn_on = past.end_w + (first_w - past.end_w) / GAMMA
    end, end_flux, end_w = _settled(stage, held_j + slope_j, drawn_on, first)
    return Step(step_s, end, mean_flux(first_flux, end_flux, GAMMA)), _Forecast(first_w, end_w)


def _settled(stage: _Implicit, held_j: Floats, forecast_w: Floats, near: Floats) -> tuple[Floats, Fluxes, Floats]:
    """Return field, fluxes and loads that agree: H(T) = held + tau (loads(T) - K T)."""
    load_w, share = forecast_w, stage.model.melting.share(near[stage.model.melting.node])
    for _ in range(MOST_ROUNDS):
        field, share = _answer(stage, held_j / stage.tau_s + load_w, share)
        flux = _fluxes_at(stage, field)
        forecast_w, load_w = load_w, _load_w(stage, field, flux)
        if _at_rest(stage, load_w - forecast_w, flux):
            return field, flux, load_w
    raise LeewardError(f"a step's loads do not come to rest in {MOST_ROUNDS} rounds", do="report the board as a defect")


def _answer(stage: _Implicit, right_w: Floats, share: Floats) -> tuple[Floats, Floats]:
    """Return the field of a right side (n,), W, and the molten shares (k,) with it; `share` is a first guess."""
    melting, latent_w = stage.model.melting, stage.model.melting.latent_j / stage.tau_s
    field = stage.factor.solve(_less(right_w, melting.node, latent_w * share))
    if np.array_equal(melting.share(field[melting.node]), share):
        return field, share
    share = molten(melting, stage.response, field[melting.node], share, stage.tau_s)
    return stage.factor.solve(_less(right_w, melting.node, latent_w * share)), share


def _less(right_w: Floats, node: Ints, taken_w: Floats) -> Floats:
    left = right_w.copy()
    left[node] -= taken_w
    return left


def _fluxes_at(stage: _Implicit, field: Floats) -> Fluxes:
    return fluxes(stage.around, stage.model.faces, field[stage.model.faces.node])


def _load_w(stage: _Implicit, field: Floats, flux: Fluxes) -> Floats:
    """Return the right side that stands for the faces' heat beside the exchange in the matrix, (n,) W."""
    load: Floats = net_w(stage.model, flux) + stage.exchange_w_k * field
    return load


def _at_rest(stage: _Implicit, change_w: Floats, flux: Fluxes) -> bool:
    """Tell whether a change of the loads moves no node noticeably, nor the balance (rows of the matrix bound both)."""
    passing_w = np.abs(flux.from_air_w).sum() + np.abs(flux.from_heater_w).sum() + np.abs(flux.to_room_w).sum()
    if abs(change_w.sum()) > max(CLOSE_SHARE * passing_w, LEAST_W):
        return False
    firm_w_k = stage.model.capacity_j_k / stage.tau_s + stage.exchange_w_k
    return bool(np.all(np.abs(change_w) <= CLOSE_C * firm_w_k + LEAST_W))


def net_w(model: ThermalModel, flux: Fluxes) -> Floats:
    """Return the heat through the faces of each node, W, (n,)."""
    net = flux.from_air_w + flux.from_heater_w - flux.to_room_w
    return np.bincount(model.faces.node, net, minlength=model.capacity_j_k.size).astype(float)


def mean_flux(first: Fluxes, last: Fluxes, last_share: float) -> Fluxes:
    """Return the mean of two moments, the last one counting for its share."""

    def mixed(a: Floats, b: Floats) -> Floats:
        mean: Floats = (1 - last_share) * a + last_share * b
        return mean

    return Fluxes(
        mixed(first.from_air_w, last.from_air_w),
        mixed(first.from_heater_w, last.from_heater_w),
        mixed(first.to_room_w, last.to_room_w),
        (1 - last_share) * first.carried_w + last_share * last.carried_w,
    )
