"""Make a piece of what was chosen: grow it to land on the board, take it from a roll, fold its edges, lay it flat."""

from dataclasses import replace

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from leeward.bench.records import ShieldMaterial
from leeward.constants import number
from leeward.parts.order import natural_key
from leeward.shields import fence, patterns
from leeward.shields.candidates import Along, Candidate, extent, faces_nozzle, moved, room, settled
from leeward.shields.records import Pattern, Piece, Points
from leeward.shields.site import Barred, Box, Site, as_array, meets
from leeward.shields.strips import across_needed_mm, along_needed_mm, holds_together
from leeward.shields.traits import NOT_OVER

NO_LINES = shapely.MultiLineString()
HAIR_MM = 0.01


def piece(candidate: Candidate) -> Piece:
    """Return the piece of a candidate, not yet numbered."""
    return _taped(candidate) if candidate.shape in ("strip", "sheet") else _put_over(candidate)


def fence_piece(run: fence.Run, site: Site, foil: ShieldMaterial) -> Piece:
    """Return a fence as a piece, not yet numbered."""
    pattern = patterns.fence(run)
    width = patterns.fence_width_mm()
    sections = tuple(site.frame.board(ground) for ground in fence.grounds(run))
    return Piece(
        number=0,
        kind="fence",
        shape="fence",
        material=foil,
        layers=1,
        side=site.side,
        area=shapely.union_all(sections),
        lee=site.frame.board(fence.lee(run, site)),
        dams=NO_LINES,
        length_mm=sum(b - a for a, b in run.bands) + (patterns.OVERLAP_MM if run.is_ring else 0.0),
        width_mm=width,
        roll_width_mm=min((w for w in foil.widths_mm if w >= width), default=max(foil.widths_mm)),
        direction_deg=site.frame.direction_deg("u"),
        height_mm=number("covers", "fence", "height_mm"),
        air_gap_mm=None,
        wall_gap_mm=run.gap_mm,
        resistance_m2k_w=0.0,
        covers=(),
        pattern=pattern,
        sections=sections,
        over=(),
        why=_fence_why(run),
    )


def _fence_why(run: fence.Run) -> str:
    sides = "on all four sides" if len(run.edges) == 4 else f"on {len(run.edges)} of four sides"
    cut = f", in {len(run.bands)} bands between tall bodies" if len(run.bands) > 1 else ""
    return f"breaks the air that leaves the nozzle, {sides}{cut}; slows the target"


def settled_among(pieces: list[Piece]) -> list[Piece]:
    """Return pieces with numbers in laying order: no edge is folded up under another, and each says what it laps."""
    order = {"sheet": 0, "strip": 1, "coat": 2, "blanket": 3, "tent": 4, "lid": 5, "fence": 6}
    laid = sorted(pieces, key=lambda each: (each.side != "top", order[each.shape], _clockwise(each, pieces)))
    taped = [each for each in laid if each.shape in ("strip", "sheet")]
    done: list[Piece] = []
    for number_, each in enumerate(laid, 1):
        others = [other.area for other in taped if other is not each and other.side == each.side]
        dams = each.dams.difference(shapely.unary_union(others)) if not each.dams.is_empty and others else each.dams
        over = tuple(
            under.number for under in done if under.side == each.side and under.area.intersection(each.area).area > 0.1
        )
        done.append(replace(each, number=number_, dams=dams, over=over))
    return done


