"""A small stand-in for a thermal model, to try many recipes with.

The nodal field above the room is taken as V x with few columns in V (n, r), V^T M V = 1: the responses of the board to
what heats it (heater, air under the nozzle, air near and far outside) at a few rates s, and the responses to those:
(L + s M)^-1 b and (L + s M)^-1 M (L + s M)^-1 b, a rational Krylov space (method: Ruhe, Linear Algebra Appl. 58 (1984)
391, from memory). Faces are lumped where the jet treats them alike, each body for itself; what a lump takes from its
air is summed over its faces as they are, so that a warm and a cold side of one ring stay apart.
"""

from collections.abc import Mapping
from dataclasses import dataclass, fields, replace

import numpy as np
from scipy.sparse import csr_array, diags_array

from leeward.bench.records import Stage
from leeward.heat.covers import Contact
from leeward.heat.factor import Factor, factored
from leeward.heat.factors import Factors
from leeward.heat.grid import Floats
from leeward.heat.loads import Jet, Loads
from leeward.heat.records import FaceKind, Faces, Ints, ThermalModel
from leeward.heat.scaled import board_nodes, in_plane
from leeward.heat.stepping import ROOM_W_M2K, Surroundings, surroundings

LEAST_SHARE = 1e-7  # responses that add less than this to the others are left out
STRENGTH_STEPS = 12.0  # faces whose coefficients differ by less than about exp(1/12), 8 %, are lumped
FAR_MM = 3.0  # faces without air are lumped by distance in steps of this


@dataclass(frozen=True, slots=True)
class Effort:
    """Which responses make the stand-in. Each rate costs a factor, each further turn next to nothing."""

    rates_1_s: tuple[float, ...]  # with air
    warm_1_s: float | None  # without air
    turns: int  # how often a response is put in again as a source
    ring_bounds: tuple[int, ...]  # mm outside the nozzle between which the leaving air is one source


THOROUGH = Effort((0.5, 0.01), 0.01, 3, (0, 2, 6, 10**6))  # what passes in seconds, and in a soak or a reflow
QUICK = Effort((0.7, 0.05), None, 2, (0, 1, 3, 6, 12, 10**6))


@dataclass(frozen=True, slots=True)
class Reduced:
    """The stand-in. Matrices are (r, r); reading is by rows: faces (g, r), joints (j, r), bodies' top faces (b, r).

    `at_watched` (k, r) reads what else was asked for when the stand-in was made.
    """

    basis: Floats  # V, (n, r): the nodal field above the room of a state
    factors: Mapping[float, Factor]  # of L + s M with air, by the rate s, 1/s
    conductance_w_k: Floats
    in_plane_w_k: Floats
    board_share: Floats  # of the unit mass matrix
    body_share: Floats
    faces: Faces  # lumped, (g,)
    group: Ints  # (m,): the lump that each face of the model is in
    weight: Floats  # (m,): its share of the lump's area
    samples: Faces  # of each lump the face that the jet treats most like the whole, (g,)
    over_sample: Floats  # (2, g): the lump's coefficient over its sample's, and its decay over that one's
    exchange_m2: Floats  # (g, r, r): of each lump, by which a coefficient becomes a conductance matrix
    at_faces: Floats
    at_joints: Floats
    at_tops: Floats
    at_watched: Floats
    ambient_c: float

    def conductance(self, factors: Factors) -> Floats:
        """Return the conductance matrix with the factor on copper."""
        return self.conductance_w_k + (factors.copper - 1.0) * self.in_plane_w_k

    def mass(self, factors: Factors) -> Floats:
        """Return the mass matrix with the factors on laminate and bodies."""
        return factors.laminate_heat * self.board_share + factors.body_heat * self.body_share


