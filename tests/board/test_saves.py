"""One board saved by several KiCads is one board, and it is the board that each KiCad sees.

Our sample board and two small boards written by hand in the grammars of KiCad 4 and 5 are kept as KiCad 6, 9 and 10
saved them, with what KiCad 9 and 10 (https://www.kicad.org, Debian's 9.0.2 and 10.0.6) say of every file they can
open; `tests/fixtures/README.md` says how these were made. KiCad 6 is asked on the spot, and so are the demo boards of
Debian's package kicad-demos, of which only the answers of KiCad 9 and 10 are kept.
"""

import gzip
import json
import subprocess
from collections import defaultdict
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cache
from itertools import permutations
from math import cos, dist, hypot, pi, radians
from pathlib import Path
from typing import Any

import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from board_texts import board_text, part_text
from leeward.board.outlines import kicad_courtyard_area_mm2
from leeward.board.read import read
from leeward.board.records import Board, Footprint, Pad
from leeward.parts.identify import identify
from leeward.parts.overrides import NONE
from leeward.report.as_json import plain
from leeward.report.board_documents import parts_document
from needs import kicad_demo, system_pcbnew

FIXTURES = Path(__file__).parent.parent / "fixtures"
SAMPLE = Path(__file__).parent.parent.parent / "sample_boards" / "tide_logger.kicad_pcb"
HAND_WRITTEN = ("tide_bell_v4", "tide_bell_v5")
ORIGINALS = ("tide_logger", *HAND_WRITTEN)
KICADS = (6, 9, 10)
DEMOS = (
    "complex_hierarchy/complex_hierarchy",
    "custom_pads_test/custom_pads_test",
    "ecc83/ecc83-pp",
    "ecc83/ecc83-pp_v2",
    "flat_hierarchy/flat_hierarchy",
    "interf_u/interf_u",
    "kit-dev-coldfire-xilinx_5213/kit-dev-coldfire-xilinx_5213",
    "microwave/microwave",
    "pic_programmer/pic_programmer",
    "sonde xilinx/sonde xilinx",
    "stickhub/StickHub",
    "test_pads_inside_pads/test_pads_inside_pads",
    "test_xil_95108/carte_test",
    "video/video",
)
# What a save may change: where the file lies, its bytes, its grammar, and the lines on which parts begin.
OF_THE_FILE = frozenset({"file", "sha256", "format_version", "line"})
# Wide curved strokes: KiCad approximates the primitives of a custom pad with chords that stay up to 0.005 mm
# inside of the copper on both edges, whatever accuracy it is asked for; we follow the curve to 0.001 mm.
COARSE_CURVES = {
    ("custom_pads_test", "U***", "5"),
    ("custom_pads_test", "SW1", "1"),
    ("custom_pads_test", "SW1", "2"),
}
COARSE_TOLERANCE = 0.005
# KiCad 6 breaks the arcs of a courtyard into chords that stay within this of the arc (KiCad source,
# pcbnew/footprint.cpp, FOOTPRINT::BuildPolyCourtyards in 6.0: "Arc to segment approximation").
COURTYARD_CHORD_MM = 0.02
# What KiCad 6 itself changes in saving, so that its save tells another board.
CHANGED_BY_KICAD_6 = {
    "custom_pads_test/custom_pads_test": "an arc's end moves by 0.018 mm",
    "microwave/microwave": "parts whose time stamp is 0 are given ids",
}

Answer = dict[str, Any]
Opened = Callable[[str], Path]


@dataclass(frozen=True, slots=True)
class Judged:
    """A board as we read it beside what one KiCad says of it."""

    name: str
    board: Board
    kicad: int
    answer: Answer


@pytest.fixture(scope="module")
def opened(tmp_path_factory: pytest.TempPathFactory) -> Opened:
    """Return a function that gives the path of a fixture's board, unpacked where it is packed."""
    folder = tmp_path_factory.mktemp("saves")

    @cache
    def path_of(name: str) -> Path:
        if name == "tide_logger":
            return SAMPLE
        if name in HAND_WRITTEN:
            return FIXTURES / f"{name}.kicad_pcb"
        path = folder / f"{name}.kicad_pcb"
        path.write_bytes(gzip.decompress((FIXTURES / f"{path.name}.gz").read_bytes()))
        return path

    return path_of


@cache
def board(path: Path) -> Board:
    """Return a board as read, once for all tests."""
    return read(str(path))


