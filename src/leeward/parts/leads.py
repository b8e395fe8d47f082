"""The outline of body and leads in plan, and the lead span: what a nozzle has to go over."""

from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from leeward.board.records import Footprint
from leeward.constants import number
from leeward.parts.body import Body
from leeward.parts.families import Family
from leeward.parts.frame import Box, box_in_part_frame, box_on_board, grown, size
from leeward.parts.lands import EDGE_TOLERANCE_MM, Lands
from leeward.parts.records import LeadStyle


@dataclass(frozen=True, slots=True)
class Leads:
    """Body and leads in plan (board frame) and their extent along x and y of the part's frame."""

    outline: BaseGeometry
    span_mm: tuple[float, float]


def leads(footprint: Footprint, family: Family, style: LeadStyle, body: Body, read: Lands) -> Leads:
    """Return the outline of a part with its leads.

    Gull-wings end 0.4 mm inside the outer edge of their lands, J-leads 0.47 mm outside the body (MS-018, from
    memory); leads of leadless, ball grid and end-cap parts do not stick out.
    """
    outline = _outline(footprint, family, style, body, read)
    return Leads(outline, size(box_in_part_frame(outline, footprint)))


def _outline(footprint: Footprint, family: Family, style: LeadStyle, body: Body, read: Lands) -> BaseGeometry:
    if read.box is None:
        return body.outline
    if style in ("through-hole", "connector", "socket") or (style == "other" and read.mount == "through-hole"):
        return shapely.union_all([body.outline, *(pad.copper for pad in footprint.pads)])
    if style in ("gull-wing", "tab"):
        inset = _tip_inset_mm(footprint.library_id)
        boxes = [_row_box(read, axis, -inset) for axis in (0, 1) if read.axes[axis]]
    elif style == "j-lead":
        boxes = [grown(body.box, *_reach(read, number("families", "j_lead_reach_mm")))]
    elif family.lead_reach_mm:
        boxes = [grown(body.box, *_reach(read, family.lead_reach_mm))]
    else:
        return body.outline
    return shapely.union_all([body.outline, *(box_on_board(box, footprint) for box in boxes)])


def _reach(read: Lands, reach_mm: float) -> tuple[float, float]:
    along_x, along_y = (reach_mm if faced else 0.0 for faced in read.axes)
    return along_x, along_y


def _row_box(read: Lands, axis: int, out_mm: float) -> Box:
    """Return the box round the two rows that face each other along an axis, its ends moved out."""
    least, greatest = read.boxes[:, axis], read.boxes[:, axis + 2]
    in_row = (least - least.min() < EDGE_TOLERANCE_MM) | (greatest.max() - greatest < EDGE_TOLERANCE_MM)
    rows = read.boxes[in_row]
    low, high = rows[:, :2].min(axis=0).tolist(), rows[:, 2:].max(axis=0).tolist()
    box: Box = (low[0], low[1], high[0], high[1])
    return grown(box, out_mm, 0.0) if axis == 0 else grown(box, 0.0, out_mm)


def _tip_inset_mm(library_id: str) -> float:
    by_hand = "handsolder" in library_id.lower()
    return number("families", "hand_solder_tip_inset_mm" if by_hand else "lead_tip_inset_mm")
