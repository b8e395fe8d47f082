"""Assemble the network of a board and its parts: heat capacities, conductances, faces and joints."""

from dataclasses import dataclass, field

import numpy as np
import shapely
from scipy.sparse import coo_array, csr_array
from shapely.geometry.base import BaseGeometry

from leeward.board.edge import boards
from leeward.board.records import Board, Pad, Side
from leeward.constants import number
from leeward.heat import bodies
from leeward.heat.copper import Laminate, barrels, coarse, coverage, sheet_conductances, standard_laminate
from leeward.heat.coverage import areas, fractions
from leeward.heat.factor import elimination_order
from leeward.heat.grid import Box, Floats, Grid, Resolution, graded, standard_resolution
from leeward.heat.records import BodyNodes, FaceKind, Faces, Ints, Joint, Melting, ThermalModel
from leeward.heat.rim import Rim, rim
from leeward.heat.stack import Stack, slice_stack
from leeward.parts.records import Alloy, Part, Parts

LEAST_BOARD_SHARE = 0.05  # cells that hold less of the board than this are left out
CORE_MARGIN_MM = 1.0  # the fine cells reach so far beyond the target's lands
RIM_SKIN_M = 1e-9  # the rim's surface holds next to no heat, yet no node of a network should hold none


@dataclass(slots=True)
class _Draft:
    """The network while it grows."""

    capacity: list[Floats] = field(default_factory=list)
    links: list[tuple[Ints, Ints, Floats]] = field(default_factory=list)
    faces: list[tuple[Ints, Floats, Floats, Floats, bool, FaceKind, bool]] = field(default_factory=list)
    solder: list[tuple[int, float]] = field(default_factory=list)  # node and mm3
    nodes: int = 0

    def add_nodes(self, capacity_j_k: Floats) -> Ints:
        """Append nodes and return their numbers."""
        first, self.nodes = self.nodes, self.nodes + capacity_j_k.size
        self.capacity.append(capacity_j_k)
        return np.arange(first, self.nodes)

    def link(self, a: "Ints | int", b: "Ints | int", conductance_w_k: "Floats | float") -> None:
        """Join nodes pairwise."""
        self.links.append(tuple(np.ravel(x).copy() for x in np.broadcast_arrays(a, b, conductance_w_k)))  # type: ignore[arg-type]  # three arrays, which a generator does not tell

    def matrix(self) -> csr_array:
        """Return the conductance matrix: positive on the diagonal, rows summing to zero."""
        a, b, g = (np.concatenate(column) for column in zip(*self.links, strict=True))
        rows, columns = np.concatenate([a, b, a, b]), np.concatenate([b, a, a, b])
        entries = np.concatenate([-g, -g, g, g])
        return csr_array(coo_array((entries, (rows, columns)), shape=(self.nodes, self.nodes)))


def assemble(
    board: Board,
    parts: Parts,
    target: Part,
    resolution: Resolution | None = None,
    laminate: Laminate | None = None,
) -> ThermalModel:
    """Return the thermal model of the board round a target, with every fitted part in the window."""
    materials = laminate or standard_laminate()
    outline = own_board(board, target)
    grid = window_grid(outline, target, resolution or standard_resolution())
    stack = slice_stack(board.stackup)
    present = fractions([outline], grid.subgrid())
    column = _number_columns(coarse(present, grid))
    columns = int(column.max()) + 1
    draft = _Draft()
    sheets_w_k = _add_board(draft, board, grid, stack, column, present, materials)
    fitted = _in_window(parts, target, grid)
    nodes, joints, joint_rows = _add_parts(draft, fitted, target.id, grid, stack, column)
    _add_board_faces(draft, fitted, grid, stack, column, coarse(present, grid))
    _add_rim(draft, rim(grid, column, outline), stack, sheets_w_k, materials)
    conductance = draft.matrix()
    melting = _melting(draft, parts.alloy)
    return ThermalModel(
        target_id=target.id,
        grid=grid,
        stack=stack,
        column=column,
        columns=columns,
        capacity_j_k=np.concatenate(draft.capacity),
        conductance_w_k=conductance,
        faces=_gather_faces(draft),
        joints=tuple(joints),
        joint_share=_share_matrix(joint_rows, draft.nodes),
        bodies=nodes,
        board_length_m=float(outline.area / outline.length) * 1e-3,
        melting=melting,
        order=elimination_order(conductance, _groups(draft.nodes, columns, len(stack.sheets)), melting.node),
    )


