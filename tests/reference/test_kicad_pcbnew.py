"""Parts, pads and courtyards of three demo boards against KiCad's own pcbnew module (Debian's kicad, 6.0.11).

The boards come from Debian's package kicad-demos. pcbnew runs in the system's Python and needs no display.
"""

import json
import subprocess
from functools import cache
from itertools import product
from math import asin, dist, sin, sqrt
from pathlib import Path
from typing import Any

import pytest
import shapely

from leeward.board.read import read
from leeward.board.records import Board, Footprint, Pad
from needs import kicad_demo, system_pcbnew

pytestmark = pytest.mark.kicad

BOARDS = (
    "video/video.kicad_pcb",
    "stickhub/StickHub.kicad_pcb",
    "kit-dev-coldfire-xilinx_5213/kit-dev-coldfire-xilinx_5213.kicad_pcb",
)
# KiCad 6 breaks the arcs of a courtyard into chords that stay within this of the arc (KiCad source,
# pcbnew/footprint.cpp, FOOTPRINT::BuildPolyCourtyards in 6.0: "Arc to segment approximation").
COURTYARD_CHORD_MM = 0.02
# The most by which a chord of a pad stays inside of its arc in KiCad 6, as measured on these boards.
CHORD_SAG_MM = 0.0105

ASK = r"""
import json, sys
import pcbnew

def radius(pad):
    if pad.GetShape() in (pcbnew.PAD_SHAPE_CIRCLE, pcbnew.PAD_SHAPE_OVAL):
        return min(pad.GetSize().x, pad.GetSize().y) * 0.5e-6
    return pad.GetRoundRectCornerRadius() * 1e-6 if pad.GetShape() == pcbnew.PAD_SHAPE_ROUNDRECT else 0.0

def outline(polygon):
    ring = polygon.Outline(0)
    return [(ring.CPoint(i).x * 1e-6, ring.CPoint(i).y * 1e-6) for i in range(ring.PointCount())]

def pad_answer(pad):
    return {
        "number": pad.GetNumber(), "net": pad.GetNetname(), "x": pad.GetPosition().x * 1e-6,
        "y": pad.GetPosition().y * 1e-6, "drill": pad.GetDrillSize().x * 1e-6,
        "top": pad.IsOnLayer(pcbnew.F_Cu), "bottom": pad.IsOnLayer(pcbnew.B_Cu),
        "ring": outline(pad.GetEffectivePolygon()), "radius": radius(pad),
    }

def part_answer(part):
    layer = pcbnew.B_CrtYd if part.IsFlipped() else pcbnew.F_CrtYd
    drawn = [item for item in part.GraphicalItems() if item.GetLayer() == layer]
    return {
        "ref": part.GetReference(), "value": part.GetValue(), "library_id": part.GetFPIDAsString(),
        "x": part.GetPosition().x * 1e-6, "y": part.GetPosition().y * 1e-6,
        "rotation": part.GetOrientationDegrees(), "bottom": part.IsFlipped(),
        "id": part.m_Uuid.AsString(), "courtyard": part.GetCourtyard(layer).Area() * 1e-12,
        "curved": any(item.GetShape() in (pcbnew.S_ARC, pcbnew.S_CIRCLE) for item in drawn),
        "pads": [pad_answer(pad) for pad in part.Pads()],
    }

board = pcbnew.LoadBoard(sys.argv[1])
json.dump([part_answer(part) for part in board.GetFootprints()], sys.stdout)
"""

Answer = dict[str, Any]


def asked(path: Path) -> list[Answer]:
    """Return what pcbnew says of a board's parts."""
    run = [system_pcbnew(), "-c", ASK, str(path)]
    done = subprocess.run(run, capture_output=True, check=True, text=True, timeout=60)
    found: list[Answer] = json.loads(done.stdout)
    return found


@cache
def kicad(relative: str) -> dict[str, Answer]:
    """Return what pcbnew says of a demo board's parts, by their ids."""
    return {part["id"]: part for part in asked(kicad_demo(relative))}


@cache
def ours(relative: str) -> Board:
    """Return a demo board as we read it."""
    return read(str(kicad_demo(relative)))


def pads(relative: str) -> list[tuple[Footprint, Pad, Answer]]:
    """Return each pad beside KiCad's, both in file order."""
    return [
        (part, pad, other)
        for part in ours(relative).footprints
        for pad, other in zip(part.pads, kicad(relative)[part.id]["pads"], strict=True)
    ]


def area_with_arcs(ring: list[tuple[float, float]], radius: float) -> float:
    """Return the area inside a ring, with the arcs of `radius` put back whose chords its short edges are.

    KiCad 6 tells a pad's polygon only with chords up to 0.01 mm inside the arc, we use 0.001 mm.
    """
    area = float(shapely.Polygon(ring).area)
    longest = 2 * sqrt(2 * radius * CHORD_SAG_MM)
    for one, other in zip(ring, [*ring[1:], ring[0]], strict=True):
        chord = dist(one, other)
        if 0 < chord <= longest:
            angle = 2 * asin(min(1.0, chord / 2 / radius))
            area += radius**2 / 2 * (angle - sin(angle))
    return area


every_board = pytest.mark.parametrize("relative", BOARDS)


@every_board
def test_parts(relative: str) -> None:
    """The same parts, each with KiCad's reference, value, library id, side, rotation; place within 1 um."""
    found = ours(relative).footprints
    assert {part.id for part in found} == set(kicad(relative))
    for part in found:
        other = kicad(relative)[part.id]
        assert (part.ref, part.value, part.library_id) == (other["ref"], other["value"], other["library_id"])
        assert (part.side == "bottom") == other["bottom"]
        assert (part.x_mm, part.y_mm) == pytest.approx((other["x"], other["y"]), abs=1e-3)
        assert (part.rotation_deg - other["rotation"] + 180) % 360 == pytest.approx(180, abs=1e-3)