@cache
def kept(file: str) -> Answer:
    """Return the kept answers of a KiCad, by board."""
    found: Answer = json.loads(gzip.decompress((FIXTURES / file).read_bytes()))["boards"]
    return found


@cache
def asked(path: Path, folder: Path) -> Answer:
    """Return what KiCad 6 says of a board."""
    out = folder / f"{path.name}.json.gz"
    run = [system_pcbnew(), str(FIXTURES / "ask_kicad.py"), str(out), str(path)]
    subprocess.run(run, capture_output=True, check=True, timeout=60)
    found: Answer = json.loads(gzip.decompress(out.read_bytes()))["boards"][path.name.split(".")[0]]
    return found


def cases() -> Iterator[object]:
    """Yield each KiCad with each board that it can open, the demo boards by their path below the demos."""
    for kicad in KICADS:
        saves = [f"{name}-kicad{saver}" for saver in KICADS if saver <= kicad for name in ORIGINALS]
        needs = [pytest.mark.kicad] if kicad == 6 else []
        for name in (*ORIGINALS, *saves):
            yield pytest.param((kicad, name), marks=needs, id=f"kicad{kicad}-{name}")
        for name in DEMOS:
            yield pytest.param((kicad, name), marks=pytest.mark.kicad, id=f"kicad{kicad}-{name.split('/')[-1]}")


@pytest.fixture(params=cases())
def judged(request: pytest.FixtureRequest, opened: Opened, tmp_path_factory: pytest.TempPathFactory) -> Judged:
    """Return one board beside one KiCad's answer."""
    kicad, name = request.param
    demo = name in DEMOS
    path = kicad_demo(f"{name}.kicad_pcb") if demo else opened(name)
    if kicad == 6:
        answer = asked(path, tmp_path_factory.getbasetemp())
    else:
        answer = kept(f"{'demos' if demo else 'answers'}-kicad{kicad}.json.gz")[path.name.split(".")[0]]
    return Judged(path.name.split(".")[0], board(path), kicad, answer)


def pairs(judged: Judged) -> list[tuple[Footprint, Answer]]:
    """Return each footprint beside KiCad's: of those with its reference the one that stands nearest."""
    left: defaultdict[str, list[Footprint]] = defaultdict(list)
    for part in judged.board.footprints:
        left[part.ref].append(part)
    found = []
    for theirs in judged.answer["parts"]:
        place = (theirs["x"], theirs["y"])
        nearest = min(left[theirs["ref"]], key=lambda part: dist((part.x_mm, part.y_mm), place))
        left[theirs["ref"]].remove(nearest)
        found.append((nearest, theirs))
    return found


def pad_pairs(judged: Judged) -> Iterator[tuple[Footprint, Pad, Answer]]:
    """Yield each pad beside KiCad's, matched by number, then by position, sides and area."""
    for part, theirs in pairs(judged):
        left = [
            dict(zip(("number", "net", "x", "y", "drill", "top", "bottom", "area"), row, strict=True))
            for row in theirs["pads"]
        ]
        for pad in part.pads:
            nearest = min(left, key=lambda row: _unlike(pad, row))
            left.remove(nearest)
            yield part, pad, nearest


def _unlike(pad: Pad, row: Answer) -> tuple[bool, float, bool, float]:
    away = round(hypot(pad.x_mm - row["x"], pad.y_mm - row["y"]), 4)
    other_sides = ("top" in pad.sides, "bottom" in pad.sides) != (row["top"], row["bottom"])
    return row["number"] != pad.number, away, other_sides, abs(row["area"] - pad.area_mm2)


def test_counts(judged: Judged) -> None:
    """Footprints, pads, tracks, vias and copper layers are as many as KiCad loads."""
    found, kicad = judged.board, judged.answer
    assert len(found.footprints) == len(kicad["parts"])
    assert sum(len(part.pads) for part in found.footprints) == sum(len(part["pads"]) for part in kicad["parts"])
    assert (len(found.tracks), len(found.vias)) == (kicad["tracks"], kicad["vias"])
    assert len(found.copper_layers) == kicad["copper_layers"]


