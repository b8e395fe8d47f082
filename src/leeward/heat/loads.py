"""What stands outside the board, and what the nozzle's air still brings to every face.

Heat flux is h (T_aw - T), T_aw = T_room + eta f (T_source - T_room): eta is the wall jet's own decay, f the share
of its heat that the board further in has not taken yet (the energy limiter), T_source the outlet's temperature,
or the cavity's under a boxed nozzle.
"""

from dataclasses import dataclass, field
from functools import lru_cache

import numpy as np
from scipy.sparse import csr_array

from leeward.bench.records import BoardHeater, NozzleFit
from leeward.board.records import Side
from leeward.heat.covers import Shelter
from leeward.heat.factors import Factors
from leeward.heat.grid import Floats
from leeward.heat.records import Bools, Faces, Ints

LEAST_KEPT = 1e-6  # running products under this are not divided by
RING_MM = 1.0  # the limiter marches outward in rings of this width
MOST_RINGS = 200
NO_HEAT_W = 1e-9


@dataclass(frozen=True, slots=True)
class Loads:
    """Everything outside the board: the nozzle in place, the heater on the other side, the room, what is covered."""

    fit: NozzleFit
    side: Side  # the side that is worked on
    heater: BoardHeater
    ambient_c: float
    tucked: bool = False  # the target's joints lie under its body's edge, where less of the air gets
    factors: Factors = field(default_factory=Factors)
    covers: tuple[Shelter, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)  # one jet is itself alone, so that what it meets can be kept
class Jet:
    """The air of one stage on the faces of a model, (m,) each.

    Several jets of one nozzle make one record (`stacked`): then h, decay and the numbers have a leading axis (c, m)
    and (c, 1).
    """

    outlet_c: Floats | float
    ambient_c: float
    heat_rate_w_k: Floats | float  # mass flow times specific heat
    vented_up: Floats | float
    inside: Bools  # under a boxed nozzle
    h_w_m2k: Floats
    decay: Floats  # eta; 1 inside
    ring: Ints  # outward; -1 where no jet arrives
    validity: tuple[str, ...]
    by_ring: csr_array | None = None  # of stacked jets: (rings, faces outside), ones where a face is in a ring


@dataclass(frozen=True, slots=True)
class Arrival:
    """Air at the faces at one moment: its temperature (m,), and what all jets carried away from the outlet, W."""

    air_c: Floats
    carried_w: float


def no_jet(faces: Faces, ambient_c: float) -> Jet:
    """Return still air."""
    still = np.zeros(faces.node.size)
    return Jet(ambient_c, ambient_c, 0.0, 0.0, still > 0, still, still, np.full(still.size, -1), ())


def stacked(jets: list[Jet]) -> Jet:
    """Return the jets of one nozzle, all blowing, as one record with a leading axis."""

    def column(name: str) -> Floats:
        return np.array([[getattr(jet, name)] for jet in jets], dtype=float)

    first = jets[0]
    return Jet(
        column("outlet_c"),
        first.ambient_c,
        column("heat_rate_w_k"),
        column("vented_up"),
        first.inside,
        np.array([jet.h_w_m2k for jet in jets]),
        np.array([jet.decay for jet in jets]),
        first.ring,
        first.validity,
        _picks(first.ring[_outside(first)]),
    )


def arrive(jet: Jet, faces: Faces, face_c: Floats) -> Arrival:
    """Return the air at each face for the faces' temperatures, (m,) or (c, m).

    Cavity: m c (T_outlet - T_cavity) = sum h A (T_cavity - T). Outside, ring by ring: what a ring takes is no
    longer there for the next.
    """
    if np.all(jet.heat_rate_w_k == 0):
        return Arrival(np.full(face_c.shape, jet.ambient_c), 0.0)
    way = _way(jet, faces)
    taken = np.sum(way.inner_w_k * face_c[..., way.inner], axis=-1, keepdims=face_c.ndim > 1)
    source = (jet.heat_rate_w_k * jet.outlet_c + taken) / (jet.heat_rate_w_k + way.cavity_w_k)
    air_c = np.full(face_c.shape, jet.ambient_c)
    air_c[..., way.inner] = source
    air_c[..., way.outer] += way.decay * _heat_left(jet, way, face_c, source) * (source - jet.ambient_c)
    carried = np.sum(jet.heat_rate_w_k * (jet.outlet_c - jet.ambient_c))
    return Arrival(air_c, float(carried))


