"""Which nozzle fits over the target: it must take the leads, and its walls must stand clear of the neighbours.

An aperture must leave the room of the data file `clearance` round the lead span (round the body for full-area
nozzles), with the bench's placement tolerance on top, and be no larger than that allows. Walls must clear every
body that is taller than the stand-off, the head above the skirt every body that reaches up to it.
"""

from dataclasses import dataclass, replace

import shapely
from shapely import STRtree, affinity
from shapely.geometry.base import BaseGeometry

from leeward.bench.records import Bench, Blocker, Nozzle, NozzleFit
from leeward.constants import number
from leeward.errors import UsageError
from leeward.parts.records import LeadStyle, Part, Parts

AREA_STYLES: tuple[LeadStyle, ...] = ("bottom-terminated", "ball-grid", "castellated")
SLOT_STYLES: tuple[LeadStyle, ...] = ("gull-wing", "j-lead")
SMALL_MM = 8.0  # parts no longer than this may also be taken with a round bore; house rule
OPEN_SIDE_MM = 1.5  # a side without leads may stand so much further off; house rule
NEAR_MISSES = 3  # nozzles of the wrong size that are named all the same
UNDER_BODY = 0.5  # over joints under the body a bore is moved on a rectangle of this share of theirs; house rule
ROOMY_MM = 2.0  # more room than this beside the walls buys nothing; house rule
SEARCH_MM = 60.0  # neighbours further off are not looked at


@dataclass(frozen=True, slots=True)
class Fixed:
    """What the user holds about the nozzle; None is left to the fit."""

    nozzle_id: str | None = None
    rotation_deg: float | None = None
    standoff_mm: float | None = None


def fits(parts: Parts, target: Part, bench: Bench, fixed: Fixed | None = None) -> tuple[NozzleFit, ...]:
    """Return every nozzle worth naming over the target, best first.

    Those that fit come first: boxed ones before round bores, which heat less evenly, and each by gap as far as
    that matters. Those whose walls meet a neighbour follow, then a few of the nearest size. Where nothing fits as it
    stands, bores that are moved over the part are tried too.
    With a nozzle held, only that one. Raises UsageError for a nozzle that the bench does not have.
    """
    held = fixed or Fixed()
    nozzles = [_named(bench, held.nozzle_id)] if held.nozzle_id else [n for n in bench.nozzles if suits(n, target)]
    near = _neighbours(parts, target)
    tried = [
        place(nozzle, turn, target, near, bench, held) for nozzle in nozzles for turn in _turns(nozzle, target, held)
    ]
    if not held.nozzle_id and not any(fit.fits for fit in tried):
        bores = [nozzle for nozzle in bench.nozzles if nozzle.outlet == "round" and nozzle not in nozzles]
        tried += [place(bore, target.footprint.rotation_deg, target, near, bench, held) for bore in bores]
    taking = sorted((fit for fit in tried if _takes(fit, target, bench) == ""), key=_rank)
    wrong = sorted((fit for fit in tried if _takes(fit, target, bench) != ""), key=lambda fit: _misfit_mm(fit, target))
    return (*taking, *wrong[:NEAR_MISSES])


def suits(nozzle: Nozzle, target: Part) -> bool:
    """Return whether a kind of nozzle is meant for the target's lead style."""
    style = target.lead_style.value
    if nozzle.outlet == "round":
        return style not in (*SLOT_STYLES, *AREA_STYLES) or _longest_mm(target) <= SMALL_MM
    if nozzle.outlet == "perimeter-slot":
        return style in SLOT_STYLES and target.rows == nozzle.slot_sides
    return style in AREA_STYLES if nozzle.outlet == "area" else style in SLOT_STYLES


def place(nozzle: Nozzle, turn_deg: float, target: Part, near: list[Part], bench: Bench, held: Fixed) -> NozzleFit:
    """Return a nozzle put over the middle of the target's leads, with its blockers."""
    x, y, half = _extent(target.leads, turn_deg)
    clearance = (nozzle.aperture_mm[0] / 2 - half[0], nozzle.aperture_mm[1] / 2 - half[1])
    usual = bench.round_standoff_mm if nozzle.outlet == "round" else bench.boxed_standoff_mm
    standoff = usual if held.standoff_mm is None else held.standoff_mm
    path = bore_path(nozzle, target)
    aperture, outside = (outline(nozzle, turn_deg, x, y, grown, path) for grown in (0.0, nozzle.wall_mm))
    gaps = [(wall_gap_mm(part, nozzle, standoff, aperture, outside), part) for part in near]
    tall = [(gap, part) for gap, part in gaps if gap is not None]
    blockers = tuple(
        Blocker(part.id, part.ref, max(gap, 0.0), part.height_mm.value)
        for gap, part in sorted(tall, key=lambda entry: entry[0])
        if gap <= bench.placement_mm
    )
    draft = NozzleFit(
        nozzle, turn_deg % 360, standoff, x, y, aperture, outside, clearance,
        fits=False, min_gap_mm=min((max(gap, 0.0) for gap, _ in tall), default=None), blockers=blockers, why="",
        path=path,
    )  # fmt: skip
    why = _takes(draft, target, bench) or _touches(draft)
    good = "takes the leads with room on every side" if path is None else "moved round over the joints"
    return replace(draft, fits=why == "", why=why or good)


