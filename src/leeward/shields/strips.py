"""Tape that holds small parts down and keeps moving air off: strips from the rolls, and sheets with windows.

Strips are boxes square to the nozzle that hold the whole of every part they serve (body and lands) and meet nothing
that must stay free. Where a roll is wide enough one sheet serves instead, with windows cut into it.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray

from leeward.bench.records import ShieldMaterial
from leeward.constants import number
from leeward.heat.covers import film_m2k_w
from leeward.shields.candidates import (
    Along,
    Candidate,
    extent,
    faces_nozzle,
    free_of,
    inside_of,
    outer_face_c,
    tallest_mm,
    turned,
)
from leeward.shields.site import Barred, Box, Site, Standing, around, as_array, grown, holds, meets
from leeward.shields.traits import NOT_OVER

AREA_COST_1_MM2 = 2e-5  # of tape, in strips: of two that serve the same the smaller
WINDOW_COST = 0.25  # of one window, in strips: a strip is preferred where it serves the same; house rule


@dataclass(frozen=True, slots=True)
class Ground:
    """What tape may lie on: the site, the tape, and what is barred to it."""

    site: Site
    tape: ShieldMaterial
    barred: tuple[Barred, ...]
    barred_boxes: NDArray[np.float64]  # (k, 4)


def ground(site: Site, tape: ShieldMaterial) -> Ground:
    """Return the ground for a tape."""
    barred = site.barred(NOT_OVER["tape"], number("covers", "cut", "drape_mm"))
    return Ground(site, tape, barred, as_array(entry.box for entry in barred))


def cannot_be_taped(where: Ground, part: Standing) -> str | None:
    """Return why no tape can lie over a part, None if it can."""
    hit = free_of(part.plan, where.barred)
    if hit is not None:
        return hit.said_of(part.part)
    if across_needed_mm(where.site, part.plan, "u") > max(where.tape.widths_mm):
        return "it is wider than any roll"
    if _too_hot(where, part.plan):
        return f"the tape would pass {where.tape.most_c:.0f} C there"
    return None


def strips(where: Ground, wanted: Sequence[Standing]) -> list[Candidate]:
    """Return the strips that serve parts which can be taped: the longest run of every band, both ways round."""
    found: dict[frozenset[str], Candidate] = {}
    directions: tuple[Along, Along] = ("u", "v")
    for along in directions:
        for box, members in _runs(where, list(wanted), along):
            candidate = _strip(where, box, along, members)
            ids = frozenset(entry.part.id for entry in members)
            if candidate is not None and (ids not in found or _area(candidate.box) < _area(found[ids].box)):
                found[ids] = candidate
    return list(found.values())


def sheets(where: Ground, wanted: Sequence[Standing]) -> list[Candidate]:
    """Return the sheets with windows that serve parts which can be taped, one for each roll, way round and place."""
    found: dict[frozenset[str], Candidate] = {}
    directions: tuple[Along, Along] = ("u", "v")
    for along in directions:
        for box in _sheet_boxes(where, list(wanted), along):
            candidate = _sheet(where, box, along, wanted)
            ids = frozenset() if candidate is None else frozenset(part_id for part_id, _ in candidate.serves)
            if candidate is not None and (ids not in found or candidate.cost < found[ids].cost):
                found[ids] = candidate
    return list(found.values())


def across_needed_mm(site: Site, box: Box, along: Along) -> float:
    """Return the width of tape that a box takes: its own, up and down over the tallest body, and folded edges."""
    low, high = (1, 3) if along == "u" else (0, 2)
    dams = faces_nozzle(site, box)
    folded = number("covers", "cut", "dam_mm") * (dams[low] + dams[high])
    return extent(box, along)[1] + 2 * _draped_mm(site, box) + folded


def along_needed_mm(site: Site, box: Box, along: Along) -> float:
    """Return the length of tape that a box takes: its own, every step up and down on the way, and folded edges."""
    first, last = (0, 2) if along == "u" else (1, 3)
    dams = faces_nozzle(site, box)
    folded = number("covers", "cut", "dam_mm") * (dams[first] + dams[last])
    limit = number("covers", "cut", "drape_mm")
    under = sorted(inside_of(site, box), key=lambda entry: entry.body[first])
    heights = [0.0, *(entry.height_mm for entry in under if entry.height_mm <= limit), 0.0]
    steps = sum(abs(b - a) for a, b in zip(heights[:-1], heights[1:], strict=True))
    return extent(box, along)[0] + steps + folded


def _draped_mm(site: Site, box: Box) -> float:
    """Return the height of the tallest body that the tape goes over; taller ones stand in windows."""
    limit = number("covers", "cut", "drape_mm")
    return tallest_mm(entry for entry in inside_of(site, box) if entry.height_mm <= limit)


def _runs(where: Ground, wanted: list[Standing], along: Along) -> list[tuple[Box, list[Standing]]]:
    """Return boxes and their members: in every band from one part's low edge to another's high one."""
    if not wanted:
        return []
    plans = as_array(entry.plan if along == "u" else turned(entry.plan) for entry in wanted)
    barred = where.barred_boxes if along == "u" else where.barred_boxes[:, [1, 0, 3, 2]]
    widest = max(where.tape.widths_mm)
    found: dict[tuple[int, ...], None] = {}
    for low in np.unique(plans[:, 1]):
        seen = 0
        for high in np.unique(plans[:, 3]):
            if high <= low or high - low > widest:
                continue
            band = np.flatnonzero((plans[:, 1] >= low - 1e-9) & (plans[:, 3] <= high + 1e-9))
            if band.size == seen:
                continue
            seen = band.size
            for run in _split(plans[band], barred, float(low), float(high)):
                found.setdefault(tuple(int(i) for i in band[run]))
    return [(around(wanted[i].plan for i in run), [wanted[i] for i in run]) for run in found]


def _split(plans: NDArray[np.float64], barred: NDArray[np.float64], low: float, high: float) -> list[list[int]]:
    """Return the longest runs of a band's members that nothing barred comes between, in order along the band."""
    order = np.argsort(plans[:, 0], kind="stable")
    walls = barred[(barred[:, 1] < high - 1e-6) & (barred[:, 3] > low + 1e-6)]
    longest = number("covers", "cut", "longest_mm")
    runs: list[list[int]] = []
    for start in range(len(order)):
        end = plans[order[start], 2]
        run: list[int] = []
        for i in order[start:]:
            reach = max(end, plans[i, 2])
            box = (float(plans[order[start], 0]), low, float(reach), high)
            if box[2] - box[0] > longest or meets(box, walls).any():
                break
            run.append(int(i))
            end = reach
        if run and not (runs and set(run) <= set(runs[-1])):
            runs.append(run)
    return runs