@dataclass(frozen=True, slots=True)
class _Way:
    """What a jet's air meets on its way, whatever the temperatures: faces inside (i,), and outside (o,) by ring."""

    inner: Ints
    inner_w_k: Floats  # (i,) or (c, i): h A
    cavity_w_k: Floats  # their sum, (1,) or (c, 1)
    outer: Ints
    outer_w_k: Floats  # (o,) or (c, o)
    decay: Floats  # (o,) or (c, o)
    ring: Ints  # (o,)
    gain: Floats  # (rings,) or (rings, c): the share of what comes to a ring that a board at room temperature takes
    kept: Floats  # its running product of 1 - gain


@lru_cache(maxsize=4)
def _way(jet: Jet, faces: Faces) -> _Way:
    """Return what a jet meets. It is the same for all steps of a stage, and kept for that long."""
    weight, inner, outer = jet.h_w_m2k * faces.area_m2, np.flatnonzero(jet.inside), _outside(jet)
    decay, ring = jet.decay[..., outer], jet.ring[outer]
    offered = _by_ring(jet, weight[..., outer] * decay, ring)
    gain = offered / np.squeeze(np.maximum(jet.heat_rate_w_k * (1 - jet.vented_up), NO_HEAT_W))
    inner_w_k = weight[..., inner]
    return _Way(
        inner=inner,
        inner_w_k=inner_w_k,
        cavity_w_k=np.sum(inner_w_k, axis=-1, keepdims=inner_w_k.ndim > 1),
        outer=outer,
        outer_w_k=weight[..., outer],
        decay=decay,
        ring=ring,
        gain=gain,
        kept=np.cumprod(1.0 - gain, axis=0),
    )


def _heat_left(jet: Jet, way: _Way, face_c: Floats, source_c: Floats) -> Floats:
    """Return the share f of the leaving heat that still flows at each face outside, (o,) or (c, o)."""
    if way.outer.size == 0:
        return np.zeros(way.decay.shape)
    drained = _by_ring(jet, way.outer_w_k * (face_c[..., way.outer] - jet.ambient_c), way.ring)
    leaving = np.maximum(jet.heat_rate_w_k * (1 - jet.vented_up) * (source_c - jet.ambient_c), NO_HEAT_W)
    return np.asarray(_shares(way, drained / np.squeeze(leaving)).T[..., way.ring])


def _shares(way: _Way, loss: Floats) -> Floats:
    """Return the share that reaches each ring, (rings, ...): the next has share (1 - gain) + loss, within 0 and 1.

    While it stays within, the recursion has a closed form in running products and sums.
    """
    if way.kept.size and way.kept.min() > LEAST_KEPT:
        after = way.kept * (1.0 + np.cumsum(loss / way.kept, axis=0))
        if after.min() >= 0.0 and after.max() <= 1.0:
            return np.concatenate([np.ones((1, *after.shape[1:])), after[:-1]])
    share, shares = np.ones(way.gain.shape[1:]), np.ones(way.gain.shape)
    for i, (taken, given) in enumerate(zip(way.gain, loss, strict=True)):
        shares[i] = share
        share = np.minimum(np.maximum(share * (1.0 - taken) + given, 0.0), 1.0)
    return shares


def _outside(jet: Jet) -> Ints:
    return np.flatnonzero(~jet.inside & (jet.ring >= 0))


def _by_ring(jet: Jet, values: Floats, ring: Ints) -> Floats:
    """Return sums over the rings, (rings,) or (rings, c)."""
    if jet.by_ring is None:
        return np.bincount(ring, values).astype(float)
    return np.asarray(jet.by_ring @ values.T)


def _picks(ring: Ints) -> csr_array:
    shape = (int(ring.max(initial=-1)) + 1, ring.size)
    return csr_array((np.ones(ring.size), (ring, np.arange(ring.size))), shape=shape)


def rings(distance_mm: Floats, reached: Bools) -> Ints:
    """Return the ring that each face lies in, (m,), -1 where no air arrives."""
    ring = np.minimum((distance_mm / RING_MM).astype(np.intp), MOST_RINGS - 1)
    return np.where(reached, ring, -1)
