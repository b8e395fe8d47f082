"""Text on copper layers: copper where the file holds its outlines, told where it does not."""

from collections.abc import Callable

import pytest

from board_texts import EDGE, board_text, part_text
from leeward.board.records import Board

Reader = Callable[[str], Board]

# A letter like an O: 4 by 6 mm with a hole of 2 by 4 mm.
LETTER = """(render_cache "O" 0
    (polygon (pts (xy 5 5) (xy 9 5) (xy 9 11) (xy 5 11)) (pts (xy 6 6) (xy 8 6) (xy 8 10) (xy 6 10))))"""
FONT = '(effects (font (face "Made Up") (size 6 6) (thickness 0.3)))'
LEFT_OUT = ("1 text(s) on copper layers are left out of the copper",)


def board_of(read_text: Reader, body: str) -> Board:
    """Return a board that holds this beside its edge."""
    return read_text(board_text(f"{EDGE}\n{body}", version=20221018))


def test_letters_with_outlines_are_copper(read_text: Reader) -> None:
    """The outlines of letters are copper on the text's layer, holes left open, and nothing needs telling."""
    board = board_of(read_text, f'(gr_text "O" (at 7 8) (layer "B.Cu") {FONT} {LETTER})')
    (art,) = board.artwork
    assert (art.layer, art.copper.area) == ("B.Cu", pytest.approx(4 * 6 - 2 * 4))
    assert board.notes == ()


def test_a_parts_letters_lie_where_the_board_says(read_text: Reader) -> None:
    """Outlines are given in the board frame, also those of a part that stands elsewhere and turned."""
    text = f'(fp_text user "O" (at 0 0) (layer "F.Cu") {FONT} {LETTER})'
    (art,) = board_of(read_text, part_text(text, at="20 10 90")).artwork
    assert art.copper.bounds == pytest.approx((5, 5, 9, 11))


@pytest.mark.parametrize("angle", ["0", "90"])
@pytest.mark.parametrize(
    "text",
    ['(gr_text "O" (at 7 8) (layer "F.Cu" knockout) {})', '(gr_text_box "O" (layer "F.Cu") (knockout yes) {})'],
)
def test_a_knocked_out_text_is_a_box_less_its_letters(read_text: Reader, text: str, angle: str) -> None:
    """The box goes a quarter of the letters' height beyond them on all sides."""
    letter = LETTER.replace('"O" 0', f'"O" {angle}')
    (art,) = board_of(read_text, text.format(FONT + letter)).artwork
    assert art.copper.area == pytest.approx((4 + 3) * (6 + 3) - 16)
    assert art.copper.bounds == pytest.approx((3.5, 3.5, 10.5, 12.5))


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ('(gr_text "x" (at 1 1) (layer "F.Cu"))', LEFT_OUT),
        ('(gr_text "x" (at 1 1) (layer "F.SilkS"))', ()),
        (part_text('(property "Reference" "U1" (at 0 0) (layer "F.Cu"))'), LEFT_OUT),
        (part_text('(property "Reference" "U1" (at 0 0) (layer "F.Cu") (hide yes))'), ()),
        (part_text('(fp_text user "x" (at 0 0) (layer "F.Cu") hide)'), ()),
    ],
)
def test_text_without_outlines_is_told_where_it_can_be_seen(
    read_text: Reader, text: str, told: tuple[str, ...]
) -> None:
    """Visible text in KiCad's stroke font is left out and counted; hidden text is no copper."""
    board = board_of(read_text, text)
    assert board.artwork == ()
    assert board.notes == told
