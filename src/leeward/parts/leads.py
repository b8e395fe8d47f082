"""The outline of body and leads in plan, and the lead span: what a nozzle has to go over."""

import re
from dataclasses import dataclass
from functools import cache, lru_cache

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from leeward.board.records import Footprint
from leeward.constants import constant, number, table
from leeward.parts.body import Body
from leeward.parts.families import Family
from leeward.parts.frame import Box, box_in_part_frame, box_on_board, grown, size
from leeward.parts.lands import EDGE_TOLERANCE_MM, Lands
from leeward.parts.records import LeadStyle

SEEN = frozenset({"fab drawing", "name", "parts file"})  # rungs of a body that was not itself judged from the lands


@dataclass(frozen=True, slots=True)
class Leads:
    """Body and leads in plan (board frame) and their extent along x and y of the part's frame."""

    outline: BaseGeometry
    span_mm: tuple[float, float]


def leads(footprint: Footprint, family: Family, style: LeadStyle, body: Body, read: Lands) -> Leads:
    """Return the outline of a part with its leads.

    Gull-wings reach out as the outline in the name nominally does where their tips then lie on the lands, else they
    end 0.45 mm inside the outer edge of the lands (IPC-7351B table 3-2, from memory); J-leads end 0.47 mm outside the
    body (MS-018, from memory); leads of leadless, ball grid and end-cap parts do not stick out.
    """
    outline = _outline(footprint, family, style, body, read)
    return Leads(outline, size(box_in_part_frame(outline, footprint)))


def _outline(footprint: Footprint, family: Family, style: LeadStyle, body: Body, read: Lands) -> BaseGeometry:
    if read.box is None:
        return body.outline
    if style in ("through-hole", "connector", "socket") or (style == "other" and read.mount == "through-hole"):
        return _with_lands(body.outline, footprint)
    if style in ("gull-wing", "tab"):
        boxes = [_gull_box(footprint, body, read, axis) for axis in (0, 1) if read.axes[axis]]
    elif style == "j-lead":
        boxes = [grown(body.box, *_reach(read, number("families", "j_lead_reach_mm")))]
    elif family.lead_reach_mm:
        boxes = [grown(body.box, *_reach(read, family.lead_reach_mm))]
    else:
        return body.outline
    return shapely.union_all([body.outline, *(box_on_board(box, footprint) for box in boxes)])


def _with_lands(outline: BaseGeometry, footprint: Footprint) -> BaseGeometry:
    """Return the outline and the lands; for speed those under it are left out, and only what touches is joined."""
    lands = np.array([pad.copper for pad in footprint.pads], dtype=object)
    shapely.prepare(outline)
    beyond = lands[~shapely.covers(outline, lands)]
    return shapely.disjoint_subset_union_all([outline, *beyond]) if len(beyond) else outline


def _reach(read: Lands, reach_mm: float) -> tuple[float, float]:
    along_x, along_y = (reach_mm if faced else 0.0 for faced in read.axes)
    return along_x, along_y


def _gull_box(footprint: Footprint, body: Body, read: Lands, axis: int) -> Box:
    """Return the box round the feet of two rows that face each other along an axis.

    Where several outlines go by the name, the lands tell: it is the one whose toes are most as they are drawn.
    """
    rows = _row_box(read, axis)
    width = size(body.box)[axis]
    usual_mm = number("families", _for_soldering("lead_tip_inset_mm", footprint.library_id))
    least_mm, most_mm = constant("families", _for_soldering("toe_mm", footprint.library_id)).value
    reaches = _reaches_mm(footprint.library_id.rpartition(":")[2], width) if body.rung.value in SEEN else ()
    toes_mm = [(size(rows)[axis] - width) / 2 - reach for reach in reaches]
    fitting = [toe for toe in toes_mm if least_mm <= toe <= most_mm]
    return _along(rows, axis, -min(fitting, key=lambda toe: abs(toe - usual_mm), default=usual_mm))


def _along(box: Box, axis: int, out_mm: float) -> Box:
    return grown(box, out_mm, 0.0) if axis == 0 else grown(box, 0.0, out_mm)


@lru_cache(maxsize=10_000)  # a board holds the same part often
def _reaches_mm(name: str, width_mm: float) -> tuple[float, ...]:
    """Return how far gull-wings reach beyond the body in each outline that goes by a name and has this width."""
    return tuple(
        reach for pattern, least, most, reach in _outlines() if least <= width_mm <= most and pattern.search(name)
    )


@cache
def _outlines() -> tuple[tuple[re.Pattern[str], float, float, float], ...]:
    rows = table("families")["lead_reach_by_outline"]["rows"]
    return tuple(
        (re.compile(row["name"], re.IGNORECASE), float(least), float(most), float(row["reach_mm"]))
        for row in rows
        for least, most in (row["width_mm"],)
    )


def _row_box(read: Lands, axis: int) -> Box:
    """Return the box round the lands of the two rows that face each other along an axis."""
    least, greatest = read.boxes[:, axis], read.boxes[:, axis + 2]
    in_row = (least - least.min() < EDGE_TOLERANCE_MM) | (greatest.max() - greatest < EDGE_TOLERANCE_MM)
    rows = read.boxes[in_row]
    low, high = rows[:, :2].min(axis=0).tolist(), rows[:, 2:].max(axis=0).tolist()
    return low[0], low[1], high[0], high[1]


def _for_soldering(entry: str, library_id: str) -> str:
    """Return the entry of the table, or its sort for lands that are drawn longer, for soldering by hand."""
    by_hand = "handsolder" in library_id.lower().replace("_", "")
    return f"hand_solder_{entry}" if by_hand else entry
