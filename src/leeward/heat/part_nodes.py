"""The parts' nodes: bodies over the board, and the joints that hold them to their lands.

The target and every large neighbour have a top face, a core, and a node for each joint (its solder and lead foot);
a small neighbour is one node, joined to its lands directly.
"""

from dataclasses import dataclass, field

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from leeward.board.records import Pad
from leeward.heat import bodies
from leeward.heat.board_nodes import Plan
from leeward.heat.coverage import overlaps
from leeward.heat.draft import Draft
from leeward.heat.grid import Floats
from leeward.heat.records import BodyNodes, FaceKind, Ints, Joint
from leeward.parts.records import Part

LEAST_BODY_J_K = 1e-5
TOP_SHARE = 0.25  # of a body's heat capacity, that its top face stands for
MELTS_WITHIN_MM = 10.0  # neighbours' solder further from the target than this is not melted


@dataclass(slots=True)
class Standing:
    """What the parts brought: their bodies' nodes, their joints, and of each joint the nodes it is read from."""

    bodies: dict[str, BodyNodes] = field(default_factory=dict)
    joints: list[Joint] = field(default_factory=list)
    reads: list[tuple[Ints, Floats]] = field(default_factory=list)


def add_parts(draft: Draft, fitted: list[Part], target: Part, at: Plan) -> Standing:
    """Add bodies and joints of the fitted parts, and the links to the board under them."""
    standing = Standing()
    below = _columns_by_shape([part.body for part in fitted], at)
    for part, (columns, area_mm2) in zip(fitted, below, strict=True):
        standing.bodies[part.id] = _add_body(draft, part, target)
        outer = at.outer(part.footprint.side, columns)
        gap = bodies.gap_conductance_w_m2k(part.lead_style.value) * area_mm2 * 1e-6
        draft.link(standing.bodies[part.id].core, outer, gap)
    _add_joints(draft, fitted, target, at, standing)
    return standing


def _is_layered(part: Part, target: Part) -> bool:
    return part.id == target.id or bodies.is_large(part)


def _add_body(draft: Draft, part: Part, target: Part) -> BodyNodes:
    capacity = max(part.heat_capacity_j_k, LEAST_BODY_J_K)
    if _is_layered(part, target):
        top, core = (int(n) for n in draft.add_nodes(capacity * np.array([TOP_SHARE, 1 - TOP_SHARE])))
        draft.link(top, core, bodies.half_body_conductance_w_k(part))
    else:
        top = core = int(draft.add_nodes(np.array([capacity]))[0])
    points = bodies.sample_points(part.body)
    for node, area_mm2 in ((top, float(part.body.area)), (core, bodies.wall_area_mm2(part))):
        _open(draft, part, target, np.full(len(points), node), area_mm2 / len(points), points, FaceKind.BODY)
    return BodyNodes(top, core)


def _add_joints(draft: Draft, fitted: list[Part], target: Part, at: Plan, standing: Standing) -> None:
    pads = [(part, pad) for part in fitted for pad in bodies.soldered_pads(part)]
    lands = _columns_by_shape([pad.copper for _, pad in pads], at)
    own = shapely.unary_union([target.leads, *(pad.copper for pad in target.footprint.pads)])
    away_mm = shapely.distance([pad.copper for _, pad in pads], own)
    for (part, pad), (columns, area_mm2), mm in zip(pads, lands, away_mm, strict=True):
        if columns.size == 0:
            continue
        sides = bodies.joint_sides(part, pad)
        land = np.concatenate([at.outer(side, columns) for side in sides])
        share = np.tile(area_mm2, len(sides)) / (area_mm2.sum() * len(sides))
        core = standing.bodies[part.id].core
        standing.joints.append(Joint(part.id, pad.number, pad.x_mm, pad.y_mm, sides[0]))
        if not _is_layered(part, target):
            draft.link(land, core, bodies.lead_conductance_w_k(part.lead_style.value, pad) * share)
            standing.reads.append((land, share))
            continue
        node = _add_joint(draft, part, pad, target, core)
        draft.link(land, node[0], bodies.solder_conductance_w_k(pad) * share)
        standing.reads.append((node, np.ones(1)))
        if mm < MELTS_WITHIN_MM:
            draft.solder.append((int(node[0]), bodies.solder_mm3(pad)))


def _add_joint(draft: Draft, part: Part, pad: Pad, target: Part, core: int) -> Ints:
    """Add the node of a joint with its lead into the body; return its number, (1,)."""
    style = part.lead_style.value
    node = draft.add_nodes(np.array([bodies.joint_capacity_j_k(style, pad)]))
    draft.link(node, core, bodies.lead_conductance_w_k(style, pad))
    place = np.array([[pad.x_mm, pad.y_mm]])
    _open(draft, part, target, node, bodies.lead_area_mm2(style, pad), place, FaceKind.LEAD)
    return node


def _open(draft: Draft, part: Part, target: Part, node: Ints, each_mm2: float, places: Floats, kind: FaceKind) -> None:
    """Open nodes of a part to the air at places (k, 2), each by the same area."""
    area_m2 = np.full(node.size, each_mm2 * 1e-6)
    on_top, own = part.footprint.side == "top", part.id == target.id
    draft.add_faces(node, area_m2, places[:, 0], places[:, 1], kind, on_top=on_top, of_target=own)


def _columns_by_shape(shapes: list[BaseGeometry], at: Plan) -> list[tuple[Ints, Floats]]:
    """Return for each shape the columns that it covers and the areas, mm2."""
    found = overlaps(shapes, at.grid)
    column = at.column.ravel()[found.cell]
    on_board = column >= 0
    shape, column, area = found.shape[on_board], column[on_board], found.area_mm2[on_board]
    order = np.argsort(shape, kind="stable")
    ends = np.searchsorted(shape[order], np.arange(len(shapes) + 1))
    return [(column[order[a:b]], area[order[a:b]]) for a, b in zip(ends[:-1], ends[1:], strict=True)]
