"""Pads and vias that are not the same on every layer, openings in the mask, and what pads are for."""

from collections.abc import Callable
from math import pi

import pytest
import shapely

from board_texts import EDGE, LAYERS_10, board_text, part_text
from leeward.board.names import Names
from leeward.board.nodes import UnreadableError
from leeward.board.pads import Defaults, pad
from leeward.board.records import Board, Pad
from leeward.board.sexpr import parse
from leeward.errors import InputError
from leeward.heat.copper import layer_shapes
from leeward.heat.grid import Box

Reader = Callable[[str], Board]

NAMES = Names(("F.Cu", "B.Cu"), {}, {"F.Cu": "F.Cu", "B.Cu": "B.Cu"}, {})
EVERYWHERE = Box(-100, -100, 100, 100)
FOUR = ("F.Cu", "In1.Cu", "In2.Cu", "B.Cu")
STACK = """(padstack (mode front_inner_back)
    (layer "Inner" (shape circle) (size 1.2 1.2)) (layer "B.Cu" (shape rect) (size 3 1) (offset 1 0)))"""
CUSTOM = """(padstack (mode custom) (layer "In1.Cu" (shape rect) (size 3 3))
    (layer "In2.Cu" (shape custom) (size 1 1) (options (anchor rect))
      (primitives (gr_rect (start 0 0) (end 2 2) (width 0) (fill yes))))
    (layer "B.Cu" (shape oval) (size 2 1)))"""


def through(more: str, layers: str = '"*.Cu" "*.Mask"', at: str = "5 5") -> str:
    """Return a plated pad of 2 by 2 mm."""
    return f'(pad "1" thru_hole rect (at {at}) (size 2 2) (drill 0.8) (layers {layers}) (net "GND") {more})'


def board_of(read_text: Reader, inside: str = "", body: str = "") -> Board:
    """Return a board of four layers with one part."""
    text = board_text(f"{EDGE}\n{part_text(inside, at='0 0')}\n{body}", version=20260206, layers=LAYERS_10)
    return read_text(text)


def pad_of(board: Board) -> Pad:
    """Return the first pad of the only part."""
    return board.footprints[0].pads[0]


def areas(found: Pad) -> list[float]:
    """Return the area on each of the four layers."""
    return [round(found.copper_on(layer).area, 2) for layer in FOUR]


def test_a_stack_of_front_inner_and_back(read_text: Reader) -> None:
    """Each layer has its own shape, the back's moved aside by its own offset; the heat model sees them so."""
    board = board_of(read_text, through(STACK))
    found = pad_of(board)
    assert areas(found) == pytest.approx([4, pi * 0.36, pi * 0.36, 3], abs=0.01)
    assert found.area_mm2 == pytest.approx(4)
    assert found.copper_on("B.Cu").bounds == pytest.approx((4.5, 4.5, 7.5, 5.5))
    assert sum(shape.area for shape in layer_shapes(board, "In2.Cu", EVERYWHERE)) == pytest.approx(pi * 0.36, rel=0.01)


def test_a_stack_of_every_layer_by_itself(read_text: Reader) -> None:
    """A custom stack names each layer, with primitives of its own where it wants them."""
    assert areas(pad_of(board_of(read_text, through(CUSTOM)))) == pytest.approx([4, 9, 4 + 0.75, 1 + pi / 4], abs=0.01)


def test_a_pad_on_the_back_alone_has_the_backs_shape(read_text: Reader) -> None:
    """What the file says first is the front's; a pad that is not on the front takes its own layer's."""
    found = pad_of(board_of(read_text, through(STACK, '"B.Cu"').replace("thru_hole", "smd")))
    assert found.area_mm2 == pytest.approx(3)
    assert found.copper_on("F.Cu").is_empty


def test_a_stack_entry_of_unknown_shape_is_refused(read_text: Reader) -> None:
    """A shape that the reader does not know is not guessed."""
    with pytest.raises(InputError, match="unknown shape"):
        board_of(read_text, through(STACK.replace("circle", "star")))


