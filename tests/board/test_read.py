"""Reading whole boards: versions, ids, notes, and files that are no boards."""

import os
from collections.abc import Callable
from hashlib import sha256
from pathlib import Path
from tempfile import TemporaryDirectory

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from board_texts import EDGE, LAYERS_5, LAYERS_10, board_text, part_text
from leeward.board.read import read
from leeward.board.records import Board
from leeward.errors import InputError

Reader = Callable[[str], Board]

PAD = '(pad "1" smd rect (at 1 0) (size 1 2) (layers "F.Cu" "F.Paste" "F.Mask") (net 1 "GND"))'
WHOLE = board_text(f'(net 0 "")\n(net 1 "GND")\n{EDGE}\n{part_text(PAD)}')

BODY_5 = """(net 0 "") (net 7 /SIG)
    (gr_line (start 0 0) (end 9 0) (layer Edge.Cuts) (width 0.1))
    (gr_line (start 9 0) (end 9 9) (layer Edge.Cuts) (width 0.1))
    (gr_line (start 9 9) (end 0 9) (layer Edge.Cuts) (width 0.1))
    (gr_line (start 0 9) (end 0 0) (layer Edge.Cuts) (width 0.1))
    (net_class Default "" (clearance 0.2) (via_dia 0.8) (via_drill 0.4) (add_net /SIG))
    (module lib:part (layer Bottom) (tedit 0) (tstamp 5A) (at 4 4 90) (attr virtual)
      (fp_text reference R9 (at 0 0) (layer B.SilkS))
      (pad 1 smd rect (at 1 0 90) (size 2 1) (layers Bottom B.Mask) (net 7 /SIG))
      (model a.wrl (at (xyz 1 0 0)) (scale (xyz 1 1 1)) (rotate (xyz 0 0 0))))
    (segment (start 1 1) (end 2 1) (width 0.2) (layer Inner) (net 7))
    (via (at 1 1) (size 0.8) (layers Top Bottom) (net 7))
    (zone (net 7) (net_name /SIG) (layer Inner) (min_thickness 0.2) (fill yes)
      (polygon (pts (xy 1 1) (xy 3 1) (xy 3 3) (xy 1 3))) (filled_polygon (pts (xy 1 1) (xy 3 1) (xy 3 3) (xy 1 3))))"""
BOARD_5 = board_text(BODY_5, version=20171130, layers=LAYERS_5)
BODY_10 = f"""{EDGE}
    (footprint "l:p" (layer "B.Cu") (uuid "u-1") (at 5 5)
      (property "Reference" "U1" (at 0 0)) (property "Value" "7" (at 0 0))
      (attr smd dnp) (pad "1" thru_hole circle (at 0 0) (size 2 2) (drill 1) (layers "*.Cu" "*.Mask") (net "7")))
    (via blind (at 1 1) (size 0.8) (drill 0.4) (layers "B.Cu" "In2.Cu") (net "7"))
    (arc (start 0 0) (mid 1 1) (end 2 0) (width 0.2) (layer "In1.Cu") (net "7"))
    (zone (net "7") (layer "In1.Cu") (attr (teardrop (type padvia))) (min_thickness 0.1) (fill yes)
      (polygon (pts (xy 1 1) (xy 3 1) (arc (start 3 1) (mid 3.5 2) (end 3 3)) (xy 1 3)))
      (filled_polygon (layer "In1.Cu") (pts (xy 1 1) (xy 3 1) (xy 3 3) (xy 1 3))))"""
BOARD_10 = board_text(BODY_10, version=20260206, layers=LAYERS_10)


def refused(path: Path) -> InputError:
    """Return the one error that reading a file raises."""
    with pytest.raises(InputError) as caught:
        read(str(path))
    assert "\n" not in str(caught.value)
    assert str(path) in str(caught.value)
    return caught.value


def refused_text(tmp_path: Path, text: str) -> InputError:
    """Return the one error that reading this text raises."""
    path = tmp_path / "made.kicad_pcb"
    path.write_text(text, encoding="utf-8", newline="")
    return refused(path)


