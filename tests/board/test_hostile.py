"""Files that are broken, absurd or made to hurt: each is read whole or refused in one line, soon and in little room."""

import math
import os
import random
import struct
import subprocess
import sys
import zipfile
import zlib
from collections.abc import Callable
from itertools import pairwise
from pathlib import Path

import pytest

from board_texts import EDGE, LAYERS_5, board_text, part_text
from leeward.board import sexpr
from leeward.board.read import LARGEST_BYTES, read
from leeward.board.records import Board
from leeward.errors import InputError
from leeward.parts.identify import identify

Reader = Callable[[str], Board]

SAMPLE = Path(__file__).parents[2] / "sample_boards" / "tide_logger.kicad_pcb"
FULL = os.environ.get("LEEWARD_FULL") == "1"
PAD = '(pad "1" smd rect (at 1 0) (size 1 2) (layers "F.Cu" "F.Paste" "F.Mask") (net 1 "GND"))'
WHOLE = board_text(f'(net 0 "")\n(net 1 "GND")\n{EDGE}\n{part_text(PAD)}')
BEGUN = "(kicad_pcb (version 20211014)\n"

SECONDS = 60  # some ten times what the slowest takes on an idle machine of two cores: a guard against hanging
ROOM_BYTES = 2**30
KIBIBYTE = 1 if sys.platform == "darwin" else 1024  # the unit of ru_maxrss
# The greatest memory of the process's own: ru_maxrss also counts what the test's process held when it started this one.
MEASURED = r"""
import re, resource, sys
from pathlib import Path
from leeward.cli.main import run
code = run(sys.argv[1:])
status = Path("/proc/self/status")
own = re.search(r"VmHWM:\s*(\d+)", status.read_text()) if status.exists() else None
print(own[1] if own else resource.getrusage(resource.RUSAGE_SELF).ru_maxrss)
sys.exit(code)
"""


def refused(read_text: Reader, text: str) -> InputError:
    """Return the error that reading this text raises: one line, with the line of the file."""
    with pytest.raises(InputError) as caught:
        read_text(text)
    assert "\n" not in str(caught.value)
    assert caught.value.place is not None
    assert caught.value.place.line is not None
    return caught.value


def parts_of(path: Path) -> tuple[int, str, int]:
    """Return exit code, words and greatest memory in bytes of `leeward parts`."""
    command = [sys.executable, "-c", MEASURED, "parts", str(path)]
    done = subprocess.run(command, capture_output=True, encoding="utf-8", timeout=SECONDS, check=False)
    return done.returncode, done.stderr, int(done.stdout.split()[-1]) * KIBIBYTE


