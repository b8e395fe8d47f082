"""The heat model and its answer as records. Arrays are named with shape, unit and frame."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import IntEnum
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from leeward.board.records import Side
from leeward.heat.grid import Floats, Grid
from leeward.heat.stack import Stack

if TYPE_CHECKING:
    from scipy.sparse import csr_array

Ints = NDArray[np.intp]
Bools = NDArray[np.bool_]


class FaceKind(IntEnum):
    """What a face that air touches belongs to."""

    BOARD = 0
    BODY = 1  # a part's body, the target's included
    LEAD = 2  # leads that have nodes of their own
    EDGE = 3  # the board's rim and the walls of its cut-outs


@dataclass(frozen=True, slots=True, eq=False)  # one set of faces is itself alone
class Faces:
    """All faces that air touches, (m,) each."""

    node: Ints
    area_m2: Floats
    x_mm: Floats
    y_mm: Floats
    on_top: Bools  # which side of the board the face is on; an edge is on neither, and counts as looking up
    kind: NDArray[np.int8]
    of_target: Bools

    def facing(self, side: Side) -> Bools:
        """Return which faces look to a side of the board, (m,); edges look to neither."""
        looking: Bools = (self.on_top == (side == "top")) & (self.kind != FaceKind.EDGE)
        return looking


@dataclass(frozen=True, slots=True)
class Melting:
    """Nodes that take up latent heat: their numbers (k,), the heat of each (k,) J, and the range they melt over."""

    node: Ints
    latent_j: Floats
    solidus_c: float
    liquidus_c: float

    def share(self, celsius: Floats) -> Floats:
        """Return the molten share at temperatures (k,): 0 at the solidus, 1 at the liquidus."""
        molten: Floats = np.clip((celsius - self.solidus_c) / (self.liquidus_c - self.solidus_c), 0.0, 1.0)
        return molten

    def celsius(self, heat_j: Floats, capacity_j_k: Floats) -> Floats:
        """Return the temperatures (k,) at which the nodes hold `heat_j` (k,) over 0 C, latent heat with it."""
        solid_j = capacity_j_k * self.solidus_c
        range_j = capacity_j_k * (self.liquidus_c - self.solidus_c) + self.latent_j
        share = np.clip((heat_j - solid_j) / range_j, 0.0, 1.0)
        return (heat_j - share * self.latent_j) / capacity_j_k


@dataclass(frozen=True, slots=True)
class Joint:
    """One soldered pad: its part, the pad's number and place, and the side where it is looked at."""

    part_id: str
    pad: str
    x_mm: float
    y_mm: float
    side: Side


@dataclass(frozen=True, slots=True)
class BodyNodes:
    """The nodes of one part: the face that limits are compared with, the middle, the face below; the same if one."""

    top_face: int
    core: int
    underside: int

    @property
    def nodes(self) -> tuple[int, ...]:
        """Each of them once."""
        return tuple(dict.fromkeys((self.top_face, self.core, self.underside)))


@dataclass(frozen=True, slots=True)
class ThermalModel:
    """Nodes with heat capacity (n,) J/K and conductances (n, n) W/K; no nozzle in it.

    The first nodes are the board's: sheet by sheet from the top, each with one node for every column of the plan
    grid that holds board. `column` (ny, nx) gives that number, -1 where there is no board.
    """

    target_id: str
    grid: Grid
    stack: Stack
    column: Ints
    columns: int
    capacity_j_k: Floats
    conductance_w_k: "csr_array"
    faces: Faces
    joints: tuple[Joint, ...]
    joint_share: "csr_array"  # (joints, n): temperature of a joint as a weighted mean of nodes
    bodies: Mapping[str, BodyNodes]
    board_length_m: float  # area over perimeter of the board, for natural convection
    melting: Melting
    order: Ints  # of elimination, (n,): a permutation that keeps the factor sparse, the melting nodes last
    behind: int  # the node of the board's other face under the target's middle

    def heat_j(self, field: Floats) -> Floats:
        """Return the heat content of each node at temperatures (n,), (n,) J over 0 C: sensible and latent."""
        heat: Floats = self.capacity_j_k * field
        heat[self.melting.node] += self.melting.latent_j * self.melting.share(field[self.melting.node])
        return heat

    def celsius(self, heat_j: Floats) -> Floats:
        """Return the nodal field (n,) that holds `heat_j` (n,) over 0 C: what `heat_j` takes back."""
        field: Floats = heat_j / self.capacity_j_k
        node = self.melting.node
        field[node] = self.melting.celsius(heat_j[node], self.capacity_j_k[node])
        return field

    def sheet(self, values: Floats, side: Side) -> Floats:
        """Return a nodal field on one outer sheet, (ny, nx) float, NaN where there is no board."""
        first = 0 if side == "top" else (len(self.stack.sheets) - 1) * self.columns
        field = np.full(self.column.shape, np.nan)
        field[self.column >= 0] = values[first : first + self.columns]
        return field

    @property
    def target_body(self) -> int:
        """Where the target stands among `bodies`."""
        return list(self.bodies).index(self.target_id)

    @property
    def target_joints(self) -> Ints:
        """Indices into `joints` of the target's."""
        return np.array([i for i, joint in enumerate(self.joints) if joint.part_id == self.target_id], dtype=np.intp)