def own_board(board: Board, target: Part) -> BaseGeometry:
    """Return the outline of the board that the target lies on: of a panel the one, cut-outs taken out."""
    return boards(board.outline)[target.footprint.board_index]


def window_grid(outline: BaseGeometry, target: Part, resolution: Resolution) -> Grid:
    """Return the graded grid round a target's lands and body, cut off at the board's bounds."""
    own = shapely.unary_union([target.leads, *(pad.copper for pad in target.footprint.pads)])
    return graded(Box(*own.bounds).grown(CORE_MARGIN_MM), Box(*outline.bounds), resolution)


def _number_columns(share: Floats) -> Ints:
    held = share > LEAST_BOARD_SHARE
    column = np.full(share.shape, -1, dtype=np.intp)
    column[held] = np.arange(held.sum())
    return column


def _add_board(
    draft: _Draft, board: Board, grid: Grid, stack: Stack, column: Ints, present: Floats, materials: Laminate
) -> list[Floats]:
    """Add the board's nodes and links; return of each sheet its conductivity times thickness, (columns,) W/K."""
    sheets_w_k: list[Floats] = []
    held = column >= 0
    cell_mm2 = (coarse(present, grid) * grid.areas_mm2)[held]
    columns = cell_mm2.size
    for sheet in stack.sheets:
        copper = coverage(board, sheet.layer, grid) * present if sheet.layer else np.zeros_like(present)
        per_mm2 = materials.copper_j_m3k * sheet.copper_mm * coarse(copper, grid)[held] * 1e-9
        laminate_mm2 = materials.laminate_j_m3k * sheet.laminate_mm * 1e-9
        first = draft.add_nodes(per_mm2 * grid.areas_mm2[held] + laminate_mm2 * cell_mm2)[0]
        conducting = (
            materials.copper_w_mk * sheet.copper_mm * copper + materials.in_plane_w_mk * sheet.laminate_mm * present
        )
        along_x, along_y = sheet_conductances(np.maximum(conducting, 1e-9) * 1e-3, grid)
        sheets_w_k.append(coarse(conducting, grid)[held] * 1e-3)
        _link_cells(draft, first + column[:, :-1], first + column[:, 1:], along_x, held[:, :-1] & held[:, 1:])
        _link_cells(draft, first + column[:-1], first + column[1:], along_y, held[:-1] & held[1:])
    for k, gap_mm in enumerate(stack.gaps_mm):
        upper = np.arange(columns) + k * columns
        draft.link(upper, upper + columns, materials.through_w_mk * cell_mm2 / gap_mm * 1e-3)
    _add_barrels(draft, board, grid, stack, column, materials)
    return sheets_w_k


def _link_cells(draft: _Draft, a: Ints, b: Ints, conductance: Floats, both: "np.ndarray") -> None:
    draft.link(a[both], b[both], conductance[both])


def _add_barrels(draft: _Draft, board: Board, grid: Grid, stack: Stack, column: Ints, materials: Laminate) -> None:
    """Join the sheets through each plated hole, k A / gap."""
    holes = barrels(board, materials.plating_mm)
    at = _column_at(grid, column, holes.x_mm, holes.y_mm)
    columns = int(column.max()) + 1
    span = np.array([[stack.index_of(first), stack.index_of(last)] for first, last in holes.layers]).reshape(-1, 2)
    for k, gap_mm in enumerate(stack.gaps_mm):
        through = (at >= 0) & (span[:, 0] <= k) & (span[:, 1] > k)
        upper = at[through] + k * columns
        draft.link(upper, upper + columns, materials.copper_w_mk * holes.section_mm2[through] / gap_mm * 1e-3)


def _column_at(grid: Grid, column: Ints, x_mm: Floats, y_mm: Floats) -> Ints:
    """Return the column of each place, -1 outside the window or the board."""
    ny, nx = grid.shape
    i = np.searchsorted(grid.x_edges_mm, x_mm, side="right") - 1
    j = np.searchsorted(grid.y_edges_mm, y_mm, side="right") - 1
    inside = (i >= 0) & (i < nx) & (j >= 0) & (j < ny)
    return np.where(inside, column[np.clip(j, 0, ny - 1), np.clip(i, 0, nx - 1)], -1)