def test_a_board_is_read(read_text: Reader) -> None:
    """Outline, part, pad, net and digest of a small board are those of its text."""
    board = read_text(WHOLE)
    (part,) = board.footprints
    (pad,) = part.pads
    assert board.outline.area == pytest.approx(600)
    assert board.outline_source == "Edge.Cuts"
    assert (part.ref, part.side, part.x_mm, part.y_mm, part.fitted, part.line) == ("R1", "top", 10, 5, True, 7)
    assert (pad.x_mm, pad.y_mm, pad.area_mm2, pad.net) == (11, 5, 2, "GND")
    assert (pad.has_paste, pad.has_mask_opening, pad.sides) == (True, True, ("top",))
    assert board.sha256 == sha256(WHOLE.encode()).hexdigest()
    assert board.notes == ()


def test_line_ends_and_byte_order_mark_do_not_matter(tmp_path: Path, read_text: Reader) -> None:
    """A file with CRLF and a byte order mark says the same, on the same lines."""
    path = tmp_path / "windows.kicad_pcb"
    path.write_bytes(b"\xef\xbb\xbf" + WHOLE.replace("\n", "\r\n").encode())
    assert read(str(path)).footprints == read_text(WHOLE).footprints


def test_a_file_that_cannot_be_written_is_read_and_kept(tmp_path: Path) -> None:
    """The input is opened for reading only: bytes and time stamp stay."""
    path = tmp_path / "kept.kicad_pcb"
    path.write_text(WHOLE, encoding="utf-8")
    path.chmod(0o444)
    before = path.stat()
    read(str(path))
    after = path.stat()
    assert (before.st_mtime_ns, before.st_size) == (after.st_mtime_ns, after.st_size)
    assert path.read_text(encoding="utf-8") == WHOLE


def test_version_5_renames_layers_and_numbers_nets(read_text: Reader) -> None:
    """KiCad 4 and 5 let users rename copper layers, call parts modules and name nets by number."""
    board = read_text(BOARD_5)
    (part,) = board.footprints
    assert board.copper_layers == ("F.Cu", "In1.Cu", "B.Cu")
    assert board.layer_titles == {"F.Cu": "Top", "In1.Cu": "Inner", "B.Cu": "Bottom"}
    assert (part.side, part.ref, part.id, set(part.attributes)) == ("bottom", "R9", "5A", {"virtual"})
    assert (part.pads[0].layers, part.pads[0].net) == (("B.Cu",), "/SIG")
    assert (part.pads[0].x_mm, part.pads[0].y_mm) == pytest.approx((4, 3))
    assert part.models[0].offset_mm == (25.4, 0, 0)
    assert (board.tracks[0].layer, board.tracks[0].net) == ("In1.Cu", "/SIG")
    assert (board.vias[0].layers, board.vias[0].drill_mm) == (("F.Cu", "B.Cu"), 0.4)
    fill = board.zones[0].fills[0]
    assert fill.layer == "In1.Cu"
    # A square of side 2 drawn with a pen of 0.2: rounded corners of radius 0.1.
    assert fill.copper.area == pytest.approx(4 + 4 * 2 * 0.1 + 3.1416 * 0.1**2, rel=1e-3)


def test_version_10_names_nets_and_counts_layers_anew(read_text: Reader) -> None:
    """KiCad 10 names nets without a table, and from 9 on the bottom layer has the number 2."""
    board = read_text(BOARD_10)
    (part,) = board.footprints
    assert board.copper_layers == ("F.Cu", "In1.Cu", "In2.Cu", "B.Cu")
    assert board.layer_titles == {"In2.Cu": "Ground"}
    assert (part.ref, part.value, part.id, part.fitted, part.side) == ("U1", "7", "u-1", False, "bottom")
    assert (part.pads[0].layers, part.pads[0].net) == (board.copper_layers, "7")
    assert part.pads[0].drill_mm == 1
    assert board.vias[0].layers == ("In2.Cu", "B.Cu")
    assert len(board.tracks[0].points) > 10
    assert (board.zones[0].kind, board.zones[0].net) == ("teardrop", "7")
    assert board.zones[0].fills[0].copper.area == pytest.approx(4)