def _strip(where: Ground, box: Box, along: Along, members: list[Standing]) -> Candidate | None:
    if across_needed_mm(where.site, box, along) > max(where.tape.widths_mm) or _too_hot(where, box):
        return None
    return _candidate(where, box, along, members, (), 1.0)


def _sheet_boxes(where: Ground, wanted: list[Standing], along: Along) -> list[Box]:
    """Return boxes as wide as each roll covers: about the nozzle's middle, and from each part's low edge."""
    site = where.site
    if not wanted:
        return []
    plans = as_array(entry.plan if along == "u" else turned(entry.plan) for entry in wanted)
    longest, found = number("covers", "cut", "longest_mm"), []
    for width in where.tape.widths_mm:
        across = width - 2 * tallest_mm(wanted)
        lows = [*np.unique(plans[:, 1]), *([] if site.nozzle is None else [-across / 2])]
        for low in lows:
            inside = plans[(plans[:, 1] >= low - 1e-9) & (plans[:, 3] <= low + across + 1e-9)]
            middle = inside[np.abs(inside[:, [0, 2]]).max(axis=1) <= longest / 2]
            for group in (inside, middle):
                if len(group) < 2 or np.ptp(group[:, [0, 2]]) > longest:
                    continue
                box = (float(group[:, 0].min()), float(low), float(group[:, 2].max()), float(low + across))
                found.append(box if along == "u" else turned(box))
    return list(dict.fromkeys(found))


def trimmed(where: Ground, candidate: Candidate, served: Sequence[Standing]) -> Candidate:
    """Return a piece cut down to the parts that are left for it to serve; as it was where that cannot be."""
    box = around(entry.plan for entry in served)
    cut = _windowed(where, box, candidate.along, served)
    return candidate if cut is None or len(cut.serves) < len(served) else cut