def test_parts(judged: Judged) -> None:
    """Each part has KiCad's value, library id and side, its place within 1 um and its rotation within 0.001 degree."""
    wrong = [
        (part.ref, theirs)
        for part, theirs in pairs(judged)
        if (part.value, part.library_id, part.side) != (theirs["value"], theirs["footprint"], theirs["side"])
        or dist((part.x_mm, part.y_mm), (theirs["x"], theirs["y"])) > 1e-3
        or abs((part.rotation_deg - theirs["rotation"] + 180) % 360 - 180) > 1e-3
    ]
    assert wrong == []


def test_fitted(judged: Judged) -> None:
    """A part is fitted where KiCad says so, unless a field of the part, which KiCad does not heed, says otherwise."""
    assert [
        part.ref
        for part, theirs in pairs(judged)
        if part.fitted != theirs["fitted"] and part.fields.get("dnp") != "yes"
    ] == []


def test_pads(judged: Judged) -> None:
    """Each pad has KiCad's number, net, drill and sides, and its place within 1 um."""
    wrong = [
        (part.ref, pad.number, theirs)
        for part, pad, theirs in pad_pairs(judged)
        if (pad.number, pad.net) != (theirs["number"], theirs["net"])
        or abs((pad.drill_mm or 0.0) - theirs["drill"]) > 1e-6
        or ("top" in pad.sides, "bottom" in pad.sides) != (theirs["top"], theirs["bottom"])
        or dist((pad.x_mm, pad.y_mm), (theirs["x"], theirs["y"])) > 1e-3
    ]
    assert wrong == []


def test_pad_areas(judged: Judged) -> None:
    """Each pad's copper has KiCad's area within 0.1 %."""
    wrong = [
        (part.ref, pad.number, pad.shape, pad.area_mm2, theirs["area"])
        for part, pad, theirs in pad_pairs(judged)
        if pad.sides and abs(pad.area_mm2 - theirs["area"]) > _tolerance(judged, part, pad) * theirs["area"]
    ]
    assert wrong == []


def _tolerance(judged: Judged, part: Footprint, pad: Pad) -> float:
    return COARSE_TOLERANCE if (judged.name, part.ref, pad.number) in COARSE_CURVES else 0.001


def test_courtyards(judged: Judged) -> None:
    """Each courtyard has KiCad's area within 0.5 %, or neither has one; KiCad 6 keeps it as drawn, but for arcs."""
    wrong = []
    for part, theirs in pairs(judged):
        area, cut = kicad_courtyard_area_mm2(part.courtyard), 0.0
        if judged.kicad == 6 and part.courtyard is not None:
            area, cut = part.courtyard.area, _cut_by_chords(part.courtyard)
        if not -0.005 * area <= area - theirs["courtyard"] <= 0.005 * area + cut:
            wrong.append((part.ref, area, theirs["courtyard"]))
    assert wrong == []


def _cut_by_chords(courtyard: BaseGeometry) -> float:
    curved = shapely.get_num_coordinates(courtyard) > 20
    return COURTYARD_CHORD_MM * float(courtyard.length) if curved else 0.0


def test_outline_area(judged: Judged) -> None:
    """The board's area, cut-outs taken out, is KiCad's within 0.1 %."""
    assert judged.board.outline.area == pytest.approx(judged.answer["outline_area"], rel=0.001)


def test_zone_areas(judged: Judged) -> None:
    """The filled copper of each layer is KiCad's within 0.1 %."""
    found: defaultdict[str, float] = defaultdict(float)
    for zone in judged.board.zones:
        for fill in zone.fills:
            found[fill.layer] += fill.copper.area
    assert {layer: area for layer, area in found.items() if area > 0} == pytest.approx(
        judged.answer["zone_area"], rel=0.001
    )


def said(path: Path) -> Answer:
    """Return what `leeward parts` says of a board as JSON."""
    found = board(path)
    document: Answer = plain(parts_document(found, identify(found, NONE, "SAC305")))
    return document


def differences(old: object, new: object, where: str = "") -> Iterator[str]:
    """Yield where two documents differ, but for what a save may change."""
    if isinstance(old, dict) and isinstance(new, dict) and old.keys() == new.keys():
        for name in old.keys() - OF_THE_FILE:
            yield from differences(old[name], new[name], f"{where}.{name}")
    elif isinstance(old, list) and isinstance(new, list) and len(old) == len(new):
        for index, (one, other) in enumerate(zip(old, new, strict=True)):
            yield from differences(one, other, f"{where}[{index}]")
    elif old != new:
        yield f"{where}: {old} became {new}"