def write_giant(path: Path, begin: str, unit: str, end: str, size: int) -> None:
    """Write `begin`, `unit` again and again, and `end`: a file of about `size` bytes."""
    block = unit * (2**20 // len(unit.encode()))
    with path.open("w", encoding="utf-8", newline="") as file:
        file.write(begin)
        for _ in range((size - 2**20) // len(block.encode())):
            file.write(block)
        file.write(end)


@pytest.mark.parametrize(
    ("begin", "unit", "end", "what"),
    [
        (f'{BEGUN}(x "', "a", '"))', "longer than 16,000,000"),
        (f'{BEGUN}(x "', "a", "", "never ends"),
        (f'{BEGUN}(x "', "\\n", '"))', "longer than 16,000,000"),
        (f'{BEGUN}(x "', "a", '\U0001f600"))', "longer than 16,000,000"),
        (f"{BEGUN}(x ", "9", "))", "longer than 16,000,000"),
        ("", "a", "", "not one bracketed"),
        (f"{BEGUN}(x ", " ", "))", "no copper layer"),
        (BEGUN, "(", "", "no word after it"),
        (BEGUN, "(x ", "", "deeper than 200"),
        (BEGUN, "()", ")", "no word after it"),
        (BEGUN, "(xx)", ")", "more than 5,000,000"),
    ],
)
def test_giants_are_refused_soon_and_in_little_room(tmp_path: Path, begin: str, unit: str, end: str, what: str) -> None:
    """The largest file that is read at all, made of one token again and again, is refused in one line within 1 GiB."""
    path = tmp_path / "giant.kicad_pcb"
    write_giant(path, begin, unit, end, LARGEST_BYTES)
    try:
        code, words, room = parts_of(path)
    finally:
        path.unlink()
    assert (code, words.count("\n")) == (3, 1)
    assert words.startswith(str(path))
    assert what in words
    assert room < ROOM_BYTES


def test_files_too_large_are_not_even_read(tmp_path: Path) -> None:
    """200 MB of one quoted text are refused for their size, within 1 GiB."""
    path = tmp_path / "larger.kicad_pcb"
    write_giant(path, f'{BEGUN}(x "', "a", '"))', 201_000_000)
    try:
        code, words, room = parts_of(path)
    finally:
        path.unlink()
    assert (code, words.count("\n")) == (3, 1)
    assert "larger than 150 MiB" in words
    assert room < ROOM_BYTES


@pytest.mark.skipif(not Path("/dev/zero").exists(), reason="this system has no /dev/zero")
def test_a_file_that_never_ends_is_refused() -> None:
    """A device that gives bytes for ever is refused like a file that is too large."""
    with pytest.raises(InputError, match="larger than"):
        read("/dev/zero")


def cuts() -> list[int]:
    """Return where to cut the sample board: every 1,000th byte and 300 drawn places, or an even share of them."""
    length = len(SAMPLE.read_bytes().rstrip())
    step, drawn = (1_000, 300) if FULL else (40_000, 12)
    return [*range(0, length, step), *random.Random(20).sample(range(length), drawn)]  # noqa: S311 -- no secret


def test_a_board_cut_anywhere_is_refused_at_its_last_line(tmp_path: Path) -> None:
    """Wherever a file is cut off, the one error names the line on which it ends, and no half board comes back."""
    data = SAMPLE.read_bytes()
    path = tmp_path / "cut.kicad_pcb"
    for cut in cuts():
        path.write_bytes(data[:cut])
        with pytest.raises(InputError) as caught:
            read(str(path))
        place = caught.value.place
        assert place is not None
        assert (place.file, place.line) == (str(path), data.count(b"\n", 0, cut) + 1)


def test_deep_nesting_is_refused(read_text: Reader) -> None:
    """A hundred thousand brackets are refused whether they pair up or not; a hundred, unknown, are passed over."""
    for deep in (100_000, 1_000):
        for end in (")" * deep + ")", ""):
            assert "deeper than 200" in refused(read_text, WHOLE.rstrip()[:-1] + "(x " * deep + end).what
    assert len(read_text(WHOLE.rstrip()[:-1] + "(x " * 100 + ")" * 101).footprints) == 1


@pytest.mark.parametrize("text", ["(" * 100_000, BEGUN + "((net 0))", BEGUN + "(net ())", BEGUN + '("net" 0)', "()"])
def test_brackets_without_a_word_are_refused(read_text: Reader, text: str) -> None:
    """A node begins with a word: KiCad writes no other, and a word that is missing is not guessed."""
    assert "no word after it" in refused(read_text, text).what


def test_limits_are_placed(monkeypatch: pytest.MonkeyPatch, read_text: Reader) -> None:
    """More tokens, or a longer word, than any board has are told where they stand."""
    monkeypatch.setattr(sexpr, "MOST_TOKENS", 8)
    error = refused(read_text, WHOLE)
    assert "more than 8 words" in error.what
    assert str(error.place).endswith(":3")
    monkeypatch.setattr(sexpr, "MOST_TOKENS", 10_000)
    monkeypatch.setattr(sexpr, "LONGEST_ATOM", 30)
    assert str(refused(read_text, WHOLE.replace('"R1"', f'"{"R" * 31}"')).place).endswith(":7")


def test_quoted_text_ends_on_its_line(read_text: Reader) -> None:
    """A quote too few is told at its line, and does not swallow what follows up to the next quote.

    KiCad 6's pcbnew.LoadBoard refuses such a file too: "Un-terminated delimited string".
    """
    error = refused(read_text, WHOLE.replace('(net 1 "GND")', '(net 1 "GND)', 1))
    assert "never ends on its line" in error.what
    assert str(error.place).endswith(":5")
    inside_out = WHOLE.replace("(size 1 2)", '(size " 2)')  # would take the layers for a text, and leave no copper
    assert str(refused(read_text, inside_out).place).endswith(":7")


def test_a_quote_within_a_word_opens_nothing(read_text: Reader) -> None:
    """`(x"y z)` is a node with a word that holds a quote, as for KiCad 6; the part after it is not swallowed."""
    assert len(read_text(WHOLE.replace("(footprint", '(x"y z)\n(footprint')).footprints) == 1


def test_spaces_beyond_ascii_are_part_of_a_word(read_text: Reader) -> None:
    """KiCad 5 wrote names with no-break and wide spaces bare; KiCad 6's pcbnew reads `A\u00a0B` as one name."""
    for name in ("A\u00a0B", "A\u3000B", "A\u2028B", "A\x85B"):
        part = part_text(f"(pad 1 smd rect (at 0 0) (size 1 1) (layers F.Cu) (net 1 {name}))")
        assert read_text(board_text(f"(net 1 {name})\n{EDGE}\n{part}")).footprints[0].pads[0].net == name


def zipped(path: Path) -> None:
    """Write a zip archive that holds a board."""
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("board.kicad_pcb", WHOLE)


def painted(path: Path) -> None:
    """Write a picture of one dot."""
    chunks = ((b"IHDR", struct.pack(">2I5B", 1, 1, 8, 0, 0, 0, 0)), (b"IDAT", zlib.compress(b"\0\0")), (b"IEND", b""))
    packed = [struct.pack(">I", len(c)) + n + c + struct.pack(">I", zlib.crc32(n + c)) for n, c in chunks]
    path.write_bytes(b"\x89PNG\r\n\x1a\n" + b"".join(packed))


@pytest.mark.parametrize("write", [zipped, painted])
def test_archives_and_pictures_are_refused(tmp_path: Path, write: Callable[[Path], None]) -> None:
    """A zip or a PNG that is named .kicad_pcb is told to be a binary file, in one line on the command line too."""
    path = tmp_path / "other.kicad_pcb"
    write(path)
    code, words, _ = parts_of(path)
    assert (code, words.count("\n")) == (3, 1)
    assert "binary file" in words


@pytest.mark.parametrize("encoding", ["utf-16", "utf-16-be", "utf-32", "latin-1", "cp1252", "shift_jis"])
def test_other_encodings_are_refused(tmp_path: Path, encoding: str) -> None:
    """Text in another encoding is refused, never read as other letters."""
    path = tmp_path / "other.kicad_pcb"
    path.write_bytes(WHOLE.replace("GND", "±").encode(encoding))
    with pytest.raises(InputError, match=r"not UTF-8|binary file"):
        read(str(path))


@pytest.mark.parametrize("change", ["NUL", "mark", "CRLF", "mark and CRLF", "second mark"])
def test_marks_line_ends_and_nul_bytes(tmp_path: Path, read_text: Reader, change: str) -> None:
    """A byte order mark and CRLF change nothing; a NUL byte and a second mark are refused."""
    data = WHOLE.encode()
    path = tmp_path / "other.kicad_pcb"
    data = data.replace(b"\n", b"\r\n") if "CRLF" in change else data
    data = b"\xef\xbb\xbf" * (2 if change == "second mark" else change.count("mark")) + data
    path.write_bytes(data.replace(b"GND", b"G\0D") if change == "NUL" else data)
    if change in ("NUL", "second mark"):
        with pytest.raises(InputError):
            read(str(path))
    else:
        assert read(str(path)).footprints == read_text(WHOLE).footprints


ABSURD = ("nan", "inf", "-inf", "1e300", "-1e300", "1e9", "2148", "junk", '"', "²", "0x10", "1,5", "9" * 5000)
NUMBERS = {
    "place of a part": part_text(PAD, at="{n} 5"),
    "second number of a place": part_text(PAD, at="5 {n}"),
    "turn of a part": part_text(PAD, at="5 5 {n}"),
    "place of a pad": part_text(PAD.replace("(at 1 0)", "(at {n} 0 90)")),
    "turn of a pad": part_text(PAD.replace("(at 1 0)", "(at 1 0 {n})")),
    "size of a pad": part_text(PAD.replace("(size 1 2)", "(size {n} 2)")),
    "drill": part_text(PAD[:-1] + "(drill {n}))"),
    "courtyard": part_text('(fp_line (start 0 0) (end 1 {n}) (layer "F.CrtYd") (width 0.05))'),
    "arc": '(arc (start 0 0) (mid 1 {n}) (end 2 0) (width 0.2) (layer "F.Cu") (net 1))',
    "width of a track": '(segment (start 0 0) (end 2 0) (width {n}) (layer "F.Cu") (net 1))',
    "size of a via": '(via (at 0 0) (size {n}) (drill 0.5) (layers "F.Cu" "B.Cu") (net 1))',
    "edge": '(gr_circle (center 0 0) (end 5 {n}) (layer "Edge.Cuts") (width 0.1))',
    "fill": '(zone (net 1) (layer "F.Cu") (filled_polygon (layer "F.Cu") (pts (xy 0 0) (xy 9 {n}) (xy 9 9))))',
}


@pytest.mark.parametrize("number", ABSURD)
@pytest.mark.parametrize("where", NUMBERS)
def test_numbers_that_no_board_has_are_refused(read_text: Reader, where: str, number: str) -> None:
    """Not a number, endless, beyond KiCad's reach or no number at all: refused at its line, whatever it measures."""
    place = refused(read_text, board_text(NUMBERS[where].replace("{n}", number))).place
    assert str(place).endswith(":4")


@pytest.mark.parametrize(
    "where", ["size of a pad", "width of a track", "size of a via", "thickness", "thickness of a layer"]
)
def test_negative_sizes_are_refused(read_text: Reader, where: str) -> None:
    """A width, a size or a thickness below zero is no length."""
    board = board_text(NUMBERS.get(where, EDGE).replace("{n}", "-1"))
    if where == "thickness":
        board = board.replace("(thickness 1.6)", "(thickness -1.6)")
    if where == "thickness of a layer":
        layers = '(layer "F.Cu" (type "copper") (thickness -0.1)) (layer "B.Cu" (type "copper") (thickness 0.1))'
        board = board_text(f"(setup (stackup {layers}))")
    refused(read_text, board)


def test_a_number_that_is_junk_does_not_let_the_next_stand_in(read_text: Reader) -> None:
    """`(at x 5 90)` is not the place 5, 90."""
    refused(read_text, board_text(part_text(PAD, at="x 5 90")))
    refused(read_text, board_text(part_text(PAD.replace("(at 1 0)", "(at x 1 0)"))))


def test_an_arc_that_is_all_but_straight_is_read(read_text: Reader) -> None:
    """An arc of a radius beyond the stars is as good as its chord."""
    arc = '(arc (start 0 0) (mid 1000 0.000001) (end 2000 0) (width 0.2) (layer "F.Cu") (net 1))'
    points = read_text(board_text(EDGE + arc)).tracks[0].points
    assert points[0] == (0, 0)
    assert points[-1] == (2000, 0)
    assert all(abs(y) < 0.001 for _, y in points)


@pytest.mark.parametrize("ordinal", ["²", "９", "9" * 5000, "-1", "x"])
def test_layers_of_absurd_numbers_keep_their_names(read_text: Reader, ordinal: str) -> None:
    """A layer's number that is none leaves the layer the name that the file gives it."""
    layers = LAYERS_5.replace("(1 Inner", f"({ordinal} Inner")
    assert set(read_text(board_text(version=4, layers=layers)).copper_layers) == {"F.Cu", "Inner", "B.Cu"}


def test_layers_that_repeat_count_once(read_text: Reader) -> None:
    """A layer table that names a copper layer twice has it once."""
    layers = '(layers (0 "F.Cu" signal) (0 "F.Cu" signal) (31 "B.Cu" signal) (44 "Edge.Cuts" user))'
    assert read_text(board_text(layers=layers)).copper_layers == ("F.Cu", "B.Cu")


@pytest.mark.parametrize("shape", ["rect", "circle", "oval", "roundrect", "trapezoid", "custom"])
def test_pads_of_no_size_have_no_copper_and_are_listed(read_text: Reader, shape: str) -> None:
    """A pad of no size stays in the list, without copper, whatever its shape; nothing of it stands."""
    pad = PAD.replace("rect", shape).replace("(size 1 2)", "(size 0 0)")
    board = read_text(board_text(EDGE + part_text(pad)))
    assert [(pad.number, pad.area_mm2) for pad in board.footprints[0].pads] == [("1", 0)]
    (part,) = identify(board).by_id.values()
    assert not part.reworkable
    assert part.body.is_empty


def test_references_that_repeat_or_are_missing_are_told_apart(read_text: Reader) -> None:
    """Parts of one name, of no name and without any text for it are all there, each with an id of its own."""
    repeated = [part_text(PAD, at=f"{x} 5") for x in (3, 6)]
    nameless = [part_text(PAD, at="9 5", ref=""), part_text(PAD, at="12 5", ref="")]
    without = part_text(PAD, at="15 5").replace('(fp_text reference "R1" (at 0 0))', "")
    board = read_text(board_text(EDGE + "\n".join([*repeated, *nameless, without])))
    assert [part.ref for part in board.footprints] == ["R1", "R1", "", "", ""]
    assert [part.id for part in board.footprints] == [f"@{x}.0000,5.0000,top" for x in (3, 6, 9, 12, 15)]
    assert set(identify(board).by_id) == {part.id for part in board.footprints}


# Areas by KiCad 6's pcbnew: SHAPE_POLY_SET.Simplify of these rings, in mm2.
CROSSED = {
    "a bow tie": ("(xy 0 0) (xy 10 10) (xy 10 0) (xy 0 10)", 50.0),
    "a lopsided bow tie": ("(xy 0 0) (xy 10 10) (xy 10 6) (xy 0 4)", 20.0),
    "a star": ("(xy 10 0) (xy 2 6) (xy 12 6) (xy 4 0) (xy 7 10)", 32.090816),
    "a loop in a loop, round the same way": (
        "(xy 0 0) (xy 10 0) (xy 10 10) (xy 0 10) (xy 0 0) (xy 2 2) (xy 8 2) (xy 8 8) (xy 2 8) (xy 2 2)", 100.0,
    ),
    "a loop in a loop, round the other way": (
        "(xy 0 0) (xy 10 0) (xy 10 10) (xy 0 10) (xy 0 0) (xy 2 2) (xy 2 8) (xy 8 8) (xy 8 2) (xy 2 2)", 64.0,
    ),
}  # fmt: skip
ZONE = '(zone (net 1) (layer "F.Cu") (min_thickness {pen}) (fill yes) (polygon (pts {pts})) {fills})'


@pytest.mark.parametrize("shape", CROSSED)
def test_zones_that_cross_themselves_have_the_area_that_kicad_gives_them(read_text: Reader, shape: str) -> None:
    """Outline and fill of a ring that crosses itself are valid and lose none of its lobes."""
    pts, area = CROSSED[shape]
    text = ZONE.format(pen=0, pts=pts, fills=f'(filled_polygon (layer "F.Cu") (pts {pts}))')
    (zone,) = read_text(board_text(EDGE + text, version=20240108)).zones
    for found in (zone.outline, zone.fills[0].copper):
        assert found.is_valid
        assert found.area == pytest.approx(area, abs=1e-6)


def test_a_crossed_fill_drawn_with_a_pen_keeps_both_lobes(read_text: Reader) -> None:
    """Up to KiCad 6 a pen adds to the copper: a bow tie of two triangles grows round each of them."""
    pts, area = CROSSED["a bow tie"]
    (zone,) = read_text(board_text(EDGE + ZONE.format(pen=0.2, pts=pts, fills=f"(filled_polygon (pts {pts}))"))).zones
    side = (2 * 10**2) ** 0.5 / 2
    around = 2 * (10 + 2 * side)  # of both triangles
    assert zone.fills[0].copper.is_valid
    assert zone.fills[0].copper.area == pytest.approx(area + around * 0.1, abs=0.1)  # corners round off some 0.05


def test_fills_that_overlap_are_counted_once(read_text: Reader) -> None:
    """Two fills of one zone over each other are one area, valid."""
    pts = "(xy 0 0) (xy 4 0) (xy 4 4) (xy 0 4)", "(xy 2 0) (xy 6 0) (xy 6 4) (xy 2 4)"
    fills = " ".join(f'(filled_polygon (layer "F.Cu") (pts {each}))' for each in pts)
    (zone,) = read_text(board_text(EDGE + ZONE.format(pen=0, pts=pts[0], fills=fills), version=20240108)).zones
    assert zone.fills[0].copper.is_valid
    assert zone.fills[0].copper.area == pytest.approx(24)


def test_a_board_edge_that_crosses_itself_keeps_both_sides(read_text: Reader) -> None:
    """An outline drawn as a bow tie holds both triangles."""
    corners = [(0, 0), (10, 10), (10, 0), (0, 10), (0, 0)]
    lines = [
        f'(gr_line (start {a} {b}) (end {c} {d}) (layer "Edge.Cuts") (width 0.1))'
        for (a, b), (c, d) in pairwise(corners)
    ]
    board = read_text(board_text("\n".join(lines)))
    assert board.outline.is_valid
    assert board.outline.area == pytest.approx(50)


@pytest.mark.parametrize(
    "body",
    [
        part_text(PAD).replace('(layer "F.Cu")', ""),
        part_text(PAD, layer="F.SilkS"),
        part_text(PAD.replace("layers", "lairs")),
        "(segment (start 0 0) (end 2 0) (width 1) (net 1))",
        '(segment (start 0 0) (end 2 0) (width 1) (layer "Inner") (net 1))',
    ],
)
def test_what_must_lie_on_copper_and_does_not_is_refused(read_text: Reader, body: str) -> None:
    """A part without a side, a pad without layers and a track off the copper are refused, not left out unsaid."""
    assert str(refused(read_text, board_text(body)).place).endswith(":4")


def circle_text(x: float, y: float, radius: float) -> str:
    """Return a circle on the board's edge."""
    return f'(gr_circle (center {x} {y}) (end {x + radius} {y}) (layer "Edge.Cuts") (width 0.1))'


def test_thousands_of_holes_in_the_edge_take_no_minutes(read_text: Reader) -> None:
    """A panel whose 2,000 mouse bites are drawn on its edge has its area less theirs, and is read in seconds."""
    bites = [circle_text(5 + 3 * (i % 50), 5 + 3 * (i // 50), 1) for i in range(2000)]
    rect = '(gr_rect (start 0 0) (end 160 130) (layer "Edge.Cuts") (width 0.1))'
    board = read_text(board_text("\n".join([rect, *bites])))
    assert board.outline.area == pytest.approx(160 * 130 - 2000 * math.pi, rel=1e-3)


def scattered(count: int) -> list[tuple[float, float]]:
    """Return places strewn over 50 x 50 mm, the same each time."""
    drawn = random.Random(7)  # noqa: S311 -- no secret
    return [(round(drawn.uniform(0, 50), 3), round(drawn.uniform(0, 50), 3)) for _ in range(count)]


def test_polygons_that_are_tangles_are_refused(read_text: Reader) -> None:
    """A zone's outline or fill of 3,000 corners strewn about is refused at once, where mending it took minutes."""
    pts = " ".join(f"(xy {x} {y})" for x, y in scattered(3000))
    for kind in ("polygon", 'filled_polygon (layer "F.Cu")'):
        error = refused(read_text, board_text(f'(zone (net 1) (layer "F.Cu") ({kind} (pts {pts})))'))
        assert "crosses itself all over" in error.what
        assert str(error.place).endswith(":4")


def test_a_fab_drawing_that_is_a_tangle_gives_its_hull(read_text: Reader) -> None:
    """Of 3,000 lines strewn about no faces are sought: what they lie within stands in, in seconds."""
    ends = scattered(6000)
    lines = [
        f'(fp_line (start {a} {b}) (end {c} {d}) (layer "F.Fab") (width 0.1))'
        for (a, b), (c, d) in zip(ends[::2], ends[1::2], strict=True)
    ]
    (part,) = read_text(board_text(EDGE + part_text("\n".join(lines)))).footprints
    assert part.fab is not None
    assert part.fab.area == pytest.approx(50 * 50, rel=0.02)
    assert part.fab.equals(part.fab.convex_hull)


def test_less_than_the_formats_step_is_nothing(read_text: Reader) -> None:
    """KiCad counts nanometres: a pad 1e-300 mm wide has no copper, rather than an area that is no area."""
    board = read_text(board_text(EDGE + part_text(PAD.replace("(size 1 2)", "(size 1e-300 2)"))))
    assert board.footprints[0].pads[0].copper.is_empty


def test_a_reference_of_thousands_of_digits_is_sorted_like_any(read_text: Reader) -> None:
    """Python refuses to make a number of 6,000 digits; the parts list does not stumble over that."""
    refs = ["R" + "9" * 6000, "R2"]
    board = read_text(board_text(EDGE + "\n".join(part_text(PAD, ref=ref, at=f"{x} 5") for x, ref in enumerate(refs))))
    assert [part.footprint.ref for part in identify(board).by_id.values()] == ["R2", refs[0]]