def _sheet(where: Ground, box: Box, along: Along, wanted: Sequence[Standing]) -> Candidate | None:
    plans = as_array(entry.plan for entry in wanted)
    inside = [wanted[int(i)] for i in np.flatnonzero(holds(box, plans))]
    sheet = _windowed(where, box, along, inside) if inside else None
    return sheet if sheet is not None and sheet.windows else None


def holds_together(box: Box, windows: Sequence[Box]) -> bool:
    """Return whether a sheet stays one, nowhere narrower than a border, when its windows are cut."""
    if not windows:
        return True
    left = shapely.box(*box).difference(shapely.unary_union([shapely.box(*window) for window in windows]))
    core = left.buffer(-number("covers", "cut", "least_border_mm") / 2 + 1e-6, join_style="mitre")
    return bool(shapely.get_num_geometries(left) == shapely.get_num_geometries(core) == 1)


def _windowed(where: Ground, box: Box, along: Along, members: Sequence[Standing]) -> Candidate | None:
    """Return tape over a box with windows for all that must stay free, None where too little is left to hold."""
    border = number("covers", "cut", "least_border_mm")
    box = _on_board(where, _wide_enough(where, box, along, border))
    in_it = where.barred_boxes[meets(box, where.barred_boxes)]
    windows = _merged([around([entry]) for entry in in_it.tolist()], border)
    if len(windows) > number("covers", "cut", "most_windows") or not holds_together(box, windows):
        return None
    plans = as_array(entry.plan for entry in members)
    hidden = np.any([meets(window, plans) for window in windows], axis=0) if windows else np.zeros(len(plans), bool)
    kept = [entry for entry, out in zip(members, hidden, strict=True) if not out]
    if (
        not kept
        or across_needed_mm(where.site, box, along) > max(where.tape.widths_mm)
        or _too_hot(where, box, windows)
    ):
        return None
    return _candidate(where, box, along, kept, tuple(windows), 1.0 + WINDOW_COST * len(windows))


def _on_board(where: Ground, box: Box) -> Box:
    bounds = where.site.bounds
    return max(box[0], bounds[0]), max(box[1], bounds[1]), min(box[2], bounds[2]), min(box[3], bounds[3])


def _wide_enough(where: Ground, box: Box, along: Along, border: float) -> Box:
    """Return a box that goes a border's width past a nozzle at its end, so that the window's rim holds."""
    nozzle = where.site.nozzle
    if nozzle is None or not meets(box, as_array([nozzle])).any():
        return box
    rim = grown(nozzle, border)
    if along == "u":
        return min(box[0], rim[0]), box[1], max(box[2], rim[2]), box[3]
    return box[0], min(box[1], rim[1]), box[2], max(box[3], rim[3])


def _merged(windows: list[Box], apart_mm: float) -> list[Box]:
    """Return windows with those nearer to each other than a border made one."""
    left = as_array(dict.fromkeys(windows))
    merged: list[Box] = []
    while len(left):
        window = around(left[:1].tolist())
        near = meets(grown(window, apart_mm), left)
        if near.sum() > 1:
            left = np.vstack([left[~near], as_array([around(left[near].tolist())])])
        else:
            merged.append(window)
            left = left[1:]
    return sorted(merged)


def _too_hot(where: Ground, box: Box, windows: Sequence[Box] = ()) -> bool:
    # Where a sheet has windows its hottest place is taken to be cut out with the nozzle's.
    if windows:
        return False
    resistance = film_m2k_w(where.tape.thickness_mm, where.tape.conductivity_w_mk)
    return outer_face_c(where.site, box, resistance) > where.tape.most_c


def _candidate(
    where: Ground, box: Box, along: Along, members: Sequence[Standing], windows: tuple[Box, ...], cost: float
) -> Candidate:
    return Candidate(
        kind="air-mask",
        shape="sheet" if windows else "strip",
        material=where.tape,
        layers=1,
        site=where.site,
        box=box,
        along=along,
        windows=windows,
        serves=frozenset((entry.part.id, "hold") for entry in members),
        cost=cost + AREA_COST_1_MM2 * _area(box),
        resistance_m2k_w=film_m2k_w(where.tape.thickness_mm, where.tape.conductivity_w_mk),
    )


def _area(box: Box) -> float:
    return (box[2] - box[0]) * (box[3] - box[1])