def test_parts_without_an_id_of_their_own_are_named_by_place(read_text: Reader) -> None:
    """An id that repeats gives way to the place, and a place that repeats gets a number."""
    twice = '(tstamp "t-1")'
    parts = [part_text(twice), part_text(twice), part_text(), part_text('(tstamp "t-2")', at="1.5 2")]
    parts.append(part_text(at="1.5 2", layer="B.Cu"))
    board = read_text(board_text(EDGE + "\n".join(parts)))
    assert [part.id for part in board.footprints] == [
        "@10.0000,5.0000,top",
        "@10.0000,5.0000,top#2",
        "@10.0000,5.0000,top#3",
        "t-2",
        "@1.5000,2.0000,bottom",
    ]


@pytest.mark.parametrize("mark", ["(attr smd dnp)", '(property "DNP" "Yes")', '(property "dnp" "true")'])
def test_parts_marked_do_not_populate_are_not_fitted(read_text: Reader, mark: str) -> None:
    """The flag of KiCad 8 and a field of that name both take the part off; other flags do not."""
    assert not read_text(board_text(EDGE + part_text(mark))).footprints[0].fitted
    assert read_text(board_text(EDGE + part_text("(attr smd exclude_from_bom)"))).footprints[0].fitted
    assert read_text(board_text(EDGE + part_text('(property "dnp" "no")'))).footprints[0].fitted


def test_notes_say_what_is_missing(read_text: Reader) -> None:
    """A newer version, a missing outline, unfilled zones, copper text, open courtyards and bare zones are told."""
    body = part_text(
        PAD
        + '(fp_line (start 0 0) (end 1 0) (layer "F.CrtYd") (width 0.05)) (fp_text user "x" (at 0 0) (layer "F.Cu"))'
    )
    body += """(zone (net 1) (layer "F.Cu") (polygon (pts (xy 0 0) (xy 1 0) (xy 1 1))))
    (zone (net 0) (layer "F.Fab") (polygon (pts (xy 0 0) (xy 1 0) (xy 1 1))))"""
    notes = " | ".join(read_text(board_text(body, version=20991231)).notes)
    for words in (
        "newer than",
        "no closed board outline",
        "hold no fill",
        "text(s) on copper",
        "R1 do not close",
        "no copper layer",
    ):
        assert words in notes


def test_without_an_outline_the_box_round_everything_stands_in(read_text: Reader) -> None:
    """The box holds pads and tracks, and the source says so."""
    board = read_text(board_text(part_text(PAD) + '(segment (start 0 0) (end 20 9) (width 1) (layer "F.Cu") (net 1))'))
    assert board.outline.bounds == (0, 0, 20, 9)
    assert board.outline_source == "box round everything"


@pytest.mark.parametrize("share", [0.02, 0.3, 0.6, 0.9, 0.999])
def test_truncated_files_are_refused(tmp_path: Path, share: float) -> None:
    """A file cut off anywhere is refused, placed at a line."""
    error = refused_text(tmp_path, WHOLE[: int(len(WHOLE.rstrip()) * share)])
    assert error.place is not None
    assert error.place.line is not None


@pytest.mark.parametrize(
    "text", [WHOLE + ")", WHOLE.replace("(net 0", "((net 0", 1), WHOLE.replace('"GND"', '"GND', 1)]
)
def test_unbalanced_files_are_refused(tmp_path: Path, text: str) -> None:
    """One bracket or quote too many or too few is refused."""
    refused_text(tmp_path, text)


@pytest.mark.parametrize(
    ("data", "what"),
    [
        (b"", "empty"),
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "binary"),
        (b"PK\x03\x04\x14\0\0\0", "binary"),
        (WHOLE.encode().replace(b"GND", b"G\0D"), "binary"),
        (WHOLE.encode("utf-16"), "binary"),
        (WHOLE.replace("GND", "Gnd\xe9").encode("latin-1"), "not UTF-8"),
        (b"PCBNEW-BOARD Version 1", "before version 4"),
        (b"(kicad_sch (version 20211123))", "no board"),
        (b"(kicad_pcb)", "no format version"),
        (b"(kicad_pcb (version new))", "no format version"),
        (b"(kicad_pcb (version 20211014))", "no copper layer"),
        (b"<svg></svg>", "not one bracketed"),
    ],
)
def test_what_is_no_board_is_refused(tmp_path: Path, data: bytes, what: str) -> None:
    """Pictures, archives, other encodings, older and other KiCad files are each refused in so many words."""
    path = tmp_path / "other.kicad_pcb"
    path.write_bytes(data)
    assert what in refused(path).what