def bore_path(nozzle: Nozzle, target: Part) -> BaseGeometry | None:
    """Return the closed line that a bore too small for the part is moved along, None for one that is held still.

    Over the lead rows, through the middles of the outermost lands; half way to them where joints lie under the whole
    body. Moving in circles over larger parts is common practice, no source.
    """
    still = nozzle.outlet != "round" or nozzle.aperture_mm[0] >= number("clearance", "round", "least_share") * (
        _longest_mm(target) - 1e-6
    )
    if still or all(pad.copper.is_empty for pad in target.footprint.pads):
        return None
    middles = [pad.copper.centroid for pad in target.footprint.pads if not pad.copper.is_empty]  # some are paste alone
    lands = shapely.multipoints([(middle.x, middle.y) for middle in middles])
    rows = shapely.minimum_rotated_rectangle(lands)
    if target.lead_style.value in AREA_STYLES:
        rows = affinity.scale(rows, UNDER_BODY, UNDER_BODY)
    return rows.exterior if rows.geom_type == "Polygon" else _there_and_back(rows)


def _there_and_back(row: BaseGeometry) -> BaseGeometry | None:
    """Return a single row of lands as a closed line, None where the row is one place."""
    places = shapely.get_coordinates(row)
    return shapely.LineString([*places, *places[-2::-1]]) if len(places) > 1 else None


def outline(
    nozzle: Nozzle, turn_deg: float, x_mm: float, y_mm: float, grown_mm: float, path: BaseGeometry | None = None
) -> BaseGeometry:
    """Return the nozzle's inner outline, or that grown by its wall, in the board frame; of a moved bore what it sweeps.

    A sweep has its middle filled in, since the air reaches there too.
    """
    width, length = (side / 2 + grown_mm for side in nozzle.aperture_mm)
    if path is not None:
        return shapely.Polygon(path.buffer(width, quad_segs=32).exterior)
    if nozzle.outlet == "round":
        return shapely.Point(x_mm, y_mm).buffer(width, quad_segs=32)
    box = shapely.box(x_mm - width, y_mm - length, x_mm + width, y_mm + length)
    return affinity.rotate(box, -turn_deg, origin=(x_mm, y_mm))  # y runs down: counter-clockwise as drawn is negative


def wall_gap_mm(
    part: Part, nozzle: Nozzle, standoff_mm: float, aperture: BaseGeometry, outside: BaseGeometry
) -> float | None:
    """Return how far a neighbour stands from walls or head, mm: -1 where they meet, None if it is too low to touch."""
    height = part.height_mm.value
    if height <= standoff_mm:
        return None
    under_head = height > standoff_mm + nozzle.skirt_height_mm
    if under_head and part.body.distance(outside) < nozzle.head_overhang_mm:
        return -1.0
    if part.body.within(aperture):
        return float(aperture.exterior.distance(part.body))
    gap = float(part.body.distance(outside))
    return gap if gap > 0 else -1.0


def longest_bore(bench: Bench) -> Nozzle | None:
    """Return the widest round bore that the bench has."""
    bores = [nozzle for nozzle in bench.nozzles if nozzle.outlet == "round"]
    return max(bores, key=lambda nozzle: nozzle.aperture_mm, default=None)


def _named(bench: Bench, nozzle_id: str) -> Nozzle:
    found = next((nozzle for nozzle in bench.nozzles if nozzle.id == nozzle_id), None)
    if found is None:
        raise UsageError(f"the bench has no nozzle {nozzle_id}", do="see `leeward bench` for those it has")
    return found


def _neighbours(parts: Parts, target: Part) -> list[Part]:
    """Return the bodies on the target's side within reach of any nozzle, the target left out."""
    same = [
        part
        for part in parts.by_id.values()
        if part.id != target.id and part.footprint.side == target.footprint.side and not part.body.is_empty
    ]
    within = STRtree([part.body for part in same]).query(target.leads, predicate="dwithin", distance=SEARCH_MM)
    return [same[i] for i in sorted(within)]


def _turns(nozzle: Nozzle, target: Part, held: Fixed) -> tuple[float, ...]:
    """Return the rotations to try: square to the part, both ways round unless that is the same."""
    if held.rotation_deg is not None:
        return (held.rotation_deg,)
    own = target.footprint.rotation_deg
    same = nozzle.aperture_mm[0] == nozzle.aperture_mm[1] and (
        nozzle.outlet != "perimeter-slot" or nozzle.slot_sides == 4
    )
    return (own,) if same or nozzle.outlet == "round" else (own, own + 90.0)


