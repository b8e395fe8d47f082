"""Whole real boards against what KiCad 10's own library says of them.

The answers were made by running KiCad 10 (https://www.kicad.org) on each board; the demo boards of Debian's
package kicad-demos were re-saved by KiCad 9 first, so their parts are found by reference and position.
"""

import gzip
import json
from collections import defaultdict
from functools import cache
from math import hypot
from typing import Any

import pytest
import shapely

from leeward.board.outlines import kicad_courtyard_area_mm2
from leeward.board.read import read
from leeward.board.records import Board, Footprint, Pad
from needs import kicad_demo, outside_board

pytestmark = pytest.mark.outside_boards

OUTSIDE = (
    "operacake-v4",
    "ulx3s",
    "nrfmicro",
    "luna-r0",
    "moteus-c1",
    "vivaldi",
    "bitaxe-gamma",
    "topaz",
)
DEMOS = {
    "StickHub": "stickhub/StickHub",
    "carte_test": "test_xil_95108/carte_test",
    "complex_hierarchy": "complex_hierarchy/complex_hierarchy",
    "custom_pads_test": "custom_pads_test/custom_pads_test",
    "ecc83-pp": "ecc83/ecc83-pp",
    "ecc83-pp_v2": "ecc83/ecc83-pp_v2",
    "flat_hierarchy": "flat_hierarchy/flat_hierarchy",
    "interf_u": "interf_u/interf_u",
    "kit-dev-coldfire-xilinx_5213": "kit-dev-coldfire-xilinx_5213/kit-dev-coldfire-xilinx_5213",
    "microwave": "microwave/microwave",
    "pic_programmer": "pic_programmer/pic_programmer",
    "sonde_xilinx": "sonde xilinx/sonde xilinx",
    "test_pads_inside_pads": "test_pads_inside_pads/test_pads_inside_pads",
    "video": "video/video",
}
# Wide curved strokes: KiCad approximates the primitives of a custom pad with chords that stay up to 0.005 mm
# inside of the copper on both edges, whatever accuracy it is asked for; we follow the curve to 0.001 mm.
COARSE_CURVES = {
    ("custom_pads_test", "U***", "5"),
    ("custom_pads_test", "SW1", "1"),
    ("custom_pads_test", "SW1", "2"),
}
COARSE_TOLERANCE = 0.005

Answer = dict[str, Any]


@cache
def answers() -> Answer:
    """Return KiCad's answers by board."""
    with gzip.open(outside_board("oracle.json.gz"), "rt", encoding="utf-8") as stream:
        found: Answer = json.load(stream)
    return found


@cache
def board(name: str) -> Board:
    """Return a board as read, once for all tests."""
    path = kicad_demo(f"{DEMOS[name]}.kicad_pcb") if name in DEMOS else outside_board(f"{name}.kicad_pcb")
    return read(str(path))


def answer(name: str) -> Answer:
    """Return KiCad's answer for a board."""
    found: Answer = answers()[f"{'kicad-demos/' if name in DEMOS else ''}{name}.kicad_pcb"]
    return found


def pairs(name: str) -> list[tuple[Footprint, Answer]]:
    """Return each footprint beside KiCad's, matched by reference and position."""
    ours: defaultdict[tuple[str, float, float], list[Footprint]] = defaultdict(list)
    for part in board(name).footprints:
        ours[part.ref, round(part.x_mm, 3), round(part.y_mm, 3)].append(part)
    return [(ours[q["ref"], round(q["x"], 3), round(q["y"], 3)].pop(0), q) for q in answer(name)["parts"]]


def pad_pairs(name: str) -> list[tuple[Footprint, Pad, Answer]]:
    """Return each pad beside KiCad's, matched by number, then by position and area."""
    return [(part, pad, other) for part, theirs in pairs(name) for pad, other in _matched(part, theirs)]


def _matched(part: Footprint, theirs: Answer) -> list[tuple[Pad, Answer]]:
    left = list(theirs["pads"])
    found = []
    for pad in part.pads:
        nearest = min(left, key=lambda q: (q["num"] != pad.number, _away(pad, q), abs(q["area"] - pad.area_mm2)))
        left.remove(nearest)
        found.append((pad, nearest))
    return found


def _away(pad: Pad, other: Answer) -> float:
    return round(hypot(pad.x_mm - other["x"], pad.y_mm - other["y"]), 4)


