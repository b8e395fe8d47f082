"""The ground after edits of the board: parts follow, the copper's map is mended where lands moved."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from leeward.board.edge import boards
from leeward.board.edit import Edit, Move, Relief, Turn, ViaInLand, apply, turned
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
    copper = None if shared.copper is None else _mended(shared.copper, shared.board, board, edits)
    return replace(shared, board=board, parts=parts, extents=_extents(shared, board), copper=copper)


def is_free(shared: Ground, edits: Sequence[Move | Turn]) -> bool:
    """Return whether moved and turned parts then lie on the board and keep clear of all others, by their courtyards."""
    moved = {edit.part: edit for edit in edits}
    placed = {part_id: _taken_up(shared.parts.by_id[part_id], moved[part_id]) for part_id in moved}
    for part_id, areas in placed.items():
        own = shared.parts.by_id[part_id]
        if not shapely.covers(boards(shared.board.outline)[own.footprint.board_index], areas).all():
            return False
        through = _sticks_through(own)
        others = [
            part
            for part in _reaching(shared, areas, set(moved))
            if part.id != part_id and (part.footprint.side == own.footprint.side or through or _sticks_through(part))
        ]
        taken = [shape for part in others for shape in placed.get(part.id) or _taken_up(part, None)]
        if any(shapely.area(shapely.intersection(area, taken)).any() for area in areas):
            return False
    return True


def _reaching(shared: Ground, areas: list[BaseGeometry], moved: set[str]) -> list[Part]:
    """Return the parts whose bounds meet those of areas, and those that are moved."""
    x0, y0, x1, y1 = shapely.total_bounds(areas).tolist()
    grown = x0 - UNDRAWN_MM, y0 - UNDRAWN_MM, x1 + UNDRAWN_MM, y1 + UNDRAWN_MM
    inside = reaching(shared.extents.footprints, grown)
    ids = [footprint.id for footprint, near in zip(shared.board.footprints, inside, strict=True) if near]
    by_id = shared.parts.by_id
    return [by_id[part_id] for part_id in dict.fromkeys([*ids, *sorted(moved)]) if part_id in by_id]


def _taken_up(part: Part, edit: Move | Turn | None) -> list[BaseGeometry]:
    """Return what a part takes up on the board: its courtyard, or body, leads and lands where it draws none."""
    drawn = part.footprint.courtyard
    own = [part.leads, *(pad.copper for pad in part.footprint.pads)] if drawn is None else [drawn]
    if isinstance(edit, Move):
        by_mm = np.array([edit.dx_mm, edit.dy_mm])
        return list(shapely.transform(np.array(own, dtype=object), lambda xy: xy + by_mm))
    if isinstance(edit, Turn):
        return [turned(shape, edit.by_deg, part.footprint.x_mm, part.footprint.y_mm) for shape in own]
    return own


def _sticks_through(part: Part) -> bool:
    """Return whether a part takes up the other side as well."""
    return any(pad.kind == "through-hole" for pad in part.footprint.pads)


def _extents(shared: Ground, board: Board) -> Extents:
    """Return the bounds of everything; tracks stay, only parts that are others now are gone through again."""
    pairs = zip(shared.board.footprints, board.footprints, strict=True)
    changed = [i for i, (before, now) in enumerate(pairs) if now is not before]
    fresh = extents(replace(board, tracks=(), footprints=tuple(board.footprints[i] for i in changed)))
    footprints = shared.extents.footprints.copy()
    footprints[changed] = fresh.footprints
    return Extents(footprints, shared.extents.tracks, fresh.vias)


def _mended(copper: CopperMap, before: Board, now: Board, edits: Sequence[Edit]) -> CopperMap:
    """Return the map gone through again where lands were, where they are, and where one was changed."""
    for edit in edits:
        at_one = edit.pad if isinstance(edit, Relief | ViaInLand) else None
        parts = (_part(before, edit.part), _part(now, edit.part))
        pads = [pad for part in parts for pad in part.pads if at_one in (None, pad.number)]
        layers = {layer for pad in pads for layer in pad.layers} if at_one is None else set(now.copper_layers)
        lands = [pad.copper for pad in pads if not pad.copper.is_empty]
        if lands:
            box = Box(*shapely.total_bounds(lands).tolist()).grown(MARGIN_MM)
            copper = remapped(copper, now, layers, box)
    return copper


def _part(board: Board, part_id: str) -> Footprint:
    return next(footprint for footprint in board.footprints if footprint.id == part_id)