def _in_window(parts: Parts, target: Part, grid: Grid) -> list[Part]:
    """Return the fitted parts of the target's own board that reach into the window."""
    x, y = grid.x_edges_mm, grid.y_edges_mm
    window = shapely.box(x[0], y[0], x[-1], y[-1])
    same = [part for part in parts.by_id.values() if part.footprint.board_index == target.footprint.board_index]
    return [part for part in same if not part.body.is_empty and part.body.intersects(window)]


def _add_parts(
    draft: _Draft, fitted: list[Part], target_id: str, grid: Grid, stack: Stack, column: Ints
) -> tuple[dict[str, BodyNodes], list[Joint], list[tuple[Ints, Floats]]]:
    nodes: dict[str, BodyNodes] = {}
    joints: list[Joint] = []
    rows: list[tuple[Ints, Floats]] = []
    below = _cells_by_shape([part.body for part in fitted], grid, column)
    for part, (cells, area_mm2) in zip(fitted, below, strict=True):
        nodes[part.id] = _add_body(draft, part, part.id == target_id)
        outer = _outer_nodes(part.footprint.side, cells, column, stack)
        draft.link(nodes[part.id].core, outer, bodies.gap_conductance_w_m2k(part.lead_style.value) * area_mm2 * 1e-6)
    pads = [(part, pad) for part in fitted for pad in bodies.soldered_pads(part)]
    for (part, pad), (cells, area_mm2) in zip(
        pads, _cells_by_shape([pad.copper for _, pad in pads], grid, column), strict=True
    ):
        if cells.size == 0:
            continue
        sides = bodies.joint_sides(part, pad)
        land = np.concatenate([_outer_nodes(side, cells, column, stack) for side in sides])
        share = np.tile(area_mm2, len(sides)) / (area_mm2.sum() * len(sides))
        rows.append(_add_joint(draft, part, pad, part.id == target_id, nodes[part.id].core, land, share))
        joints.append(Joint(part.id, pad.number, pad.x_mm, pad.y_mm, sides[0]))
    return nodes, joints, rows


def _add_body(draft: _Draft, part: Part, is_target: bool) -> BodyNodes:
    capacity = max(part.heat_capacity_j_k, 1e-5)
    top_mm2, walls_mm2 = float(part.body.area), bodies.wall_area_mm2(part)
    if is_target:
        top, core = (int(node) for node in draft.add_nodes(np.array([capacity / 4, 3 * capacity / 4])))
        draft.link(top, core, bodies.half_body_conductance_w_k(part))
    else:
        top = core = int(draft.add_nodes(np.array([capacity]))[0])
    points = bodies.sample_points(part.body)
    for node, area_mm2 in ((top, top_mm2), (core, walls_mm2)):
        _add_faces(
            draft,
            part,
            np.full(len(points), node),
            np.full(len(points), area_mm2 / len(points)),
            points,
            FaceKind.BODY,
            is_target,
        )
    return BodyNodes(top, core)


def _add_joint(
    draft: _Draft, part: Part, pad: Pad, is_target: bool, core: int, land: Ints, share: Floats
) -> tuple[Ints, Floats]:
    """Join a land to its body; of the target through a node of the joint's own. Return how to read its temperature."""
    style = part.lead_style.value
    into_body = bodies.lead_conductance_w_k(style, pad)
    if not is_target:
        draft.link(land, core, into_body * share)
        return land, share
    node = draft.add_nodes(np.array([bodies.joint_capacity_j_k(style, pad)]))
    draft.solder.append((int(node[0]), bodies.solder_mm3(pad)))
    draft.link(land, node[0], bodies.solder_conductance_w_k(pad) * share)
    draft.link(node, core, into_body)
    point = np.array([[pad.x_mm, pad.y_mm]])
    _add_faces(draft, part, node, np.array([bodies.lead_area_mm2(style, pad)]), point, FaceKind.LEAD, is_target=True)
    return node, np.ones(1)


def _add_faces(
    draft: _Draft, part: Part, node: Ints, area_mm2: Floats, points: Floats, kind: FaceKind, is_target: bool
) -> None:
    on_top = part.footprint.side == "top"
    draft.faces.append((node, area_mm2 * 1e-6, points[:, 0], points[:, 1], on_top, kind, is_target))


