"""Several boards in one file, gaps that are closed, and several courtyards of one part."""

from collections.abc import Callable

import pytest

from board_texts import EDGE, board_text, part_text
from leeward.board.records import Board

Reader = Callable[[str], Board]

SECOND = '(gr_rect (start 40 0) (end 50 20) (layer "Edge.Cuts") (width 0.1))'
HOLE = '(gr_circle (center 5 5) (end 6 5) (layer "Edge.Cuts") (width 0.1))'
LAND = '(pad "1" smd rect (at {x} 0) (size 1 1) (layers "F.Cu"))'


def test_boards_side_by_side_are_told_apart(read_text: Reader) -> None:
    """Each part knows its board, from the left, by where its lands lie rather than its origin."""
    parts = [
        part_text(LAND.format(x=0), at="45 5", ref="R1"),
        part_text(LAND.format(x=0), at="5 5", ref="R1"),
        part_text(LAND.format(x=12), at="31 5", ref="J1"),
        part_text(LAND.format(x=0), at="31 5", ref="J2"),
    ]
    board = read_text(board_text("\n".join([SECOND, EDGE, HOLE, *parts])))
    assert board.outline.area == pytest.approx(30 * 20 + 10 * 20 - 3.14, abs=0.01)
    assert [(part.ref, part.board_index) for part in board.footprints] == [("R1", 1), ("R1", 0), ("J1", 1), ("J2", 0)]
    assert board.notes == ("2 boards in one file",)


def test_a_part_between_two_boards_is_the_first_ones(read_text: Reader) -> None:
    """A part as near to one board as to another is counted with the first, one without lands goes by its own place."""
    parts = [
        part_text(LAND.format(x=0), at="35 5", ref="J1"),
        part_text(LAND.format(x=0), at="35.001 5", ref="J2"),
        part_text("", at="39 5", ref="H1"),
    ]
    board = read_text(board_text("\n".join([SECOND, EDGE, *parts])))
    assert [(part.ref, part.board_index) for part in board.footprints] == [("J1", 0), ("J2", 1), ("H1", 1)]


def test_a_board_with_cutouts_is_one_board(read_text: Reader) -> None:
    """Holes do not make a panel."""
    board = read_text(board_text(EDGE + HOLE + part_text()))
    assert board.notes == ()
    assert board.footprints[0].board_index == 0


def frame(gap: float, layer: str, prefix: str) -> str:
    """Return four lines round 10 by 10 mm that miss each other by a gap at one corner."""
    ends = [
        f"(start {gap} 0) (end 10 0)",
        "(start 10 0) (end 10 10)",
        "(start 10 10) (end 0 10)",
        "(start 0 10) (end 0 0)",
    ]
    return "".join(f'({prefix}_line {end} (layer "{layer}") (width 0.05))' for end in ends)


@pytest.mark.parametrize(("gap", "told"), [(0.0, ()), (0.0005, ()), (0.015, ("0.015",))])
def test_closed_gaps_are_told(read_text: Reader, gap: float, told: tuple[str, ...]) -> None:
    """An outline or courtyard whose lines miss each other by more than rounding is closed, and a note says so."""
    edge = read_text(board_text(frame(gap, "Edge.Cuts", "gr")))
    assert edge.outline.area == pytest.approx(100, abs=0.1)
    assert edge.notes == tuple(f"gaps of up to {t} mm between lines on Edge.Cuts were closed" for t in told)
    yard = read_text(board_text(EDGE + part_text(frame(gap, "F.CrtYd", "fp"))))
    assert yard.footprints[0].courtyard is not None
    assert yard.notes == tuple(f"gaps of up to {t} mm in the courtyard lines of R1 were closed" for t in told)


def test_a_part_may_have_several_courtyards(read_text: Reader) -> None:
    """Courtyards side by side are all kept, as one area of two pieces."""
    rects = [f'(fp_rect (start {x} 0) (end {x + 2} 3) (layer "F.CrtYd") (width 0.05))' for x in (0, 5)]
    (part,) = read_text(board_text(EDGE + part_text("".join(rects)))).footprints
    assert part.courtyard is not None
    assert (part.courtyard.geom_type, part.courtyard.area) == ("MultiPolygon", pytest.approx(12))