def _extent(leads: BaseGeometry, turn_deg: float) -> tuple[float, float, tuple[float, float]]:
    """Return the middle of an outline in the board frame and its half extents in the nozzle's."""
    middle = leads.envelope.centroid
    x0, y0, x1, y1 = affinity.rotate(leads, turn_deg, origin=middle).bounds
    centre = affinity.rotate(shapely.Point((x0 + x1) / 2, (y0 + y1) / 2), -turn_deg, origin=middle)
    return centre.x, centre.y, ((x1 - x0) / 2, (y1 - y0) / 2)


def _takes(fit: NozzleFit, target: Part, bench: Bench) -> str:
    """Return why the aperture does not suit the target, "" if it does."""
    nozzle = fit.nozzle
    if nozzle.outlet == "round":
        return _bore_fault(nozzle.aperture_mm[0], _longest_mm(target), moved=fit.path is not None)
    if target.height_mm.value >= fit.standoff_mm + nozzle.skirt_height_mm:
        return f"the body is {target.height_mm.value:.1f} mm tall, more than stand-off and skirt"
    least, most = room_mm(nozzle, target)
    least, most = least + bench.placement_mm, most + bench.placement_mm
    allowed = [most, most]
    if nozzle.outlet == "perimeter-slot" and nozzle.slot_sides == 2:
        if not _rows_along_length(fit, target):
            return "its slots lie across the lead rows"
        allowed[1] += OPEN_SIDE_MM
    worst = min(fit.clearance_mm)
    if worst < 0:
        return f"is {-worst:.2f} mm a side too small to go round the leads"
    if worst < least - 1e-6:
        return f"leaves {worst:.2f} mm a side round the leads; {least:.2f} mm is the least"
    over = [room - limit for room, limit in zip(fit.clearance_mm, allowed, strict=True)]
    return f"is {max(over):.2f} mm a side wider than it must be" if max(over) > 1e-6 else ""


def room_mm(nozzle: Nozzle, target: Part) -> tuple[float, float]:
    """Return the least and most room a side that a boxed nozzle must leave, placement tolerance not included."""
    style = target.lead_style.value
    kind = ("perimeter-slot", style) if nozzle.outlet != "area" and style in SLOT_STYLES else ("area", "other")
    return number("clearance", *kind, "least_mm"), number("clearance", *kind, "most_mm")


def _bore_fault(bore_mm: float, longest_mm: float, *, moved: bool) -> str:
    share, least = bore_mm / longest_mm, number("clearance", "round", "least_moved_share")
    if moved:
        small = f"the bore is {share:.2f} of the part's longest side; even moved, {least:g} is the least"
        return small if share < least - 1e-6 else ""
    most = max(number("clearance", "round", "most_share"), number("clearance", "round", "small_bore_mm") / longest_mm)
    return f"the bore is {share:.2f} of the part's longest side, wider than it must be" if share > most + 1e-6 else ""


def _misfit_mm(fit: NozzleFit, target: Part) -> float:
    """Return how far an aperture of the wrong size is from the middle of what it should leave, a side."""
    if fit.nozzle.outlet == "round":
        return abs(fit.nozzle.aperture_mm[0] - 1.25 * _longest_mm(target)) / 2
    wanted = sum(room_mm(fit.nozzle, target)) / 2
    return max(abs(room - wanted) for room in fit.clearance_mm)


def _rows_along_length(fit: NozzleFit, target: Part) -> bool:
    """Return whether the part's lead rows run along the nozzle's length."""
    turned = round(abs(fit.rotation_deg - target.footprint.rotation_deg) % 180 / 90) % 2 == 1
    sticks_out = [span - body for span, body in zip(target.lead_span_mm, target.body_mm.value, strict=True)]
    leads_along_x = sticks_out[0] > sticks_out[1]  # leads point along the part's x: rows run along its y
    return leads_along_x != turned


def _touches(fit: NozzleFit) -> str:
    if not fit.blockers:
        return ""
    names = ", ".join(blocker.ref for blocker in fit.blockers[:4])
    more = f" and {len(fit.blockers) - 4} more" if len(fit.blockers) > 4 else ""
    return f"walls meet {names}{more}"


def _rank(fit: NozzleFit) -> tuple[bool, int, bool, float, float, str, float]:
    round_bore = fit.nozzle.outlet == "round"
    gap = ROOMY_MM if fit.min_gap_mm is None else min(fit.min_gap_mm, ROOMY_MM)
    size = fit.nozzle.aperture_mm[0] * fit.nozzle.aperture_mm[1]
    # A box is as small as it may be; of bores the wider one, whose air is slower, heats more evenly.
    order = -size if round_bore else size
    return not fit.fits, len(fit.blockers), round_bore, -gap, order, fit.nozzle.id, fit.rotation_deg


def _longest_mm(target: Part) -> float:
    return max(*target.lead_span_mm, *target.body_mm.value, 1e-3)