def reduce(
    model: ThermalModel,
    loads: Loads,
    stages: tuple[Stage, ...],
    effort: Effort = THOROUGH,
    watched: csr_array | None = None,
) -> Reduced:
    """Return the stand-in of a model for recipes like the stages given: the same nozzle and heater, other settings.

    `watched` (k, n) holds weights on nodes of further temperatures to be read.
    """
    blowing = next((stage for stage in stages if stage.air_c is not None), stages[-1])
    warm = next((stage for stage in stages if stage.board_heater_c is not None), stages[0])
    on = surroundings(model, loads, blowing)
    basis, factors = _basis(model, on, surroundings(model, loads, replace(warm, air_c=None)), effort)
    group = _lumps(model.faces, on.jet, loads)
    faces, weight = _lumped_faces(model.faces, group)
    samples, over_sample = _samples(model.faces, on.jet, group, weight)
    lumping = csr_array((weight, (group, np.arange(group.size))))
    at_every_face = basis[model.faces.node]
    mass = model.capacity_j_k[:, None] * basis
    first = board_nodes(model)
    return Reduced(
        basis=basis,
        factors=factors,
        conductance_w_k=basis.T @ (model.conductance_w_k @ basis),
        in_plane_w_k=basis.T @ (in_plane(model) @ basis),
        board_share=basis[:first].T @ mass[:first],
        body_share=basis[first:].T @ mass[first:],
        faces=faces,
        group=group,
        weight=weight,
        samples=samples,
        over_sample=over_sample,
        exchange_m2=_exchange_m2(model.faces, group, at_every_face),
        at_faces=np.asarray(lumping @ at_every_face),
        at_joints=np.asarray(model.joint_share @ basis),
        at_tops=basis[[body.top_face for body in model.bodies.values()]],
        at_watched=np.empty((0, basis.shape[1])) if watched is None else np.asarray(watched @ basis),
        ambient_c=loads.ambient_c,
    )


def lumped(reduced: Reduced, jet: Jet) -> Jet:
    """Return a jet on the model's faces as one on the lumps."""
    h, decay = _lump_means(jet, reduced.group, reduced.weight)
    ring = np.full(h.size, -1, dtype=np.intp)
    ring[reduced.group] = _ranks(jet.ring)
    inside = np.zeros(h.size, dtype=bool)
    inside[reduced.group] = jet.inside
    return replace(jet, inside=inside, ring=ring, h_w_m2k=h, decay=decay)


def lumped_contact(reduced: Reduced, contact: Contact) -> Contact:
    """Return what the model's faces meet besides air as what the lumps do."""
    group, weight = reduced.group, reduced.weight
    w_m2k = np.bincount(group, weight * contact.w_m2k).astype(float)
    brought = np.bincount(group, weight * contact.w_m2k * contact.celsius)
    celsius = np.divide(brought, w_m2k, out=np.full(w_m2k.size, reduced.ambient_c), where=w_m2k > 0)
    return Contact(w_m2k, celsius, np.bincount(group, weight * contact.room).astype(float))


def sampled(reduced: Reduced, jet: Jet) -> Jet:
    """Return a jet on the samples as one on the lumps: the lumps' means go with their samples."""
    h, decay = reduced.over_sample * [jet.h_w_m2k, jet.decay]
    return replace(jet, ring=_ranks(jet.ring), h_w_m2k=h, decay=np.minimum(decay, 1.0))


def _samples(faces: Faces, jet: Jet, group: Ints, weight: Floats) -> tuple[Faces, Floats]:
    h, decay = _lump_means(jet, group, weight)
    off = np.abs(np.log(np.maximum(jet.h_w_m2k, 1e-9) / np.maximum(h[group], 1e-9)))
    order = np.lexsort((off, group))
    sample = order[np.unique(group[order], return_index=True)[1]]
    chosen = Faces(*(getattr(faces, field.name)[sample] for field in fields(faces)))
    own_h, own_decay = jet.h_w_m2k[sample], jet.decay[sample]
    over = [np.divide(a, b, out=np.zeros_like(a), where=b > 0) for a, b in ((h, own_h), (decay, own_decay))]
    return chosen, np.array(over)


def _lump_means(jet: Jet, group: Ints, weight: Floats) -> tuple[Floats, Floats]:
    """Return coefficient and decay of each lump, (g,) each, the decay weighed by what the faces take."""
    h = np.bincount(group, weight * jet.h_w_m2k).astype(float)
    carried = np.bincount(group, weight * jet.h_w_m2k * jet.decay).astype(float)
    return h, np.divide(carried, h, out=np.zeros_like(h), where=h > 0)


def _ranks(ring: Ints) -> Ints:
    """Return rings numbered without gaps, -1 where there is none: rings that hold no face take no heat."""
    held = ring >= 0
    ranked = np.full(ring.size, -1, dtype=np.intp)
    ranked[held] = np.unique(ring[held], return_inverse=True)[1].ravel()
    return ranked


