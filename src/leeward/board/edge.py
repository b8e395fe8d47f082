"""The board's outline with its cut-outs, from what is drawn on Edge.Cuts."""

from collections.abc import Iterable
from dataclasses import replace

import shapely
from shapely import STRtree
from shapely.geometry.base import BaseGeometry

from leeward.board.graphics import Graphic
from leeward.board.outlines import area_of, rings, widest_gap_mm
from leeward.board.records import Footprint

LAYER = "Edge.Cuts"


def outline(drawn: list[Graphic], everything: Iterable[BaseGeometry]) -> tuple[BaseGeometry, str, list[str]]:
    """Return the board's area, what it was taken from, and notes.

    `everything` is what the board holds: where the edge is missing or does not close, the box round it
    stands in.
    """
    found, open_runs = rings(drawn)
    notes = []
    if open_runs:
        notes.append(f"{open_runs} run(s) of lines on {LAYER} do not close and were left out of the outline")
    if gap := widest_gap_mm(drawn):
        notes.append(f"gaps of up to {gap:.3f} mm between lines on {LAYER} were closed")
    if found:
        area = area_of(found)
        if len(boards(area)) > 1:
            notes.append(f"{len(boards(area))} boards in one file")
        return area, LAYER, notes
    notes.append(f"no closed board outline on {LAYER}: the box round everything on the board stands in for it")
    held = [shape for shape in everything if not shape.is_empty]
    box = shapely.box(*shapely.total_bounds(held)) if held else shapely.Polygon()
    return box, "box round everything", notes


def boards(area: BaseGeometry) -> list[BaseGeometry]:
    """Return the boards that an outline holds, from the left, then from the top."""
    pieces = [piece for piece in shapely.get_parts(area) if piece.area > 0]
    return sorted(pieces, key=lambda piece: (piece.bounds[0], piece.bounds[1]))


def on_boards(parts: Iterable[Footprint], area: BaseGeometry) -> tuple[Footprint, ...]:
    """Return the parts, each with the index of the board that it lies on or nearest to."""
    found, everyone = boards(area), tuple(parts)
    if len(found) < 2 or not everyone:
        return everyone
    places = [_place(part) for part in everyone]
    part_index, board_index = STRtree(found).query_nearest(places)
    nearest: dict[int, int] = {}
    for part, board in zip(part_index.tolist(), board_index.tolist(), strict=True):
        nearest[part] = min(board, nearest.get(part, board))  # the first where several are as near
    return tuple(replace(part, board_index=nearest[index]) for index, part in enumerate(everyone))


def _place(part: Footprint) -> BaseGeometry:
    """Return the middle of a part's lands, the part's own place where it has none."""
    lands = [pad.copper for pad in part.pads if not pad.copper.is_empty]
    return shapely.union_all(lands).centroid if lands else shapely.points(part.x_mm, part.y_mm)
