"""The board's outline with its cut-outs, from what is drawn on Edge.Cuts."""

from collections.abc import Iterable

import shapely
from shapely.geometry.base import BaseGeometry

from leeward.board.graphics import Graphic
from leeward.board.outlines import area_of, rings

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
    if found:
        return area_of(found), LAYER, notes
    notes.append(f"no closed board outline on {LAYER}: the box round everything on the board stands in for it")
    held = [shape for shape in everything if not shape.is_empty]
    box = shapely.box(*shapely.total_bounds(held)) if held else shapely.Polygon()
    return box, "box round everything", notes