def test_lands_that_nothing_is_joined_to_are_left_out(read_text: Reader) -> None:
    """A pad keeps its land on the ends and where a track of its net meets it, and loses the others."""
    tracks = """(segment (start 5 5) (end 9 5) (width 0.2) (layer "In2.Cu") (net "GND"))
        (segment (start 5 5) (end 9 5) (width 0.2) (layer "In1.Cu") (net "OTHER"))"""
    flags = "(remove_unused_layers yes) (keep_end_layers yes) (zone_layer_connections)"
    assert areas(pad_of(board_of(read_text, through(flags), tracks))) == [4, 0, 4, 4]
    assert areas(pad_of(board_of(read_text, through(""), tracks))) == [4, 4, 4, 4]
    assert areas(pad_of(board_of(read_text, through("(remove_unused_layers no)"), tracks))) == [4, 4, 4, 4]


def test_lands_that_a_zone_is_joined_to_stay(read_text: Reader) -> None:
    """A fill of the pad's net keeps the land, and so does the file's own list of layers joined to zones."""
    zone = """(zone (net "GND") (layer "In1.Cu") (fill yes) (polygon (pts (xy 1 1) (xy 9 1) (xy 9 9) (xy 1 9)))
        (filled_polygon (layer "In1.Cu") (pts (xy 1 1) (xy 9 1) (xy 9 9) (xy 1 9))))"""
    assert areas(pad_of(board_of(read_text, through("(remove_unused_layers)"), zone))) == [0, 4, 0, 0]
    listed = '(remove_unused_layers yes) (zone_layer_connections "In2.Cu")'
    assert areas(pad_of(board_of(read_text, through(listed)))) == [0, 0, 4, 0]


def test_a_heat_sinks_lands_stay(read_text: Reader) -> None:
    """A pad whose property says heat sink has copper on all its layers, joined or not."""
    found = pad_of(board_of(read_text, through("(property pad_prop_heatsink) (remove_unused_layers)")))
    assert areas(found) == [4, 4, 4, 4]
    assert found.purpose == "heatsink"


VIA = '(via {kind} (at 5 5) (size 1) (drill 0.4) (layers {layers}) (net "GND") {more})'


@pytest.mark.parametrize(
    ("word", "layers", "kind"),
    [
        ("", '"F.Cu" "B.Cu"', "through"),
        ("blind", '"F.Cu" "In1.Cu"', "blind"),
        ("blind", '"In1.Cu" "In2.Cu"', "buried"),
        ("buried", '"In1.Cu" "In2.Cu"', "buried"),
        ("micro", '"F.Cu" "In1.Cu"', "micro"),
    ],
)
def test_kinds_of_via(read_text: Reader, word: str, layers: str, kind: str) -> None:
    """Before KiCad 10 the word "blind" covers buried vias too: the layers tell them apart."""
    (found,) = board_of(read_text, body=VIA.format(kind=word, layers=layers, more="")).vias
    assert found.kind == kind


@pytest.mark.parametrize(
    ("more", "diameters"),
    [
        ("", [1, 1, 1, 1]),
        ('(padstack (mode front_inner_back) (layer "Inner" (size 0.8)) (layer "B.Cu" (size 2)))', [1, 0.8, 0.8, 2]),
        ('(padstack (mode custom) (layer "In2.Cu" (size 0.6)))', [1, 1, 0.6, 1]),
        ("(start_end_only yes)", [1, 0, 0, 1]),
        ("(remove_unused_layers yes) (keep_end_layers yes)", [1, 0, 0, 1]),
        ("(remove_unused_layers)", [0, 0, 0, 0]),
    ],
)
def test_vias_by_layer(read_text: Reader, more: str, diameters: list[float]) -> None:
    """A via's land follows its stack and its flags, and the heat model sees none where there is none."""
    board = board_of(read_text, body=VIA.format(kind="", layers='"F.Cu" "B.Cu"', more=more))
    (found,) = board.vias
    assert [found.diameter_on(layer) for layer in FOUR] == diameters
    seen = [sum(shape.area for shape in layer_shapes(board, layer, EVERYWHERE)) for layer in FOUR]
    assert seen == pytest.approx([pi * d**2 / 4 for d in diameters], rel=0.05)