@pytest.mark.parametrize("kicad", KICADS)
def test_every_save_of_the_sample_board_tells_the_same_parts(kicad: int, opened: Opened) -> None:
    """`leeward parts` says the same of our sample board, whichever KiCad saved it, ids among it."""
    assert sorted(differences(said(opened("tide_logger")), said(opened(f"tide_logger-kicad{kicad}")))) == []


@pytest.mark.parametrize("kicad", KICADS)
@pytest.mark.parametrize("name", HAND_WRITTEN)
def test_every_save_of_a_board_written_by_hand_tells_the_same_parts(name: str, kicad: int, opened: Opened) -> None:
    """`leeward parts` says the same of an old grammar's board and of what newer KiCads make of it.

    KiCad from 7 on saves the outline that an old fill's pen drew as the fill: areas may differ by 0.1 %.
    """
    old, new = said(opened(name)), said(opened(f"{name}-kicad{kicad}"))
    assert new["board"].pop("zone_area_mm2") == pytest.approx(old["board"].pop("zone_area_mm2"), rel=0.001)
    assert sorted(differences(old, new)) == []


@pytest.mark.kicad
@pytest.mark.parametrize("name", [name for name in DEMOS if name not in CHANGED_BY_KICAD_6])
def test_a_demo_board_saved_anew_tells_the_same_parts(name: str, tmp_path: Path) -> None:
    """`leeward parts` says the same of a demo board and of what KiCad 6 makes of it."""
    path = kicad_demo(f"{name}.kicad_pcb")
    run = [system_pcbnew(), str(FIXTURES / "save_with_kicad.py"), str(tmp_path), str(path)]
    subprocess.run(run, capture_output=True, check=True, timeout=60)
    saved = tmp_path / f"{path.stem}-kicad6.kicad_pcb"
    saved.write_bytes(gzip.decompress(Path(f"{saved}.gz").read_bytes()))
    assert sorted(differences(said(path), said(saved))) == []


@pytest.mark.parametrize("kicad", KICADS)
@pytest.mark.parametrize("name", ORIGINALS)
def test_saves_are_of_the_grammar_that_they_are_kept_for(name: str, kicad: int, opened: Opened) -> None:
    """The kept saves are of the format versions of KiCad 6, 9 and 10."""
    assert board(opened(f"{name}-kicad{kicad}")).format_version == {6: 20211014, 9: 20241229, 10: 20260206}[kicad]


def test_a_courtyard_closed_over_a_gap_is_the_same_in_any_order(read_text: Callable[[str], Board]) -> None:
    """A part's courtyard, 0.01 mm open at a corner, has one area, in whatever order a KiCad saves its lines.

    So it is on the demo board complex_hierarchy, whose lines KiCad 9 and 10 save in another order.
    """
    ends = (
        "(start -1.45 -3.05) (end -1.46 2.01)",
        "(start -1.46 -3.05) (end 4 -3.05)",
        "(start 4 2.01) (end 4 -3.05)",
        "(start 4 2.01) (end -1.46 2.01)",
    )
    lines = [f'(fp_line {each} (layer "F.CrtYd") (width 0.05))' for each in ends]
    areas = []
    for order in permutations(lines):
        (part,) = read_text(board_text(part_text(" ".join(order)))).footprints
        assert part.courtyard is not None
        areas.append(part.courtyard.area)
    assert max(areas) - min(areas) < 1e-9


def test_the_kept_saves_are_of_the_sample_board_as_it_is(opened: Opened) -> None:
    """The sample board is KiCad 6's own save, byte for byte; where it changed, its saves must be made anew."""
    assert opened("tide_logger-kicad6").read_bytes() == SAMPLE.read_bytes()


Row = tuple[float, float, float, str, float | None]  # x, y, area before drilling, net, drill
SMALL = 1.475 * 0.3
COSINE = cos(radians(30))
SLOTTED = 0.8 * 1.6 + pi * 0.8**2

