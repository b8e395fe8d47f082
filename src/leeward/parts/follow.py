"""Parts after an edit of the board: what was found out about each stays, its outlines go where its lands went."""

from dataclasses import replace

from shapely import affinity
from shapely.geometry.base import BaseGeometry

from leeward.board.edit import turned
from leeward.board.records import Board, Footprint
from leeward.parts.records import Part, Parts


def follow(parts: Parts, board: Board) -> Parts:
    """Return the parts of a board that was edited, by the footprints that it now has."""
    now = {footprint.id: footprint for footprint in board.footprints}
    return replace(parts, by_id={part_id: _follow(part, now[part_id]) for part_id, part in parts.by_id.items()})


def _follow(part: Part, now: Footprint) -> Part:
    if now is part.footprint:
        return part
    return replace(
        part,
        footprint=now,
        body=_carried(part.body, part.footprint, now),
        leads=_carried(part.leads, part.footprint, now),
    )


def _carried(shape: BaseGeometry, before: Footprint, now: Footprint) -> BaseGeometry:
    at_home = turned(shape, now.rotation_deg - before.rotation_deg, before.x_mm, before.y_mm)
    return affinity.translate(at_home, now.x_mm - before.x_mm, now.y_mm - before.y_mm)