def _taped(candidate: Candidate) -> Piece:
    site, along, tape = candidate.site, candidate.along, candidate.material
    barred = site.barred(NOT_OVER["tape"], number("covers", "cut", "drape_mm"))
    box = _rolled(candidate, barred)
    width, roll = _cut_from(tape, across_needed_mm(site, box, along))
    length = along_needed_mm(site, box, along)
    windows = [entry for entry in candidate.windows if meets(box, as_array([entry])).any()]
    cut = shapely.box(*box).difference(shapely.unary_union([shapely.box(*window) for window in windows]))
    area, edges = site.frame.board(cut), faces_nozzle(site, box)
    dams = _dam_lines(site, box, windows)
    slit = "" if width == roll else f", slit from {roll:g} mm"
    return Piece(
        number=0,
        kind="air-mask",
        shape=candidate.shape,
        material=tape,
        layers=1,
        side=site.side,
        area=area,
        lee=area,
        dams=site.frame.board(dams),
        length_mm=length,
        width_mm=width,
        roll_width_mm=roll,
        direction_deg=site.frame.direction_deg(along),
        height_mm=0.0 if dams.is_empty else number("covers", "cut", "dam_mm"),
        air_gap_mm=None,
        wall_gap_mm=None,
        resistance_m2k_w=candidate.resistance_m2k_w,
        covers=_covered(candidate),
        pattern=_tape_pattern(site, box, along, (length, width), windows, edges),
        sections=(),
        over=(),
        why=f"keeps moving air off and parts in place, little heat{slit}",
    )


def _cut_from(tape: ShieldMaterial, needed_mm: float) -> tuple[float, float]:
    """Return the width of a strip and of the narrowest roll that gives it; nothing is slit off for a hair."""
    roll = min((width for width in tape.widths_mm if width >= needed_mm - HAIR_MM), default=max(tape.widths_mm))
    return (roll if roll - needed_mm < HAIR_MM else needed_mm), roll


def _rolled(candidate: Candidate, barred: tuple[Barred, ...]) -> Box:
    """Return the box of a strip grown to land on the board, then to the full width of the roll as far as it is free."""
    site, along, widths = candidate.site, candidate.along, sorted(candidate.material.widths_mm)
    plain = candidate.box
    landed = settled(plain, barred, site, number("covers", "cut", "landing_mm"))
    box = landed if across_needed_mm(site, landed, along) <= widths[-1] else plain
    roll = next(width for width in widths if width >= across_needed_mm(site, box, along) - HAIR_MM)
    for edge in (1, 3) if along == "u" else (0, 2):
        spare = roll - across_needed_mm(site, box, along)
        if faces_nozzle(site, box)[edge] or spare < HAIR_MM:
            continue
        wider = moved(box, edge, room(box, edge, barred, site, spare))
        if across_needed_mm(site, wider, along) <= roll + HAIR_MM:
            box = wider
    return box if holds_together(box, candidate.windows) else plain


def _dam_lines(site: Site, box: Box, windows: list[Box]) -> BaseGeometry:
    """Return the edges that are folded up: those that face the nozzle, and the rim of the window it stands in."""
    nozzle = site.nozzle
    if nozzle is None:
        return NO_LINES
    lines = [_facing(box, edge, nozzle) for edge, folded in enumerate(faces_nozzle(site, box)) if folded]
    rims = [shapely.box(*window).exterior for window in windows if meets(window, as_array([nozzle])).any()]
    whole = shapely.box(*box)
    return shapely.union_all([*lines, *(rim.intersection(whole) for rim in rims)]) if lines or rims else NO_LINES


def _facing(box: Box, edge: int, nozzle: Box) -> BaseGeometry:
    axis = 1 if edge in (0, 2) else 0
    low, high = max(box[axis], nozzle[axis]), min(box[axis + 2], nozzle[axis + 2])
    ends = [(box[edge], low), (box[edge], high)] if axis == 1 else [(low, box[edge]), (high, box[edge])]
    return shapely.LineString(ends)


def _tape_pattern(
    site: Site,
    box: Box,
    along: Along,
    size: tuple[float, float],
    windows: list[Box],
    edges: tuple[bool, bool, bool, bool],
) -> Pattern:
    """Return the flat strip; lengths that the steps take up are shared out to both ends."""
    length, width = size
    # Across the length: seen from the tape's first end its near edge is the one of low v (or of high u).
    first, near, last, far = edges if along == "u" else (edges[1], edges[2], edges[3], edges[0])
    dam = number("covers", "cut", "dam_mm")
    own_length, own_width = extent(box, along)
    x0 = first * dam + (length - own_length - dam * (first + last)) / 2
    y0 = near * dam + (width - own_width - dam * (near + far)) / 2
    flat: list[tuple[Points, bool]] = []
    for window in windows:
        low_x, low_y, high_x, high_y = _in_strip(window, box, along)
        rim = site.nozzle is not None and bool(meets(window, as_array([site.nozzle])).any())
        # A window that reaches past an edge is a notch: it is cut through to the edge, and gets no rim.
        notch = low_x < 0 or low_y < 0 or high_x > own_length or high_y > own_width
        corners = (
            x0 + low_x if low_x > 0 else 0.0,
            y0 + low_y if low_y > 0 else 0.0,
            x0 + high_x if high_x < own_length else length,
            y0 + high_y if high_y < own_width else width,
        )
        flat.append((patterns.rectangle(*corners), rim and not notch))
    return patterns.flat_tape(length, width, (first, near, last, far), flat)