@every_board
def test_pads(relative: str) -> None:
    """Every pad has KiCad's number, net, drill and sides, and its place within 1 um."""
    for part, pad, other in pads(relative):
        where = (part.ref, pad.number)
        assert (pad.number, pad.net) == (other["number"], other["net"]), where
        assert ("top" in pad.sides, "bottom" in pad.sides) == (other["top"], other["bottom"]), where
        assert (pad.x_mm, pad.y_mm) == pytest.approx((other["x"], other["y"]), abs=1e-3), where
        assert (pad.drill_mm or 0.0) == pytest.approx(other["drill"], abs=1e-6), where


@every_board
def test_pad_areas(relative: str) -> None:
    """Every pad with copper has KiCad's area within 0.1 %, the chords of round corners taken out of both."""
    wrong = []
    for part, pad, other in pads(relative):
        if pad.copper.is_empty:
            continue
        mine = area_with_arcs(list(pad.copper.exterior.coords)[:-1], other["radius"])
        theirs = area_with_arcs(other["ring"], other["radius"])
        if abs(mine / theirs - 1) > 0.001:
            wrong.append((part.ref, pad.number, pad.shape, mine, theirs))
    assert wrong == []


@every_board
def test_courtyards(relative: str) -> None:
    """Straight courtyards have KiCad's area within 0.1 %, curved ones less what KiCad 6's chords cut off."""
    wrong = []
    for part in ours(relative).footprints:
        other = kicad(relative)[part.id]
        area = 0.0 if part.courtyard is None else part.courtyard.area
        length = 0.0 if part.courtyard is None else part.courtyard.length
        cut = COURTYARD_CHORD_MM * length if other["curved"] else 0.0
        if not -0.001 * area <= area - other["courtyard"] <= 0.001 * area + cut:
            wrong.append((part.ref, area, other["courtyard"]))
    assert wrong == []


STRAIGHT = "(gr_poly (pts (xy 0 0) (xy 2 0) (xy 0 1)) (width 0.1)) (gr_line (start 0 0) (end -1 -1) (width 0.2))"
CURVED = """(gr_circle (center 0 0) (end 1 0) (width 0)) (gr_rect (start 0 0) (end 2 0.5) (width 0))
    (gr_arc (start 1 0) (mid 0 1.5) (end -1 0) (width 0.2))"""
SHAPES = (
    "rect (size 2 1)",
    "circle (size 1.5 1.5)",
    "oval (size 2 1)",
    "roundrect (size 2 1) (roundrect_rratio 0.2)",
    "roundrect (size 2 1) (roundrect_rratio 0.1) (chamfer_ratio 0.3) (chamfer top_left)",
    "roundrect (size 1 2) (roundrect_rratio 0.2) (chamfer_ratio 0.2) (chamfer top_right bottom_left)",
    "roundrect (size 2 1) (roundrect_rratio 0) (chamfer_ratio 0.5) (chamfer bottom_right)",
    "trapezoid (size 2 1) (rect_delta 0.4 0)",
    "trapezoid (size 2 1) (rect_delta 0 -0.6)",
    "rect (size 2 1) (drill 0.4 (offset 0.5 0.2))",
    "oval (size 2 1) (drill oval 0.8 0.4 (offset -0.3 0))",
    f"custom (size 0.4 0.4) (options (clearance outline) (anchor rect)) (primitives {STRAIGHT})",
    f"custom (size 0.4 0.4) (options (clearance outline) (anchor circle)) (primitives {CURVED})",
)


def shapes_board() -> str:
    """Return a board with a part for each side, turn and shape, each with one turned pad of that shape."""
    parts = []
    for number, (shape, side, turn, angle) in enumerate(product(SHAPES, "FB", (0, 30), (0, 90, 200))):
        name, inside = shape.split(" ", 1)
        kind, layers = ("thru_hole", '"*.Cu"') if "drill" in inside else ("smd", f'"{side}.Cu"')
        parts.append(
            f'(footprint "made:up" (layer "{side}.Cu") (tstamp 00000000-0000-0000-0000-{number:012d})'
            f' (at {number % 12 * 10} {number // 12 * 10} {turn}) (fp_text reference "P{number}" (at 0 0)'
            f' (layer "{side}.SilkS")) (pad "1" {kind} {name} (at 1 -2 {angle}) {inside} (layers {layers})))'
        )
    layers = '(layers (0 "F.Cu" signal) (31 "B.Cu" signal) (36 "B.SilkS" user) (37 "F.SilkS" user))'
    return f"(kicad_pcb (version 20211014) (generator pcbnew) {layers} {' '.join(parts)})"


def test_made_up_pads_of_every_shape(tmp_path: Path) -> None:
    """Every shape, on either side and turned with and against its part, lies where KiCad draws it.

    Outlines may differ by the chords of KiCad 6 alone, places by 1 um.
    """
    path = tmp_path / "shapes.kicad_pcb"
    path.write_text(shapes_board(), encoding="utf-8")
    theirs = {part["id"]: part for part in asked(path)}
    wrong = []
    for part in read(str(path)).footprints:
        (pad,), (other,) = part.pads, theirs[part.id]["pads"]
        apart = pad.copper.hausdorff_distance(shapely.Polygon(other["ring"]))
        if apart > 2 * CHORD_SAG_MM or dist((pad.x_mm, pad.y_mm), (other["x"], other["y"])) > 1e-3:
            wrong.append((part.ref, pad.shape, part.side, part.rotation_deg, apart))
    assert len(theirs) == len(SHAPES) * 12
    assert wrong == []