# Worked out by hand from the two files: value, library id, side, x, y, rotation, courtyard, pads.
TOLD: dict[str, dict[str, tuple[str, str, str, float, float, float, float | None, dict[str, Row]]]] = {
    "tide_bell_v4": {
        "U1": (
            *("0047", "shed:QFP_CORNER", "top", 115, 112, 90, 6.5**2),
            {
                "1": (114, 116, SMALL, "GND", None),
                "2": (114.5, 116, SMALL, "", None),
                "3": (115, 116, 1.175 * 0.3 + pi * 0.15**2, "Net-(R1-Pad1)", None),
                "4": (119, 113, SMALL, "", None),
                "5": (119, 112.5, SMALL, "+3V3", None),
                "6": (119, 112, SMALL, "", None),
            },
        ),
        "C1": (
            *("100n", "Capacitors_SMD:C_0402", "top", 122, 112, 45, 1.82 * 0.92),
            {
                "1": (122 - 0.55 * 0.5**0.5, 112 + 0.55 * 0.5**0.5, 0.3, "+3V3", None),
                "2": (122 + 0.55 * 0.5**0.5, 112 - 0.55 * 0.5**0.5, 0.3, "GND", None),
            },
        ),
        "R1": (
            *("10kΩ", "Resistors_SMD:R_0603", "bottom", 118, 118, 210, 2.6 * 1.6),
            {
                "1": (118 + 0.75 * COSINE, 118 - 0.375, 0.45, "Net-(R1-Pad1)", None),
                "2": (118 - 0.75 * COSINE, 118 + 0.375, 0.45, "GND", None),
            },
        ),
        "J1": (
            *("supply", "shed:SCREW_2", "top", 105, 112, 90, 21 + 9 * pi),
            {
                "1": (105, 112, 4, "GND", 1.1),
                "2": (105, 108.5, SLOTTED, "+3V3", 1.5),
                "": (107, 110.25, pi * 0.45**2, "", 0.9),
            },
        ),
        "L1": (
            *("22 u", "shed:COIL", "bottom", 130, 112, 0, 9 * pi),
            {"1": (128.2, 112, 1.92, "+3V3", None), "2": (131.8, 112, 1.92, "", None)},
        ),
        "TP1": ("probe", "shed:LAND", "top", 107, 125, 0, None, {"1": (107, 125, pi * 0.6**2, "GND", None)}),
        "REF**": ("mark", "shed:MARK", "bottom", 135, 125, 180, None, {}),
    },
    "tide_bell_v5": {
        "U1": (
            *("0047", "Package_QFP:LQFP-144_Corner", "top", 115, 112, 90, 6.5**2),
            {
                "1": (114, 116, SMALL, "GND", None),
                "2": (114.5, 116, SMALL, "", None),
                "3": (115, 116, 1.175 * 0.3 + pi * 0.15**2, "/BELL", None),
                "4": (115.5, 116, SMALL - (4 - pi) * 0.075**2, "", None),
                "5": (119, 113, SMALL, "", None),
                "6": (119, 112.5, SMALL, "Net-(C1-Pad1)", None),
                "7": (119, 112, SMALL, "", None),
                "8": (119, 111.5, SMALL, "GND", None),
            },
        ),
        "C1": (
            *("4.70", "Capacitor_SMD:C_0402_1005Metric", "top", 122, 112, 45, 1.82 * 0.92),
            {
                "1": (122 - 0.53 * 0.5**0.5, 112 + 0.53 * 0.5**0.5, 0.22 - (4 - pi) * 0.01, "Net-(C1-Pad1)", None),
                "2": (122 + 0.53 * 0.5**0.5, 112 - 0.53 * 0.5**0.5, 0.22 - (4 - pi) * 0.01, "GND", None),
            },
        ),
        "R1": (
            *("10k µ", "Resistor_SMD:R_0402_1005Metric", "bottom", 116, 112, 180, 1.86 * 0.94),
            {"1": (115.47, 112, 0.22, "/BELL", None), "2": (116.53, 112, 0.22, "GND", None)},
        ),
        "C2": (
            *("1u", "Capacitor_SMD:C_0603_1608Metric", "bottom", 122, 117, 30, None),
            {
                "1": (122 + 0.88 * COSINE, 117 - 0.44, 0.585 - (4 - pi) * 0.1625**2, "/BELL", None),
                "2": (122 - 0.88 * COSINE, 117 + 0.44, 0.585 - (4 - pi) * 0.1625**2, "GND", None),
            },
        ),
        "J1": (
            *("Glockenschläger", "TerminalBlock:TerminalBlock_1x02_P3.50mm_Vertical", "top", 105, 112, 270),
            21 + 9 * pi,
            {
                "1": (105, 112, 4, "GND", 1.1),
                "2": (105, 115.5, SLOTTED, "/BELL", 1.5),
                "": (103, 113.75, pi * 0.45**2, "", 0.9),
            },
        ),
        "U2": (
            *("bell supply", "Package_TO_SOT_SMD:SOT-89-3", "top", 130, 112, 0, 5.9 * 5),
            {
                "1": (128.4, 110.5, 0.96, "/BELL", None),
                "2": (128.4, 112, 0.96 + 0.84 + 4 + 0.64 + pi * 0.4**2 / 2, "GND", None),
                "3": (128.4, 113.5, 0.96, "Net-(C1-Pad1)", None),
            },
        ),
        "L1": (
            *("22u", "shed:TRIMMED_COIL", "top", 112, 124, 180, 9 * pi),
            {
                "1": (113.8, 124, 1.92, "Net-(C1-Pad1)", None),
                "2": (110.2, 124, 1.92, "/BELL", None),
                "3": (112, 122.8, pi * 0.4**2, "", None),
            },
        ),
        "J2": ("finger", "shed:EDGE_FINGER", "top", 138.5, 120, 0, None, {"1": (138.5, 120, 4.5, "GND", None)}),
        "G***": ("mark", "shed:BELL_MARK", "bottom", 130, 125, 0, None, {}),
        "TP1": (
            *("probe", "TestPoint:TestPoint_Pad_D1.2mm", "bottom", 107, 125, 90, pi * 0.9**2),
            {"1": (107, 125, pi * 0.6**2, "/BELL", None)},
        ),
    },
}