def _in_strip(window: Box, box: Box, along: Along) -> Box:
    """Return a window from a strip's own corner: along its length, then across it."""
    if along == "u":
        return window[0] - box[0], window[1] - box[1], window[2] - box[0], window[3] - box[1]
    return window[1] - box[1], box[2] - window[2], window[3] - box[1], box[2] - window[0]


def _put_over(candidate: Candidate) -> Piece:
    site, pattern = candidate.site, _laid_flat(candidate)
    length, width = extent(candidate.box, candidate.along) if pattern is None else _size(pattern)
    area = site.frame.board(shapely.box(*candidate.box))
    return Piece(
        number=0,
        kind=candidate.kind,
        shape=candidate.shape,
        material=candidate.material,
        layers=candidate.layers,
        side=site.side,
        area=area,
        lee=area,
        dams=NO_LINES,
        length_mm=length,
        width_mm=width,
        roll_width_mm=min((w for w in candidate.material.widths_mm if w >= width), default=width),
        direction_deg=site.frame.direction_deg(candidate.along),
        height_mm=candidate.height_mm,
        air_gap_mm=candidate.air_gap_mm,
        wall_gap_mm=None,
        resistance_m2k_w=candidate.resistance_m2k_w,
        covers=_covered(candidate),
        pattern=pattern,
        sections=(),
        over=(),
        why=_why(candidate),
    )


def _laid_flat(candidate: Candidate) -> Pattern | None:
    """Return what a cover is cut and folded from; None of a coat."""
    length, width = extent(candidate.box, candidate.along)
    height = candidate.height_mm
    if candidate.shape == "lid":
        return patterns.lid(length, width, height)
    if candidate.shape == "tent":
        return patterns.tent(length, width, height)
    if candidate.shape == "blanket":
        beyond = 2 * (number("covers", "cut", "landing_mm") + height - candidate.material.thickness_mm)
        return patterns.blanket(length + beyond, width + beyond)
    return None


def _why(candidate: Candidate) -> str:
    if candidate.shape == "coat":
        return f"a coat {candidate.material.thickness_mm:g} mm thick holds them near the boiling point while it is wet"
    if candidate.shape == "blanket":
        return f"{candidate.material.thickness_mm:g} mm of fibre hold the heat off; drape it to the board"
    stands = f"stands {candidate.height_mm:.1f} mm tall"
    inside = ", two layers with the adhesive inside" if candidate.shape == "tent" else ""
    return f"{stands}{inside}; {candidate.air_gap_mm:g} mm of still air over the tallest hold the heat off"


def _size(pattern: Pattern) -> tuple[float, float]:
    corners = np.vstack([np.array(ring) for ring in pattern.outlines])
    return float(np.ptp(corners[:, 0])), float(np.ptp(corners[:, 1]))


def _covered(candidate: Candidate) -> tuple[str, ...]:
    refs = {entry.part.id: entry.part.ref for entry in candidate.site.standing}
    ids = {part_id for part_id, _ in candidate.serves}
    return tuple(sorted(ids, key=lambda part_id: (natural_key(refs[part_id]), part_id)))


def _clockwise(each: Piece, all_pieces: list[Piece]) -> float:
    """Return how far round the middle of all pieces one lies, clockwise as drawn from the top."""
    middle = shapely.unary_union([other.area for other in all_pieces if other.side == each.side]).centroid
    at = each.area.centroid
    return round(float(np.arctan2(at.x - middle.x, middle.y - at.y) % (2 * np.pi)), 6)
