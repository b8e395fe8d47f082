"""The board's own nodes: sheets over a plan grid, joined by copper, laminate and barrels, open to the air."""

from dataclasses import dataclass

import numpy as np
from shapely.geometry.base import BaseGeometry

from leeward.board.records import Board, Side
from leeward.heat.copper import HALF, Laminate, barrels, coarse, coverage, sheet_conductances
from leeward.heat.copper_map import LocalCopper, local_cover
from leeward.heat.coverage import areas, fractions
from leeward.heat.draft import Draft
from leeward.heat.grid import SUBCELLS, Floats, Grid
from leeward.heat.records import Bools, FaceKind, Ints
from leeward.heat.rim import rim
from leeward.heat.stack import Stack

LEAST_SHARE = 0.5  # of board that a cell holds, in all or in its middle, to be one of the model's
RIM_SKIN_M = 1e-9  # the rim's surface holds next to no heat, yet no node of a network should hold none


@dataclass(frozen=True, slots=True)
class Plan:
    """How the board is numbered: sheet by sheet from the top, each with one node for every cell that holds board.

    `present` (SUBCELLS ny, SUBCELLS nx) is the share of board in each subcell, `column` (ny, nx) the number of each
    cell, -1 where there is no board.
    """

    grid: Grid
    stack: Stack
    outline: BaseGeometry
    present: Floats
    column: Ints
    columns: int

    def outer(self, side: Side, columns: Ints) -> Ints:
        """Return the nodes of columns on an outer sheet."""
        return columns + (0 if side == "top" else (len(self.stack.sheets) - 1) * self.columns)

    def column_at(self, x_mm: Floats, y_mm: Floats) -> Ints:
        """Return the column of each place, -1 outside the window or the board."""
        ny, nx = self.grid.shape
        i = np.searchsorted(self.grid.x_edges_mm, x_mm, side="right") - 1
        j = np.searchsorted(self.grid.y_edges_mm, y_mm, side="right") - 1
        inside = (i >= 0) & (i < nx) & (j >= 0) & (j < ny)
        return np.where(inside, self.column[np.clip(j, 0, ny - 1), np.clip(i, 0, nx - 1)], -1)

    def groups(self, nodes: int) -> Ints:
        """Return what is eliminated together, (nodes,): all sheets of a column, and every other node by itself."""
        sheets = len(self.stack.sheets)
        others = np.arange(nodes - self.columns * sheets) + self.columns
        return np.concatenate([np.tile(np.arange(self.columns), sheets), others])


def plan(grid: Grid, stack: Stack, outline: BaseGeometry) -> Plan:
    """Return the plan of a board in the window of a grid."""
    present = fractions([outline], grid.subgrid())
    held = _held(present, grid)
    column = np.full(held.shape, -1, dtype=np.intp)
    column[held] = np.arange(held.sum())
    return Plan(grid, stack, outline, present, column, int(held.sum()))


def _held(present: Floats, grid: Grid) -> Bools:
    """Return which cells hold board, (ny, nx): half of them, or half of their middle.

    A mere strip beside the middle would be cut off from its neighbours, to which heat is led from middle to middle.
    """
    share = coarse(present, grid)
    ny, nx = grid.shape
    middle = present.reshape(ny, SUBCELLS, nx, SUBCELLS)[:, HALF - 1 : HALF + 1, :, HALF - 1 : HALF + 1]
    held: Bools = np.maximum(share, middle.mean(axis=(1, 3))) >= LEAST_SHARE
    return held


