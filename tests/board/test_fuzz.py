"""Mutated boards of every grammar are read whole or refused in one line, and what is read does not trip the parts."""

import os
import re
from collections.abc import Iterator
from math import isfinite
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from board_texts import EDGE, LAYERS, LAYERS_5, LAYERS_10, board_text
from leeward.board.read import read
from leeward.board.records import Board
from leeward.board.sexpr import Node, Quoted, parse
from leeward.errors import InputError
from leeward.parts.identify import identify

EDGE_5 = """(gr_line (start 0 0) (end 30 0) (layer Edge.Cuts) (width 0.1))
(gr_arc (start 30 10) (end 30 0) (angle 180) (layer Edge.Cuts) (width 0.1))
(gr_line (start 30 20) (end 0 20) (layer Edge.Cuts) (width 0.1))
(gr_line (start 0 20) (end 0 0) (layer Edge.Cuts) (width 0.1))"""
BODY_4 = f"""(net 0 "") (net 1 GND) (net 2 /A)
{EDGE_5}
(net_class Default "" (clearance 0.2) (via_dia 0.8) (via_drill 0.4) (add_net GND) (add_net /A))
(module SO:SOIC-4 (layer Bottom) (tedit 5A) (tstamp 5B) (at 10 10 90) (descr "four leads") (tags SOIC)
  (fp_text reference U1 (at 0 0) (layer B.SilkS)) (fp_text value 0.96" (at 0 1) (layer B.Fab))
  (fp_line (start -2 -2) (end 2 -2) (layer B.Fab) (width 0.1)) (fp_circle (center 0 0) (end 1 0) (layer B.CrtYd))
  (fp_arc (start 0 0) (end 2 0) (angle 90) (layer B.SilkS) (width 0.1))
  (pad 1 smd rect (at -1 -2 90) (size 0.6 1.5) (layers Bottom B.Paste B.Mask) (net 1 GND))
  (pad 2 smd oval (at 1 -2 90) (size 0.6 1.5) (layers Bottom B.Paste B.Mask) (net 2 /A))
  (pad 3 smd trapezoid (at 1 2) (size 1 1) (rect_delta 0 0.4) (layers Bottom) (net 2 /A))
  (pad 4 thru_hole circle (at -1 2) (size 1.5 1.5) (drill oval 0.8 1 (offset 0.1 0)) (layers *.Cu *.Mask) (net 1 GND))
  (model a.wrl (at (xyz 1 0 0)) (scale (xyz 1 1 1)) (rotate (xyz 0 0 0))))
(module R (layer Top) (tedit 0) (tstamp 5C) (at 20 10) (attr virtual) (fp_text reference R1 (at 0 0) (layer F.SilkS))
  (pad 1 smd rect (at -1 0) (size 1 1) (layers Top F.Paste F.Mask) (net 1 GND))
  (pad 2 smd rect (at 1 0) (size 1 1) (layers Top F.Paste F.Mask) (net 2 /A)))
(segment (start 1 1) (end 2 1) (width 0.2) (layer Inner) (net 1) (tstamp 0) (status 30))
(via (at 5 5) (size 0.8) (layers Top Bottom) (net 1))
(zone (net 1) (net_name GND) (layer Inner) (tstamp 0) (hatch edge 0.5) (min_thickness 0.2)
  (fill yes (arc_segments 16) (thermal_gap 0.5)) (polygon (pts (xy 1 1) (xy 9 1) (xy 9 9) (xy 1 9)))
  (filled_polygon (pts (xy 1 1) (xy 9 1) (xy 9 9) (xy 1 9))))"""
