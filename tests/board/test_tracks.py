"""Tracks as the newest grammar writes them, and angles as KiCad tells them."""

from collections.abc import Callable

from board_texts import EDGE, board_text, part_text
from leeward.board.records import Board

Reader = Callable[[str], Board]


def test_a_track_that_opens_the_mask_lies_on_its_copper(read_text: Reader) -> None:
    """From KiCad 9 on a track may name its copper layer and the mask that it opens."""
    body = '(segment (start 1 1) (end 5 1) (width 0.2) (layers "B.Cu" "B.Mask") (net 0))'
    assert [track.layer for track in read_text(board_text(EDGE + body)).tracks] == ["B.Cu"]


def test_turns_are_told_as_kicad_tells_them(read_text: Reader) -> None:
    """A part's angle lies above -180 and up to 180 degrees, however often the file turns it."""
    for written, told in (("0", 0), ("180", 180), ("-180", 180), ("270", -90), ("-90", -90), ("450", 90)):
        board = read_text(board_text(EDGE + part_text(at=f"5 5 {written}")))
        assert board.footprints[0].rotation_deg == told