def add_board(
    draft: Draft, board: Board, at: Plan, materials: Laminate, known: LocalCopper | None = None
) -> list[Floats]:
    """Add the board's nodes, the links between them, and its rim.

    With a map of the board's copper its cover is read from there, else from all polygons. Return of each sheet its
    conductivity times thickness, (columns,) W/K.
    """
    sheets_w_k: list[Floats] = []
    grid, present, column = at.grid, at.present, at.column
    held = column >= 0
    cell_mm2 = (coarse(present, grid) * grid.areas_mm2)[held]
    for k, sheet in enumerate(at.stack.sheets):
        copper = _cover(board, sheet.layer, grid, known) * present if sheet.layer else np.zeros_like(present)
        # Between the copper of an inner layer lies resin; beside that of an outer layer lies air.
        resin = (present - copper) * (0 < k < len(at.stack.sheets) - 1)
        copper_mm, laminate_mm = sheet.copper_mm * copper, sheet.laminate_mm * present + sheet.copper_mm * resin
        heat_mm2 = (materials.copper_j_m3k * copper_mm + materials.laminate_j_m3k * laminate_mm) * 1e-9
        first = draft.add_nodes(coarse(heat_mm2, grid)[held] * grid.areas_mm2[held])[0]
        conducting = materials.copper_w_mk * copper_mm + materials.in_plane_w_mk * laminate_mm
        along_x, along_y = sheet_conductances(np.maximum(conducting, 1e-9) * 1e-3, grid)
        sheets_w_k.append(coarse(conducting, grid)[held] * 1e-3)
        _link_cells(draft, first + column[:, :-1], first + column[:, 1:], along_x, held[:, :-1] & held[:, 1:])
        _link_cells(draft, first + column[:-1], first + column[1:], along_y, held[:-1] & held[1:])
    for k, gap_mm in enumerate(at.stack.gaps_mm):
        upper = np.arange(at.columns) + k * at.columns
        draft.link(upper, upper + at.columns, materials.through_w_mk * cell_mm2 / gap_mm * 1e-3)
    _add_barrels(draft, board, at, materials)
    _add_rim(draft, at, sheets_w_k, materials)
    return sheets_w_k


def _cover(board: Board, layer: str, grid: Grid, known: LocalCopper | None) -> Floats:
    return coverage(board, layer, grid) if known is None else local_cover(known, layer, grid.subgrid())


def _link_cells(draft: Draft, a: Ints, b: Ints, conductance: Floats, both: "np.ndarray") -> None:
    draft.link(a[both], b[both], conductance[both])


def _add_barrels(draft: Draft, board: Board, at: Plan, materials: Laminate) -> None:
    """Join the sheets through each plated hole, k A / gap."""
    holes = barrels(board, materials.plating_mm)
    column = at.column_at(holes.x_mm, holes.y_mm)
    span = np.array([[at.stack.index_of(end) for end in ends] for ends in holes.layers]).reshape(-1, 2)
    for k, gap_mm in enumerate(at.stack.gaps_mm):
        through = (column >= 0) & (span[:, 0] <= k) & (span[:, 1] > k)
        upper = column[through] + k * at.columns
        draft.link(upper, upper + at.columns, materials.copper_w_mk * holes.section_mm2[through] / gap_mm * 1e-3)


def _add_rim(draft: Draft, at: Plan, sheets_w_k: list[Floats], materials: Laminate) -> None:
    """Open the board's rim to the air: a surface half a cell away from the middle of each outer cell."""
    ends = rim(at.grid, at.column, at.outline)
    for k, (sheet, sheet_w_k) in enumerate(zip(at.stack.sheets, sheets_w_k, strict=True)):
        area_m2 = ends.length_mm * (sheet.laminate_mm + sheet.copper_mm) * 1e-6
        surface = draft.add_nodes(materials.laminate_j_m3k * area_m2 * RIM_SKIN_M)
        draft.link(surface, ends.column + k * at.columns, sheet_w_k[ends.column] * ends.length_mm / ends.half_mm)
        draft.add_faces(surface, area_m2, ends.x_mm, ends.y_mm, FaceKind.EDGE, on_top=True, of_target=False)


def add_board_faces(draft: Draft, standing: dict[Side, list[BaseGeometry]], at: Plan) -> None:
    """Open the board's two faces to the air where no body stands on them."""
    grid, held = at.grid, at.column >= 0
    share = coarse(at.present, grid)
    y, x = (plane[held] for plane in np.meshgrid(grid.y_mm, grid.x_mm, indexing="ij"))
    for side, shapes in standing.items():
        covered = np.minimum(areas(shapes, grid), share * grid.areas_mm2) if shapes else np.zeros(grid.shape)
        open_m2 = (share * grid.areas_mm2 - covered)[held] * 1e-6
        nodes = at.outer(side, np.arange(at.columns))
        draft.add_faces(nodes, open_m2, x, y, FaceKind.BOARD, on_top=side == "top", of_target=False)