PART_6 = """(footprint "QFN:QFN-4" (layer "F.Cu") (tedit 0) (tstamp "t-1") (at 8 8 45) (attr smd) (descr "QFN")
  (fp_text reference "U2" (at 0 0) (layer "F.SilkS")) (fp_text value "x y" (at 0 1) (layer "F.Fab"))
  (fp_rect (start -2 -2) (end 2 2) (layer "F.CrtYd") (width 0.05))
  (fp_poly (pts (xy -1 -1) (xy 1 -1) (xy 1 1) (xy -1 1)) (layer "F.Fab") (width 0.1) (fill none))
  (fp_arc (start 0 1) (mid 1 2) (end 2 1) (layer "F.SilkS") (width 0.1))
  (fp_curve (pts (xy 0 0) (xy 1 0) (xy 1 1) (xy 2 1)) (layer "F.SilkS") (width 0.1))
  (pad "1" smd roundrect (at -1.5 0 45) (size 0.8 0.3) (layers "F.Cu" "F.Paste" "F.Mask") (roundrect_rratio 0.25)
    (chamfer_ratio 0.2) (chamfer top_left) (net 1 "GND") (zone_connect 2))
  (pad "2" smd custom (at 1.5 0 45) (size 0.3 0.3) (layers "F.Cu" "F.Mask") (options (clearance outline) (anchor rect))
    (primitives (gr_poly (pts (xy 0 0) (xy 1 0) (xy 1 1)) (width 0.1)) (gr_line (start 0 0) (end 1 1) (width 0.1))))
  (pad "3" connect rect (at 0 2) (size 1 2) (layers "F.Cu" "F.Mask"))
  (pad "" np_thru_hole circle (at 0 -2) (size 1 1) (drill 1) (layers "*.Cu" "*.Mask"))
  (zone (net 0) (layers F&B.Cu) (keepout (tracks not_allowed)) (polygon (pts (xy 0 0) (xy 1 0) (xy 1 1))))
  (model "m.step" (offset (xyz 0 0 0)) (scale (xyz 1 1 1)) (rotate (xyz 0 0 90))))"""
COPPER_6 = """(segment (start 1 1) (end 2 1) (width 0.2) (layer "F.Cu") (net 1))
(arc (start 1 1) (mid 2 2) (end 3 1) (width 0.2) (layer "F.Cu") (net 1))
(via blind (at 5 5) (size 0.8) (drill 0.4) (layers "F.Cu" "B.Cu") (net 1))
(gr_text "COPPER" (at 5 15) (layer "F.Cu") (effects (font (size 1 1) (thickness 0.15))))
(gr_circle (center 25 5) (end 26 5) (layer "F.Cu") (width 0.2) (fill solid))
(zone (net 1) (net_name "GND") (layers "F.Cu" "B.Cu") (name "z") (hatch edge 0.5) (min_thickness 0.25)
  (filled_areas_thickness no) (fill yes (thermal_gap 0.5)) (polygon (pts (xy 1 1) (xy 9 1) (xy 9 9) (xy 1 9)))
  (filled_polygon (layer "F.Cu") (pts (xy 1 1) (xy 9 1) (xy 9 9) (xy 1 9))))"""
STACKUP = """(setup (stackup (layer "F.Mask" (type "Top Solder Mask") (thickness 0.01))
  (layer "F.Cu" (type "copper") (thickness 0.035)) (layer "dielectric 1" (type "core") (thickness 1.5) (material "FR4"))
  (layer "B.Cu" (type "copper") (thickness 0.035))) (pad_to_mask_clearance 0.05))"""
BODY_6 = f'(net 0 "") (net 1 "GND")\n{STACKUP}\n{EDGE}\n{PART_6}\n{COPPER_6}'
PART_10 = """(footprint "C:C_0603" (layer "B.Cu") (uuid "u-1") (at 20 8 -90) (descr "capacitor")
  (property "Reference" "C1" (at 0 0) (layer "B.SilkS")) (property "Value" "7" (at 0 0) (layer "B.Fab") (hide yes))
  (attr smd dnp) (fp_rect (start -2 -1) (end 2 1) (stroke (width 0.05) (type solid)) (fill no) (layer "B.CrtYd"))
  (pad "1" smd roundrect (at -0.8 0 90) (size 0.9 0.9) (layers "B.Cu" "B.Mask" "B.Paste") (roundrect_rratio 0.25)
    (net "GND") (pintype "passive") (teardrops (enabled yes)) (uuid "p-1"))
  (pad "2" thru_hole circle (at 0.8 0) (size 1 1) (drill 0.5) (layers "*.Cu" "*.Mask") (remove_unused_layers no)
    (net "A") (padstack (mode front_inner_back)
      (layer "Inner" (shape rect) (size 2 2)) (layer "B.Cu" (shape circle) (size 1 1))))
  (embedded_fonts no))"""