def _basis(
    model: ThermalModel, on: Surroundings, off: Surroundings, effort: Effort
) -> tuple[Floats, dict[float, Factor]]:
    sources = _sources(model, on, effort.ring_bounds)
    factors = {rate: _factor(model, on, rate) for rate in effort.rates_1_s}
    responses = [_responses(model, factor, sources, effort.turns) for factor in factors.values()]
    if effort.warm_1_s is not None:
        responses.append(_responses(model, _factor(model, off, effort.warm_1_s), sources[:, :2], effort.turns))
    root = np.sqrt(model.capacity_j_k)[:, None]
    alike = np.hstack(responses) * root
    left, strength, _ = np.linalg.svd(alike / np.linalg.norm(alike, axis=0), full_matrices=False)
    basis: Floats = left[:, strength > LEAST_SHARE * strength[0]] / root
    return basis, factors


def _sources(model: ThermalModel, on: Surroundings, bounds: tuple[int, ...]) -> Floats:
    """Return what heats the nodes, (n, k): board heater, room, air inside the nozzle, air outside by distance."""
    jet = on.jet
    strength = jet.h_w_m2k * jet.decay
    outside = [
        np.where(~jet.inside & (jet.ring >= a) & (jet.ring < b), strength, 0.0)
        for a, b in zip(bounds[:-1], bounds[1:], strict=True)
    ]
    per_face = [on.heater_w_m2k, on.room, np.where(jet.inside, jet.h_w_m2k, 0.0), *outside]
    columns = [_at_nodes(model, values) for values in per_face]
    return np.column_stack([column for column in columns if column.any()])


def _factor(model: ThermalModel, around: Surroundings, rate_1_s: float) -> Factor:
    exchange = _at_nodes(model, around.jet.h_w_m2k + around.heater_w_m2k + ROOM_W_M2K * around.room)
    matrix = model.conductance_w_k + diags_array(exchange + rate_1_s * model.capacity_j_k)
    return factored(csr_array(matrix), model.order)


def _responses(model: ThermalModel, factor: Factor, sources: Floats, turns: int) -> Floats:
    found = [factor.solve(sources)]
    while len(found) < turns:
        found.append(factor.solve(model.capacity_j_k[:, None] * found[-1]))
    return np.hstack(found)


def _at_nodes(model: ThermalModel, per_m2: Floats) -> Floats:
    faces = model.faces
    return np.bincount(faces.node, faces.area_m2 * per_m2, minlength=model.capacity_j_k.size).astype(float)


def _exchange_m2(faces: Faces, group: Ints, at_faces: Floats) -> Floats:
    """Return the sum of A v v^T over each lump's faces, (g, r, r)."""
    order = np.argsort(group, kind="stable")
    bounds = np.searchsorted(group[order], np.arange(group.max() + 2))
    weighed = at_faces * faces.area_m2[:, None]
    lumps = [order[a:b] for a, b in zip(bounds[:-1], bounds[1:], strict=True)]
    return np.array([at_faces[lump].T @ weighed[lump] for lump in lumps])


def _lumps(faces: Faces, jet: Jet, loads: Loads) -> Ints:
    """Return a number for each face, the same for faces that the jet treats alike, (m,)."""
    body = faces.kind == FaceKind.BODY
    strength = np.round(STRENGTH_STEPS * np.log(np.maximum(jet.h_w_m2k, 1e-3)))
    away = np.hypot(faces.x_mm - loads.fit.x_mm, faces.y_mm - loads.fit.y_mm)
    still = jet.h_w_m2k <= 0
    key = np.column_stack(
        [
            faces.on_top,
            faces.kind,
            faces.of_target,
            jet.inside,
            np.where(jet.inside, -1, jet.ring),
            np.where(body, 0.0, np.where(still, np.round(away / FAR_MM), strength)),  # a body has one temperature
            np.where(body, faces.node, -1),
        ]
    ).astype(np.intp)
    _, group = np.unique(key, axis=0, return_inverse=True)
    return group.ravel()


def _lumped_faces(faces: Faces, group: Ints) -> tuple[Faces, Floats]:
    """Return the lumps as faces, and each face's share of its lump's area, (m,)."""
    area = np.bincount(group, faces.area_m2)
    weight = np.divide(faces.area_m2, area[group], out=np.zeros(group.size), where=area[group] > 0)
    first = np.unique(group, return_index=True)[1]
    return (
        Faces(
            node=np.arange(area.size),
            area_m2=area.astype(float),
            x_mm=np.bincount(group, weight * faces.x_mm).astype(float),
            y_mm=np.bincount(group, weight * faces.y_mm).astype(float),
            on_top=faces.on_top[first],
            kind=faces.kind[first],
            of_target=faces.of_target[first],
        ),
        weight,
    )
