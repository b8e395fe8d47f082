"""The ground after edits of the board: parts follow, the copper's map is mended where lands moved."""

from collections.abc import Sequence
from dataclasses import replace

import shapely
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from leeward.board.edge import boards
from leeward.board.edit import Edit, Move, Turn, apply, turned
from leeward.board.records import Board, Footprint
from leeward.board.window import Extents, extents, reaching
from leeward.heat.copper_map import CopperMap, remapped
from leeward.heat.grid import Box
from leeward.parts.follow import follow
from leeward.parts.records import Part
from leeward.survey.ground import Ground

UNDRAWN_MM = 5.0  # so far bodies and leads may reach beyond what a footprint draws
MARGIN_MM = 1.0  # so far round a changed land the map is mended: gaps of reliefs and clearances reach no further


def after(shared: Ground, edits: Sequence[Edit]) -> Ground:
    """Return the ground with edits made."""
    board = shared.board
    for edit in edits:
        board = apply(board, edit)
    parts = follow(shared.parts, board)
    copper = shared.copper
    if copper is not None:
        copper = _mended(copper, shared.board, board, {edit.part for edit in edits})
    return replace(shared, board=board, parts=parts, extents=_extents(shared, board), copper=copper)


def is_free(shared: Ground, edits: Sequence[Move | Turn]) -> bool:
    """Return whether moved and turned parts then lie on the board and keep clear of all others, by their courtyards."""
    moved = {edit.part: edit for edit in edits}
    placed = {part_id: _ground_of(shared.parts.by_id[part_id], moved[part_id]) for part_id in moved}
    for part_id, area in placed.items():
        own = shared.parts.by_id[part_id]
        if not boards(shared.board.outline)[own.footprint.board_index].covers(area):
            return False
        close = [part for part in _reaching(shared, area, set(moved)) if part.id != part_id]
        others = [part for part in close if _shares_a_side(own, part)]
        taken = [placed.get(part.id) or _ground_of(part, None) for part in others]
        if shapely.area(shapely.intersection(area, [shape for shape in taken if shape.intersects(area)])).any():
            return False
    return True


def _reaching(shared: Ground, area: BaseGeometry, moved: set[str]) -> list[Part]:
    """Return the parts whose bounds meet those of an area, and those that are moved."""
    x0, y0, x1, y1 = area.bounds
    grown = x0 - UNDRAWN_MM, y0 - UNDRAWN_MM, x1 + UNDRAWN_MM, y1 + UNDRAWN_MM
    inside = reaching(shared.extents.footprints, grown)
    ids = [footprint.id for footprint, near in zip(shared.board.footprints, inside, strict=True) if near]
    by_id = shared.parts.by_id
    return [by_id[part_id] for part_id in dict.fromkeys([*ids, *sorted(moved)]) if part_id in by_id]


def _ground_of(part: Part, edit: Move | Turn | None) -> BaseGeometry:
    """Return what a part takes up on the board: its courtyard, or body, leads and lands where it draws none."""
    own = part.footprint.courtyard
    if own is None:
        own = shapely.union_all([part.leads, *(pad.copper for pad in part.footprint.pads)])
    if isinstance(edit, Move):
        return affinity.translate(own, edit.dx_mm, edit.dy_mm)
    if isinstance(edit, Turn):
        return turned(own, edit.by_deg, part.footprint.x_mm, part.footprint.y_mm)
    return own


def _shares_a_side(one: Part, two: Part) -> bool:
    """Return whether two parts stand on the same side, or one sticks through to the other's."""
    through = any(pad.kind == "through-hole" for part in (one, two) for pad in part.footprint.pads)
    return one.footprint.side == two.footprint.side or through


def _extents(shared: Ground, board: Board) -> Extents:
    """Return the bounds of everything; tracks stay, parts and vias are gone through again."""
    small = extents(replace(board, tracks=()))
    return replace(small, tracks=shared.extents.tracks)


def _mended(copper: CopperMap, before: Board, now: Board, changed: set[str]) -> CopperMap:
    for part_id in sorted(changed):
        for board in (before, now):
            own = next(footprint for footprint in board.footprints if footprint.id == part_id)
            layers = {layer for pad in own.pads for layer in pad.layers}
            if len(now.vias) != len(before.vias):
                layers = set(now.copper_layers)
            copper = remapped(copper, now, layers, _round(own))
    return copper


def _round(part: Footprint) -> Box:
    lands = [pad.copper for pad in part.pads if not pad.copper.is_empty]
    x0, y0, x1, y1 = shapely.total_bounds(lands).tolist()
    return Box(x0, y0, x1, y1).grown(MARGIN_MM)
