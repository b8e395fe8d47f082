"""What a part's body, leads and joints conduct, hold and show to the air."""

from functools import cache, lru_cache

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from leeward.board.records import Pad, Side
from leeward.constants import number, table
from leeward.heat.air import air
from leeward.heat.grid import Floats
from leeward.parts.records import LeadStyle, Part

WARM_C = 150.0  # air in the gap below a body is taken at a middling temperature of the job
LANDS = 16384  # so many lands are remembered by their short side: each is asked for by every target near it
SAMPLES = 3  # a body's top is looked at in so many places each way


def lead_conductance_w_k(style: LeadStyle, pad: Pad) -> float:
    """Return the conductance from a land into the body.

    A bent lead is a bar, k w t / l with w a share of the land's short side; any other style has a conductance per
    land area. Values from the data file `materials`.
    """
    if style not in table("materials")["lead"]:
        return number("materials", "face", style) * pad.area_mm2 * 1e-6
    conductivity, share, thick, length = (
        number("materials", "lead", style, key)
        for key in ("conductivity_w_mk", "width_share", "thickness_mm", "length_mm")
    )
    return conductivity * share * short_side_mm(pad.copper) * thick / length * 1e-3


@cache
def film_conductance_w_m2k(style: LeadStyle) -> float:
    """Return the conductance of the film of air below a body."""
    gaps = table("materials")["gap_below"]
    gap_mm = float(gaps.get(style, gaps["default"])["value"])
    return float(air(WARM_C).conductivity_w_mk) / (gap_mm * 1e-3)


def solder_conductance_w_k(pad: Pad) -> float:
    """Return the conductance of the solder under a joint: k A / t."""
    thick = number("materials", "solder", "joint_thickness_mm") * 1e-3
    return number("materials", "solder", "conductivity_w_mk") * pad.area_mm2 * 1e-6 / thick


def solder_mm3(pad: Pad) -> float:
    """Return the solder of a joint: its land times the thickness of a joint."""
    return pad.area_mm2 * number("materials", "solder", "joint_thickness_mm")


def joint_capacity_j_k(style: LeadStyle, pad: Pad) -> float:
    """Return the heat capacity of a joint: its solder, and half its lead where it has one."""
    capacity = solder_mm3(pad) * number("materials", "solder", "volumetric_heat_j_m3k") * 1e-9
    if style not in table("materials")["lead"]:
        return capacity
    share, thick, length = (
        number("materials", "lead", style, key) for key in ("width_share", "thickness_mm", "length_mm")
    )
    lead_mm3 = share * short_side_mm(pad.copper) * thick * length / 2
    return capacity + lead_mm3 * number("materials", "copper", "volumetric_heat_j_m3k") * 1e-9


def lead_area_mm2(style: LeadStyle, pad: Pad) -> float:
    """Return the lead surface that air reaches: the open faces of a bent lead, nothing of other styles."""
    if style not in table("materials")["lead"]:
        return 0.0
    share, length_mm, open_faces = (
        number("materials", "lead", style, key) for key in ("width_share", "length_mm", "air_faces")
    )
    return open_faces * share * short_side_mm(pad.copper) * length_mm


def half_body_conductance_w_k(part: Part) -> float:
    """Return the conductance from the middle of a body to its top face, or to its underside."""
    half_m = max(part.height_mm.value, 0.2) / 2 * 1e-3
    return number("materials", "body", "through_w_mk") * float(part.body.area) * 1e-6 / half_m


def follows_the_board(part: Part) -> bool:
    """Tell whether a body is as warm as the board under it, away from the nozzle's air: small end-cap chips are."""
    return part.lead_style.value == "end-cap" and not is_large(part)


def is_large(part: Part) -> bool:
    """Tell whether one temperature cannot stand for a body: wide, or so thick that h (H/2) / k passes a tenth.

    h is 100 W/m2K, what a wall jet gives at the bench (physics of impinging jets; the limit of a tenth: Incropera 5.1).
    """
    wide_mm, biot = number("materials", "body", "wide_mm"), number("materials", "body", "most_biot")
    half_m = part.height_mm.value / 2 * 1e-3
    return max(part.body_mm.value) >= wide_mm or 100.0 * half_m / number("materials", "body", "through_w_mk") > biot


def wall_area_mm2(part: Part) -> float:
    """Return the area of a body's sides."""
    return float(part.body.length) * part.height_mm.value


def sample_points(body: BaseGeometry) -> Floats:
    """Return places spread over a body's top, (k, 2) float, mm, board frame: SAMPLES squared on a large body."""
    x0, y0, x1, y1 = body.bounds
    count = 1 if max(x1 - x0, y1 - y0) < 2.0 else SAMPLES
    steps = (np.arange(count) + 0.5) / count
    x, y = np.meshgrid(x0 + steps * (x1 - x0), y0 + steps * (y1 - y0))
    return np.column_stack([x.ravel(), y.ravel()])


@lru_cache(maxsize=LANDS)
def short_side_mm(shape: BaseGeometry) -> float:
    """Return the short side of the smallest turned rectangle round a land."""
    corners = shapely.get_coordinates(shapely.minimum_rotated_rectangle(shape))
    if len(corners) < 4:
        return 0.0
    return float(min(np.hypot(*(corners[1] - corners[0])), np.hypot(*(corners[2] - corners[1]))))


def soldered_pads(part: Part) -> list[Pad]:
    """Return the pads of a fitted part that hold a joint: copper on an outer side, not a bare hole, no mere mark."""
    if not part.footprint.fitted:
        return []
    return [
        pad
        for pad in part.footprint.pads
        if pad.kind in ("smd", "through-hole") and pad.sides and not pad.copper.is_empty and not _is_mark(part, pad)
    ]


def _is_mark(part: Part, pad: Pad) -> bool:
    """Tell whether a land gets no solder: no net, and no paste where others of its footprint get some.

    Marks at the corners of ball grids are such. A pin without connection has paste; an exposed pad may have its paste
    as apertures of their own, which lie over it.
    """
    if pad.net or pad.has_paste or pad.kind != "smd":
        return False
    pasted = [other for other in part.footprint.pads if other.has_paste]
    return bool(pasted) and not any(
        shapely.intersects_xy(pad.copper, other.x_mm, other.y_mm) for other in pasted if other.copper.is_empty
    )


def joint_sides(part: Part, pad: Pad) -> tuple[Side, ...]:
    """Return the sides on which a joint is looked at: the part's own where the pad is there."""
    own = part.footprint.side
    return (own,) if own in pad.sides and pad.kind == "smd" else pad.sides