def test_the_line_of_a_wrong_byte_is_told(tmp_path: Path) -> None:
    """Text that is not UTF-8 is placed at the line of its first wrong byte."""
    path = tmp_path / "latin.kicad_pcb"
    path.write_bytes(b"(kicad_pcb\n\n(title \xe9))")
    place = refused(path).place
    assert place is not None
    assert place.line == 3


def test_paths_that_are_no_files_are_refused(tmp_path: Path) -> None:
    """A missing file, a directory, an impossible name and a locked file are refused, each by its path."""
    assert "no such file" in refused(tmp_path / "none.kicad_pcb").what
    assert "directory" in refused(tmp_path).what
    assert "cannot be read" in refused(tmp_path / ("x" * 300)).what
    if os.geteuid() != 0:  # the superuser may read anything
        locked = tmp_path / "locked.kicad_pcb"
        locked.write_text(WHOLE, encoding="utf-8")
        locked.chmod(0)
        assert "cannot be read" in refused(locked).what


@pytest.mark.parametrize("number", ["nan", "inf", "-inf", "1e400", "1e9", "9999", "x", "(y)"])
@pytest.mark.parametrize(
    "body",
    [
        "{part}",
        '(segment (start {n} 0) (end 1 1) (width 1) (layer "F.Cu") (net 1))',
        '(via (at 0 {n}) (size 1) (drill 0.5) (layers "F.Cu" "B.Cu") (net 1))',
        '(gr_line (start {n} 0) (end 1 1) (layer "Edge.Cuts") (width 0.1))',
        '(zone (net 1) (layer "F.Cu") (polygon (pts (xy 0 0) (xy {n} 1) (xy 1 1))))',
    ],
)
def test_numbers_that_no_board_has_are_refused(tmp_path: Path, body: str, number: str) -> None:
    """A coordinate that is no number, not finite or beyond KiCad's reach is refused at its item's line."""
    pad = PAD.replace("(at 1 0)", f"(at 1 {number})")
    made = part_text(pad) if body == "{part}" else body.format(n=number)
    place = refused_text(tmp_path, board_text(made)).place
    assert place is not None
    assert place.line == 4


@pytest.mark.parametrize(
    "inside",
    [
        "(pad)",
        '(pad "1" smd)',
        '(pad "1" smd rect)',
        '(pad "1" smd rect (at 0 0) (layers "F.Cu"))',
        '(pad "1" smd blob (at 0 0) (size 1 1) (layers "F.Cu"))',
        '(pad "1" glued rect (at 0 0) (size 1 1) (layers "F.Cu"))',
        '(pad "1" smd rect (at 0 0) (size -1 1) (layers "F.Cu"))',
        '(fp_line (start 0 0) (layer "F.CrtYd"))',
        '(fp_poly (layer "F.CrtYd"))',
        '(fp_poly (pts (xy 1)) (layer "F.CrtYd"))',
        '(fp_poly (pts "") (layer "F.CrtYd"))',
    ],
)
def test_broken_parts_are_refused(tmp_path: Path, inside: str) -> None:
    """A pad or line that lacks what it needs is refused at the part's line, not guessed."""
    place = refused_text(tmp_path, board_text(part_text(inside))).place
    assert place is not None
    assert place.line == 4


DAMAGE = ("", "(", ")", '"', '""', " ", "nan", "()", "(xy)", "(pts 1)", '(pts "")', "-1", "9" * 40)


def outcome(path: Path) -> str:
    """Return "read" or the text of the error."""
    try:
        read(str(path))
    except InputError as error:
        return str(error)
    return "read"


@settings(deadline=None)  # how long it takes is not the question, and machines differ
@given(st.sampled_from([WHOLE, BOARD_5, BOARD_10]), st.data())
def test_damaged_files_are_read_or_refused(text: str, data: st.DataObject) -> None:
    """Whatever is cut from or written into a board file, it is read or refused in one line, never a fault of ours."""
    start = data.draw(st.integers(0, len(text)))
    end = data.draw(st.integers(start, min(len(text), start + 60)))
    put = data.draw(st.sampled_from(DAMAGE))
    with TemporaryDirectory() as directory:
        path = Path(directory) / "damaged.kicad_pcb"
        path.write_text(text[:start] + put + text[end:], encoding="utf-8")
        assert "\n" not in outcome(path)