# Straight edges leave no room; chords within 0.001 mm of a round edge cut off up to 0.3 % of lands as small as these.
STRAIGHT, ROUND = 1e-6, 0.003


@pytest.mark.parametrize("name", HAND_WRITTEN)
def test_boards_written_by_hand_hold_the_parts_that_were_written(name: str, opened: Opened) -> None:
    """The boards in the grammars of KiCad 4 and 5 have the parts, lands and courtyards worked out by hand."""
    parts = {part.ref: part for part in board(opened(name)).footprints}
    assert set(parts) == set(TOLD[name])
    for ref, (value, library_id, side, x, y, rotation, courtyard, pads) in TOLD[name].items():
        part = parts[ref]
        assert (part.value, part.library_id, part.side) == (value, library_id, side)
        assert (part.x_mm, part.y_mm, part.rotation_deg % 360) == pytest.approx((x, y, rotation), abs=1e-6)
        assert (part.courtyard and part.courtyard.area) == (courtyard and pytest.approx(courtyard, rel=ROUND))
        assert sorted(pad.number for pad in part.pads) == sorted(pads)
        for pad in part.pads:
            wanted, share = pads[pad.number], STRAIGHT if pad.shape in ("rect", "trapezoid") else ROUND
            assert (pad.x_mm, pad.y_mm) == pytest.approx(wanted[:2], abs=1e-6), (ref, pad.number)
            assert pad.area_mm2 == pytest.approx(wanted[2], rel=share), (ref, pad.number)
            assert (pad.net, pad.drill_mm) == wanted[3:], (ref, pad.number)


def test_copper_of_the_version_4_board(opened: Opened) -> None:
    """Renamed layers are told by their place, drills by net class, and a fill with its pen is worked out by hand."""
    found = board(opened("tide_bell_v4"))
    assert found.copper_layers == ("F.Cu", "In1.Cu", "In2.Cu", "B.Cu")
    assert found.layer_titles == {"F.Cu": "Top", "In1.Cu": "Ground", "In2.Cu": "Supply", "B.Cu": "Bottom"}
    assert found.thickness_mm == 1.2
    assert [(via.layers, via.drill_mm) for via in found.vias] == [
        (("F.Cu", "B.Cu"), 0.4),
        (("In2.Cu", "B.Cu"), 0.5),
        (("F.Cu", "In1.Cu"), 0.12),
    ]
    fills = {fill.layer: fill.copper.area for zone in found.zones for fill in zone.fills}
    # 14 mm square with corners of 0.127 radius, less a hole of 3 mm shrunk by 0.127 and its cut of no width, inked
    hole = (3 - 0.254) ** 2
    assert fills == {
        "In1.Cu": pytest.approx(14**2 - (4 - pi) * 0.127**2 - hole, rel=1e-4),
        "B.Cu": pytest.approx(4.1 * 8 - (4 - pi) * 0.1**2, rel=1e-4),
    }