COPPER_10 = """(via (at 5 5) (size 0.8) (drill 0.4) (layers "F.Cu" "In2.Cu") (tenting front back) (net "GND"))
(segment (start 1 1) (end 2 1) (width 0.2) (layer "In1.Cu") (net "A") (uuid "s"))
(zone (net "GND") (layers "In1.Cu") (attr (teardrop (type padvia))) (min_thickness 0.1) (fill yes)
  (polygon (pts (xy 1 1) (xy 3 1) (arc (start 3 1) (mid 3.5 2) (end 3 3)) (xy 1 3)))
  (filled_polygon (layer "In1.Cu") (island) (pts (xy 1 1) (xy 3 1) (xy 3 3) (xy 1 3))))
(group "g" (uuid "g-1") (members "u-1"))"""
BODY_10 = f"{EDGE}\n{PART_10}\n{COPPER_10}"
SEEDS = {
    4: board_text(BODY_4, version=4, layers=LAYERS_5),
    5: board_text(BODY_4, version=20171130, layers=LAYERS_5),
    6: board_text(BODY_6, version=20211014, layers=LAYERS),
    8: board_text(BODY_6 + PART_10, version=20240108, layers=LAYERS),
    9: board_text(BODY_10, version=20241229, layers=LAYERS_10),
    10: board_text(BODY_10, version=20260206, layers=LAYERS_10),
}
SPACES = " \t\r\n"
ATOMS = ("", "x", "-1", "0", "1e9", "1e300", "nan", "-inf", "1e-300", '0.96"', "²", "１２", "1_0", "9" * 5000, "2147.4")
WORDS = ("yes", "no", "F.Cu", "*.Cu", "Edge.Cuts", "B.CrtYd", "kicad_pcb", "rect", "oval", "custom", "\n", "é\u00a0ß")
BYTES = (b"\0", b"\xff", b"\xef\xbb\xbf", b"(", b")", b'"', b"\\", b"()", b"(xy)", b"\r\n", b"\xc2\xa0", b";", b"|")


def nodes(tree: Node) -> list[Node]:
    """Return a tree's nodes that are not its root."""
    below = [entry for entry in tree if isinstance(entry, list)]
    return below + [inner for entry in below for inner in nodes(entry)]


def copied(entry: "Node | str") -> "Node | str":
    """Return a copy of a node, or an atom."""
    return [copied(inner) for inner in entry] if isinstance(entry, list) else entry


def written(node: "Node | str") -> str:
    """Return a tree as a file has it, a node below the root to a line."""
    if isinstance(node, list):
        return f"({' '.join(map(written, node))})\n"
    if isinstance(node, Quoted):
        return '"' + node.replace("\\", "\\\\").replace('"', '\\"') + '"'
    return str(node)


@st.composite
def changed_trees(draw: st.DrawFn) -> str:
    """Draw a board with nodes dropped, doubled, moved or renamed and atoms replaced, added or dropped."""
    tree = parse(SEEDS[draw(st.sampled_from(sorted(SEEDS)))], "seed")
    for _ in range(draw(st.integers(1, 5))):
        all_nodes = nodes(tree)
        node, other = (all_nodes[draw(st.integers(0, len(all_nodes) - 1))] for _ in range(2))
        index = draw(st.integers(0, len(node) - 1))
        change = draw(st.sampled_from(("drop", "double", "move", "number", "word", "quote", "add", "rename")))
        if change == "drop" and index:
            del node[index]
        elif change == "double":
            node.insert(index + 1, copied(node[index]))
        elif change == "move" and not any(other is inner for inner in nodes([*node])) and other is not node:
            other.append(copied(node))
        elif change == "number" and index:
            node[index] = draw(st.sampled_from(ATOMS))
        elif change == "word" and index:
            node[index] = draw(st.sampled_from(WORDS))
        elif change == "quote":
            node.append(Quoted(draw(st.sampled_from(ATOMS + WORDS))))
        elif change == "add":
            node.insert(index + 1, draw(st.sampled_from(ATOMS + WORDS)))
        elif change == "rename" and other[0]:
            node[0] = other[0]
    return written(tree)


@st.composite
def changed_bytes(draw: st.DrawFn) -> bytes:
    """Draw a board cut short, or with bytes taken out and others put in."""
    data = SEEDS[draw(st.sampled_from(sorted(SEEDS)))].encode()
    for _ in range(draw(st.integers(1, 3))):
        start = draw(st.integers(0, len(data)))
        end = draw(st.sampled_from((start, start + 1, start + 30, len(data))))
        data = data[:start] + draw(st.sampled_from((b"", *BYTES))) + data[end:]
    return data