def _add_board_faces(draft: _Draft, fitted: list[Part], grid: Grid, stack: Stack, column: Ints, share: Floats) -> None:
    """Open the board's two faces to the air where no body stands on them."""
    held = column >= 0
    y, x = (plane[held] for plane in np.meshgrid(grid.y_mm, grid.x_mm, indexing="ij"))
    sides: tuple[Side, Side] = ("top", "bottom")
    for side in sides:
        standing = [part.body for part in fitted if part.footprint.side == side]
        covered = np.minimum(areas(standing, grid), share * grid.areas_mm2) if standing else np.zeros(grid.shape)
        open_m2 = (share * grid.areas_mm2 - covered)[held] * 1e-6
        nodes = _outer_nodes(side, np.arange(open_m2.size), column, stack)
        draft.faces.append((nodes, open_m2, x, y, side == "top", FaceKind.BOARD, False))


def _add_rim(draft: _Draft, ends: Rim, stack: Stack, sheets_w_k: list[Floats], materials: Laminate) -> None:
    """Open the board's rim to the air: a surface half a cell away from the middle of each outer cell."""
    columns = sheets_w_k[0].size
    for k, (sheet, sheet_w_k) in enumerate(zip(stack.sheets, sheets_w_k, strict=True)):
        area_m2 = ends.length_mm * (sheet.laminate_mm + sheet.copper_mm) * 1e-6
        surface = draft.add_nodes(materials.laminate_j_m3k * area_m2 * RIM_SKIN_M)
        draft.link(surface, ends.column + k * columns, sheet_w_k[ends.column] * ends.length_mm / ends.half_mm)
        draft.faces.append((surface, area_m2, ends.x_mm, ends.y_mm, True, FaceKind.EDGE, False))


def _melting(draft: _Draft, alloy: Alloy) -> Melting:
    """Return the nodes that hold solder, and the range over which its alloy melts."""
    from_c, to_c = (number("materials", "alloy", alloy, key) for key in ("melts_from_c", "melts_to_c"))
    latent_j_mm3 = number("materials", "alloy", alloy, "latent_j_mm3")
    node = np.array([node for node, _ in draft.solder], dtype=np.intp)
    return Melting(node, latent_j_mm3 * np.array([volume for _, volume in draft.solder]), from_c, to_c)


def _groups(nodes: int, columns: int, sheets: int) -> Ints:
    """Return what is eliminated together, (nodes,): all sheets of a column, and every other node by itself."""
    board = columns * sheets
    return np.concatenate([np.tile(np.arange(columns), sheets), np.arange(columns, columns + nodes - board)])


def _outer_nodes(side: Side, cells: Ints, column: Ints, stack: Stack) -> Ints:
    """Return the nodes of columns on an outer sheet."""
    return cells + (0 if side == "top" else (len(stack.sheets) - 1) * (int(column.max()) + 1))


def _cells_by_shape(shapes: list[BaseGeometry], grid: Grid, column: Ints) -> list[tuple[Ints, Floats]]:
    """Return for each shape the columns that it covers and the areas, mm2."""
    found = bodies.overlaps(shapes, grid)
    at = column.ravel()[found.cell]
    on_board = at >= 0
    shape, at, area = found.shape[on_board], at[on_board], found.area_mm2[on_board]
    order = np.argsort(shape, kind="stable")
    ends = np.searchsorted(shape[order], np.arange(len(shapes) + 1))
    return [(at[order[a:b]], area[order[a:b]]) for a, b in zip(ends[:-1], ends[1:], strict=True)]


def _gather_faces(draft: _Draft) -> Faces:
    sizes = [face[0].size for face in draft.faces]
    node, area, x, y = (np.concatenate([face[i] for face in draft.faces]) for i in range(4))
    on_top, kind, of_target = (np.repeat([face[i] for face in draft.faces], sizes) for i in (4, 5, 6))
    return Faces(node, area, x, y, on_top, kind.astype(np.int8), of_target)


def _share_matrix(rows: list[tuple[Ints, Floats]], nodes: int) -> csr_array:
    lengths = [row[0].size for row in rows]
    at = np.repeat(np.arange(len(rows)), lengths)
    columns = np.concatenate([row[0] for row in rows]) if rows else np.empty(0, dtype=np.intp)
    shares = np.concatenate([row[1] for row in rows]) if rows else np.empty(0)
    return csr_array(coo_array((shares, (at, columns)), shape=(len(rows), nodes)))