every_board = pytest.mark.parametrize("name", [*OUTSIDE, *DEMOS])


@every_board
def test_counts(name: str) -> None:
    """Footprints, tracks, vias and copper layers are as many as KiCad loads."""
    found, kicad = board(name), answer(name)
    assert len(found.footprints) == len(kicad["parts"])
    assert len(found.tracks) == kicad["tracks"]
    assert len(found.vias) == kicad["vias"]
    assert len(found.copper_layers) == kicad["layers"]


@every_board
def test_footprints(name: str) -> None:
    """Each footprint has KiCad's value, library id, side, rotation, fitted flag and number of pads."""
    wrong = [
        (part.ref, theirs["ref"])
        for part, theirs in pairs(name)
        if (part.value, part.library_id, part.side == "bottom", part.fitted, len(part.pads))
        != (theirs["value"], theirs["fpid"], theirs["bottom"], not theirs["dnp"], len(theirs["pads"]))
        or abs((part.rotation_deg - theirs["rot"] + 180) % 360 - 180) > 1e-3
    ]
    assert wrong == []


@every_board
def test_pads(name: str) -> None:
    """Each pad has KiCad's number, net, drill and sides, and its position within 1 um."""
    wrong = [
        (part.ref, pad.number, theirs)
        for part, pad, theirs in pad_pairs(name)
        if (pad.number, pad.net) != (theirs["num"], theirs["net"])
        or abs((pad.drill_mm or 0.0) - theirs["drill"]) > 1e-6
        or ("top" in pad.sides, "bottom" in pad.sides) != (theirs["top"], theirs["bottom"])
        or max(abs(pad.x_mm - theirs["x"]), abs(pad.y_mm - theirs["y"])) > 1e-3
    ]
    assert wrong == []


@every_board
def test_pad_areas(name: str) -> None:
    """Each pad with copper has KiCad's area within 0.1 %, each without (KiCad gives its paste's) has none."""
    wrong = [
        (part.ref, pad.number, pad.area_mm2, theirs["area"])
        for part, pad, theirs in pad_pairs(name)
        if pad.layers and abs(pad.area_mm2 / theirs["area"] - 1) > _tolerance(name, part, pad)
    ]
    assert wrong == []
    assert all(pad.area_mm2 == 0 for _, pad, _ in pad_pairs(name) if not pad.layers)


def _tolerance(name: str, part: Footprint, pad: Pad) -> float:
    return COARSE_TOLERANCE if (name, part.ref, pad.number) in COARSE_CURVES else 0.001


@every_board
def test_courtyards(name: str) -> None:
    """Each courtyard, moved in as KiCad moves it, has KiCad's area within 0.1 %, or neither has one."""
    wrong = []
    for part, theirs in pairs(name):
        area = kicad_courtyard_area_mm2(part.courtyard)
        kicad = theirs["crtydB" if theirs["bottom"] else "crtydF"]
        if abs(area - kicad) > 0.001 * kicad:
            wrong.append((part.ref, area, kicad))
    assert wrong == []


@every_board
def test_outline_area(name: str) -> None:
    """The board's area, cut-outs taken out, is KiCad's within 0.1 %."""
    assert board(name).outline.area == pytest.approx(answer(name)["outline_area"], rel=0.001)


@every_board
def test_zone_areas(name: str) -> None:
    """The filled copper of each layer is KiCad's within 0.1 %, teardrops among it."""
    found: defaultdict[str, float] = defaultdict(float)
    for zone in board(name).zones:
        for fill in zone.fills:
            found[fill.layer] += fill.copper.area
    kicad = {layer: area for layer, area in answer(name)["zone_area"].items() if area > 0}
    assert {layer: area for layer, area in found.items() if area > 0} == pytest.approx(kicad, rel=0.001)


@every_board
def test_every_fill_is_a_valid_area(name: str) -> None:
    """Fills, lands and courtyards are valid polygons, so that later geometry on them cannot fail."""
    found = board(name)
    areas = [fill.copper for zone in found.zones for fill in zone.fills]
    areas += [pad.copper for part in found.footprints for pad in part.pads]
    areas += [part.courtyard for part in found.footprints if part.courtyard is not None]
    assert all(shapely.is_valid(areas))
    assert found.outline.is_valid