def heads(text: str) -> Iterator[str]:
    """Yield the heads of the nodes directly below the root: a reader of its own, one character at a time."""
    depth, at = 0, 0
    while at < len(text):
        letter = text[at]
        if letter == "(":
            depth += 1
            head = re.match(r"\s*([^\s()]*)", text[at + 1 : at + 40], re.ASCII)
            if depth == 2 and head:
                yield head[1]
        elif letter == ")":
            depth -= 1
        elif letter == '"':
            at += 1
            while text[at] != '"':
                at += 2 if text[at] == "\\" else 1
        elif letter not in SPACES:
            while at + 1 < len(text) and text[at + 1] not in SPACES + "()":
                at += 1
        at += 1


def judged(data: bytes) -> Board | None:
    """Read a file and its parts; hold what comes of it to the promise, and return the board where there is one."""
    with TemporaryDirectory() as directory:
        path = Path(directory) / "changed.kicad_pcb"
        path.write_bytes(data)
        try:
            board = read(str(path))
        except InputError as error:
            assert_one_line(error, str(path), needs_line=b"\0" not in data)
            return None
    text = data.decode("utf-8-sig")
    assert len(board.footprints) == sum(1 for head in heads(text) if head in ("footprint", "module"))
    assert not any("\n" in note for note in board.notes)
    assert_finite(board)
    assert_parts(board)
    return board


def assert_one_line(error: InputError, path: str, *, needs_line: bool) -> None:
    """Hold an error to one line that names the file and the line in it; a binary file has none."""
    assert error.place is not None
    assert error.place.file == path
    assert error.place.line is not None or not needs_line
    assert "\n" not in str(error)


def assert_finite(board: Board) -> None:
    """Hold every area and place of a board to numbers, and areas to be valid."""
    areas = [pad.copper for part in board.footprints for pad in part.pads]
    areas += [area for part in board.footprints for area in (part.courtyard, part.fab) if area is not None]
    areas += [fill.copper for zone in board.zones for fill in zone.fills] + [zone.outline for zone in board.zones]
    for area in (board.outline, *areas):
        assert area.is_valid
        assert area.is_empty or all(map(isfinite, area.bounds))
    lengths = [value for part in board.footprints for value in (part.x_mm, part.y_mm, part.rotation_deg)]
    lengths += [value for part in board.footprints if part.silk is not None for value in part.silk.bounds]
    lengths += [value for via in board.vias for value in (via.x_mm, via.y_mm, via.diameter_mm, via.drill_mm)]
    lengths += [value for track in board.tracks for point in track.points for value in (*point, track.width_mm)]
    assert all(map(isfinite, (board.thickness_mm, *lengths)))


def assert_parts(board: Board) -> None:
    """Hold the parts to be those of the board that have a pad, with finite figures."""
    found = identify(board)
    assert set(found.by_id) == {part.id for part in board.footprints if part.pads}
    for part in found.by_id.values():
        assert all(map(isfinite, (*part.body_mm.value, part.height_mm.value, part.mass_mg.value, part.limit_c.value)))
        assert part.body.is_valid


@pytest.mark.parametrize("version", SEEDS)
def test_the_seeds_are_boards(version: int) -> None:
    """What is mutated is read whole before: two parts or one, their pads, an outline and a fill."""
    board = judged(SEEDS[version].encode())
    assert board is not None
    assert board.outline_source == "Edge.Cuts"
    assert all(part.pads for part in board.footprints)
    assert [len(zone.fills) for zone in board.zones if zone.kind != "keepout"] == [1]


SETTINGS = settings(
    max_examples=4000 if os.environ.get("LEEWARD_FULL") == "1" else 500,
    deadline=None,
    derandomize=True,
    suppress_health_check=[HealthCheck.too_slow],
)  # the time is not the question, and every run is to try the same


@SETTINGS
@given(changed_trees())
def test_boards_of_changed_nodes_are_read_whole_or_refused(text: str) -> None:
    """Nodes and atoms that are missing, twice, elsewhere or nonsense give a whole board or one error with its line."""
    judged(text.encode())


@SETTINGS
@given(changed_bytes())
def test_boards_of_changed_bytes_are_read_whole_or_refused(data: bytes) -> None:
    """A file cut short or with foreign bytes in it gives a whole board or one error with its line."""
    judged(data)