@pytest.mark.parametrize(
    ("own", "part", "board", "margin"),
    [
        ("", "", "", 0.0),
        ("", "", "0.05", 0.05),
        ("", "-0.1", "0.05", -0.1),
        ("0.2", "-0.1", "0.05", 0.2),
        ("0", "-0.1", "0.05", 0.0),
    ],
)
def test_the_masks_margin(read_text: Reader, own: str, part: str, board: str, margin: float) -> None:
    """The pad's margin goes before the footprint's, and that before the board's; nought is a margin too."""
    setup = f"(setup (pad_to_mask_clearance {board}))" if board else ""
    words = [f"(solder_mask_margin {word})" if word else "" for word in (own, part)]
    found = pad_of(board_of(read_text, f"{words[1]} {through(words[0])}", setup))
    assert found.mask_margin_mm == margin
    assert found.mask_defined == (margin < 0)
    assert found.mask_opening.area == pytest.approx((2 + 2 * margin) ** 2, rel=0.05)


def test_without_an_opening_nothing_is_mask_defined() -> None:
    """A land that the mask covers whole has no opening, whatever the margin."""
    node = parse('(pad "1" smd rect (at 0 0) (size 2 1) (layers "F.Cu") (solder_mask_margin -0.1))', "f")
    covered = pad(node, (0.0, 0.0, 0.0), Defaults(), NAMES)
    assert not covered.mask_defined
    assert covered.mask_opening.is_empty


@pytest.mark.parametrize("word", ["castellated", "heatsink", "bga", "testpoint", "fiducial_loc"])
def test_what_a_pad_is_for(read_text: Reader, word: str) -> None:
    """The file's pad property is kept in its own words, and a pad of kind connect is one at the board's edge."""
    found = pad_of(board_of(read_text, through(f"(property pad_prop_{word})")))
    assert (found.purpose, found.kind) == (word, "through-hole")
    edge = through("", '"F.Cu" "F.Mask"').replace("thru_hole", "connect")
    assert pad_of(board_of(read_text, edge)).kind == "edge"


def test_net_ties_are_kept(read_text: Reader) -> None:
    """Pads that join nets on purpose are named in groups, each a text with commas."""
    part = board_of(read_text, '(net_tie_pad_groups "1,2" "3, 4")').footprints[0]
    assert part.net_ties == (frozenset({"1", "2"}), frozenset({"3", "4"}))


def test_a_custom_pads_copper_lies_off_its_hole() -> None:
    """The offset of a pad moves anchor and primitives alike."""
    node = parse(
        """(pad "1" thru_hole custom (at 0 0) (size 1 1) (drill 0.5 (offset 2 0)) (options (anchor rect))
        (primitives) (layers "*.Cu"))""",
        "f",
    )
    found = pad(node, (0.0, 0.0, 0.0), Defaults(), NAMES)
    assert found.copper.bounds == pytest.approx((1.5, -0.5, 2.5, 0.5))
    assert found.hole is not None
    assert shapely.centroid(found.hole).x == pytest.approx(0, abs=1e-9)


def test_a_pad_without_size_in_its_stack_is_unreadable() -> None:
    """A stack's entry needs a size of its own."""
    node = parse(f'(pad "1" thru_hole rect (at 0 0) (size 2 2) (layers "*.Cu") {STACK})'.replace("(size 3 1)", ""), "f")
    with pytest.raises(UnreadableError, match="no size"):
        pad(node, (0.0, 0.0, 0.0), Defaults(), NAMES)
