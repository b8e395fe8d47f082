"""Assemble the network of a board and its parts: heat capacities, conductances, faces and joints."""

import numpy as np
import shapely
from scipy.sparse import csr_array
from shapely.geometry.base import BaseGeometry

from leeward.board.edge import boards
from leeward.board.records import Board, Side
from leeward.constants import number
from leeward.heat.board_nodes import Plan, add_board, add_board_faces, plan
from leeward.heat.copper import Laminate, coarse, standard_laminate
from leeward.heat.copper_map import LocalCopper
from leeward.heat.draft import Draft
from leeward.heat.factor import elimination_order
from leeward.heat.grid import Box, Floats, Grid, Resolution, graded, standard_resolution
from leeward.heat.part_nodes import Ground, add_parts
from leeward.heat.records import Melting, ThermalModel
from leeward.heat.stack import slice_stack
from leeward.parts.records import Alloy, Part, Parts

CORE_MARGIN_MM = 1.0  # the fine cells reach so far beyond the target's lands


def assemble(
    board: Board,
    parts: Parts,
    target: Part,
    resolution: Resolution | None = None,
    laminate: Laminate | None = None,
    copper: LocalCopper | None = None,
) -> ThermalModel:
    """Return the thermal model of the board round a target, with every fitted part in the window.

    With a map of the board's copper its cover is read from there, else from all polygons.
    """
    outline = own_board(board, target)
    fineness = resolution or standard_resolution()
    grid = window_grid(outline, target, fineness)
    at = plan(grid, slice_stack(board.stackup, fineness.thickest_mm), outline)
    draft = Draft()
    materials = laminate or standard_laminate()
    sheets_w_k = add_board(draft, board, at, materials, copper)
    fitted = _in_window(parts, target, grid)
    standing = add_parts(draft, fitted, target, at, _ground(at, sheets_w_k, materials), fineness.bodies_mm)
    solid = [part for part in fitted if part.id in standing.solid]
    add_board_faces(draft, {"top": _bodies_on(solid, "top"), "bottom": _bodies_on(solid, "bottom")}, at)
    conductance, melting = draft.matrix(), _melting(draft, parts.alloy)
    return ThermalModel(
        target_id=target.id,
        grid=grid,
        stack=at.stack,
        column=at.column,
        columns=at.columns,
        capacity_j_k=np.concatenate(draft.capacity),
        conductance_w_k=conductance,
        faces=draft.all_faces(),
        joints=standing.joints,
        joint_share=_widened(standing.reads, draft.nodes),
        bodies=standing.bodies,
        board_length_m=float(outline.area / outline.length) * 1e-3,
        melting=melting,
        order=elimination_order(conductance, at.groups(draft.nodes), melting.node),
        behind=_behind(target, at),
    )


def own_board(board: Board, target: Part) -> BaseGeometry:
    """Return the outline of the board that the target lies on: of a panel the one, cut-outs taken out."""
    return boards(board.outline)[target.footprint.board_index]


def window_grid(outline: BaseGeometry, target: Part, resolution: Resolution) -> Grid:
    """Return the graded grid round a target's lands and body, cut off at the board's bounds."""
    own = shapely.unary_union([target.leads, *(pad.copper for pad in target.footprint.pads)])
    return graded(Box(*own.bounds).grown(CORE_MARGIN_MM), Box(*outline.bounds), resolution)


def _behind(target: Part, at: Plan) -> int:
    """Return the outer node under the middle of the target, on the side away from it; the nearest where none is."""
    middle, (rows, columns) = target.leads.envelope.centroid, np.nonzero(at.column >= 0)
    near = np.hypot(at.grid.x_mm[columns] - middle.x, at.grid.y_mm[rows] - middle.y).argmin()
    side: Side = "bottom" if target.footprint.side == "top" else "top"
    return int(at.outer(side, at.column[rows[near : near + 1], columns[near : near + 1]])[0])


def _ground(at: Plan, sheets_w_k: list[Floats], materials: Laminate) -> Ground:
    """Return what lies under the lands on either side."""
    ends = (0, -1)
    sheets = at.stack.sheets
    return Ground(
        sheet_w_k=np.array([sheets_w_k[k] for k in ends]),
        bare_w_k=materials.in_plane_w_mk * np.array([sheets[k].laminate_mm for k in ends]) * 1e-3,
        foil_w_k=materials.copper_w_mk * np.array([sheets[k].copper_mm for k in ends]) * 1e-3,
        through_w_m2k=materials.through_w_mk / np.array([at.stack.gaps_mm[k] for k in ends]) * 1e3,
        cell_mm2=(coarse(at.present, at.grid) * at.grid.areas_mm2)[at.column >= 0],
    )


def _in_window(parts: Parts, target: Part, grid: Grid) -> list[Part]:
    """Return the fitted parts of the target's own board that reach into the window."""
    x, y = grid.x_edges_mm, grid.y_edges_mm
    window = shapely.box(x[0], y[0], x[-1], y[-1])
    same = [part for part in parts.by_id.values() if part.footprint.board_index == target.footprint.board_index]
    return [part for part in same if not part.body.is_empty and part.body.intersects(window)]


def _bodies_on(fitted: list[Part], side: Side) -> list[BaseGeometry]:
    return [part.body for part in fitted if part.footprint.side == side]


def _melting(draft: Draft, alloy: Alloy) -> Melting:
    """Return the nodes that hold solder, and the range over which its alloy melts."""
    from_c, to_c = (number("materials", "alloy", alloy, key) for key in ("melts_from_c", "melts_to_c"))
    latent_j_mm3 = number("materials", "alloy", alloy, "latent_j_mm3")
    node = np.array([node for node, _ in draft.solder], dtype=np.intp)
    return Melting(node, latent_j_mm3 * np.array([volume for _, volume in draft.solder]), from_c, to_c)


def _widened(reads: csr_array, nodes: int) -> csr_array:
    """Return a matrix of shares for as many nodes as there are now."""
    return csr_array((reads.data, reads.indices, reads.indptr), shape=(reads.shape[0], nodes))