@dataclass(frozen=True, slots=True)
class Zone:
    """Where the board's peak on one side passes a temperature, board frame."""

    side: Side
    above_c: float
    area: BaseGeometry


@dataclass(frozen=True, slots=True)
class MeltWindow:
    """How far off the moment may be at which a joint melts, s from the start of reflow.

    Two times in three it lies within the window, which is not even about the moment: weak air costs more time than
    strong air saves. It ends no later than reflow does.
    """

    spread_s: float  # one standard deviation
    earliest_s: float
    latest_s: float


@dataclass(frozen=True, slots=True)
class JointHeat:
    """What one joint went through."""

    joint: Joint
    peak_c: float
    lift_c: float  # at the end of reflow
    seconds_to_liquidus: float | None  # from the start of reflow; None where it stayed solid
    seconds_above_liquidus: float
    lift_spread_c: float  # one standard deviation at the lift, as reflow ends on the joint that is watched
    peak_spread_c: float
    window: MeltWindow | None  # of the target's joints that melt


@dataclass(frozen=True, slots=True)
class BodyHeat:
    """What one part's body went through; arrivals are the heat that came in during reflow, J."""

    peak_c: float
    spread_c: float  # one standard deviation of the peak
    max_ramp_c_s: float
    by_air_j: float  # from the nozzle's air
    by_copper_j: float  # through board and leads, or from the heater below


@dataclass(frozen=True, slots=True)
class Exposure:
    """What the nozzle's air did to every face at the end of reflow, (m,) each."""

    x_mm: Floats
    y_mm: Floats
    on_top: Bools
    h_w_m2k: Floats
    air_c: Floats
    face_c: Floats


@dataclass(frozen=True, slots=True)
class Energy:
    """Heat over the run, J, recomputed from the stored fields; imbalance is a share of what was supplied."""

    supplied_j: float
    stored_j: float
    lost_j: float
    imbalance: float
    taken_from_air_j: float
    carried_by_air_j: float


@dataclass(frozen=True, slots=True)
class Series:
    """One history: a name, the part's id where it is one's, and temperatures at the common times."""

    name: str
    id: str | None
    celsius: Floats


@dataclass(frozen=True)  # no slots: the joints are sorted by part once they have been asked for
class Heat:
    """The answer of one solve."""

    alloy_liquidus_c: float
    stage_ends_s: Mapping[str, float]  # when each stage ended
    reaches_reflow: bool
    why: str
    joints: tuple[JointHeat, ...]
    bodies: Mapping[str, BodyHeat]
    target_top_peak_c: float
    board_peak_c: float
    far_peak_c: float  # of the board at the window's edge, both faces, mean
    seconds_above_tg: float  # at the hottest spot of the target's joints
    max_ramp_c_s: float  # of the target's joints
    energy: Energy
    exposure: Exposure
    zones: tuple[Zone, ...]
    time_s: Floats
    series: tuple[Series, ...]  # the target's coldest and hottest joint, its top, the board behind it
    body_c: Floats  # (k, bodies): histories of all bodies, in the order of `bodies`
    spread_c: float  # of the bodies that the heat reaches, root mean square
    seconds_spread_by: Mapping[str, float]  # what each doubtful input adds to the last joint's, by name of the factor
    validity: tuple[str, ...]

    def of_part(self, part_id: str) -> tuple[JointHeat, ...]:
        """Return the joints of one part."""
        return self._by_part.get(part_id, ())

    @cached_property
    def _by_part(self) -> Mapping[str, tuple[JointHeat, ...]]:
        found: dict[str, list[JointHeat]] = {}
        for joint in self.joints:
            found.setdefault(joint.joint.part_id, []).append(joint)
        return {part_id: tuple(joints) for part_id, joints in found.items()}
