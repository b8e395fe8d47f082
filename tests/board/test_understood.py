"""What the reader does not understand is told, loudest where it carries coordinates."""

from collections.abc import Callable
from pathlib import Path

import pytest

from board_texts import EDGE, board_text, part_text
from leeward.board.read import read
from leeward.board.records import Board
from leeward.board.understood import MOST_NOTES
from needs import kicad_demo, outside_board

Reader = Callable[[str], Board]

OUTSIDE = ("operacake-v4", "ulx3s", "nrfmicro", "luna-r0", "moteus-c1", "vivaldi", "bitaxe-gamma", "topaz")
DEMOS = ("video/video", "stickhub/StickHub", "pic_programmer/pic_programmer", "custom_pads_test/custom_pads_test")


def notes(read_text: Reader, body: str) -> tuple[str, ...]:
    """Return the notes on a board that holds this beside its edge."""
    return read_text(board_text(f"{EDGE}\n{body}")).notes


def test_each_unknown_word_once_and_those_with_coordinates_first(read_text: Reader) -> None:
    """Two unknown words make two notes, with count and line, the one that draws something before the other."""
    body = f"""{part_text("(mood good)")}
    {part_text('(blob (layer "F.Cu") (outline (at 1 2)))')}
    (mood better)"""
    assert notes(read_text, body) == (
        "(blob ...) carries coordinates that are not understood and left out (1, the first in what begins on line 6)",
        "(mood ...) is not understood and left out (2, the first in what begins on line 5)",
    )


def test_what_the_board_needs_not_is_passed_over(read_text: Reader) -> None:
    """Words of the format that say nothing of copper, parts or outlines are no news."""
    body = """(title_block (title "x") (anything (at 1 1))) (embedded_fonts no) (group "" (id a) (members b))
    (setup (pcbplotparams (something 1)) (tenting (front yes) (back yes))) (generated (origin (xy 1 1)))"""
    assert notes(read_text, body) == ()


def test_back_drilling_is_told(read_text: Reader) -> None:
    """What is understood but not modelled is told with what is done instead."""
    drilled = '(backdrill (size 0.8) (layers "B.Cu" "F.Cu"))'
    body = f'(via (at 1 1) (size 1) (drill 0.4) {drilled} (layers "F.Cu" "B.Cu") (net 0))'
    (note,) = notes(read_text, body)
    assert note.startswith("(backdrill ...) (1, the first in what begins on line 5): back-drilled from one side")


@pytest.mark.parametrize("head", ["dimension", "barcode", "table"])
def test_drawings_on_copper_are_told(read_text: Reader, head: str) -> None:
    """Dimensions, bar codes and tables would be copper where they lie on it, and are not drawn."""
    assert notes(read_text, f'({head} (layer "F.Cu"))') == (f"1 {head}(s) on copper layers are left out of the copper",)
    assert notes(read_text, f'({head} (layer "F.Fab"))') == ()
    assert len(notes(read_text, part_text(f'({head} (layer "F.Cu"))'))) == 1


def test_a_flood_of_unknown_words_is_summed_up(read_text: Reader) -> None:
    """A file of nothing but nonsense does not bury the other notes, nor does one endless word."""
    found = notes(read_text, " ".join(f"(w{i} 1)" for i in range(100)) + f"({'x' * 5000} 1)")
    assert len(found) == MOST_NOTES + 1
    assert found[-1] == f"{101 - MOST_NOTES} more kinds of entry are not understood and left out"
    assert len(notes(read_text, f"({'x' * 5000} 1)")[0]) < 200


@pytest.mark.outside_boards
@pytest.mark.parametrize("name", OUTSIDE)
def test_real_boards_hold_nothing_unknown(name: str) -> None:
    """Boards of versions 4 to 10 by others are understood word for word."""
    assert_understood(outside_board(f"{name}.kicad_pcb"))


@pytest.mark.parametrize("name", DEMOS)
def test_demo_boards_hold_nothing_unknown(name: str) -> None:
    """KiCad's own demo boards are understood word for word."""
    assert_understood(kicad_demo(f"{name}.kicad_pcb"))


def assert_understood(path: Path) -> None:
    """Fail where a note tells of a word that is not understood."""
    assert [note for note in read(str(path)).notes if "understood" in note] == []
