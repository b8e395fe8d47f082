"""What holds a land, and what it bears."""

import pytest
import shapely

from leeward.board.records import Track, Via
from leeward.review.pads import anchors, capability_n, peel_n_mm
from thermal_boards import board, land, pour, square

LAND = land("1", square(0, 0, 1.0), net="A")


def test_cold_foil_peels_at_its_data_sheet_strength() -> None:
    """Below the glass transition the peel strength is the laminate's own (1.4 N/mm), above it a quarter."""
    assert peel_n_mm(25.0, 0) == pytest.approx(1.4, rel=1e-3)
    assert peel_n_mm(250.0, 0) == pytest.approx(0.35, rel=0.02)


def test_earlier_heat_weakens() -> None:
    """Each of the first heat cycles takes strength, the fourth no more than the third."""
    strengths = [peel_n_mm(220.0, cycles) for cycles in range(5)]
    assert strengths[0] > strengths[1] > strengths[2] > strengths[3] == strengths[4]


def test_a_hot_square_land_gives_way_to_a_pry_first() -> None:
    """1 mm2 at 200 C on laminate of Tg 140: pry P w = 0.35 x 1 mm beats the even pull 3.43 x P / 1.4 = 0.87 N."""
    bare = anchors(board(square(0, 0, 20)), [LAND])[0]
    assert bare.words == ("nothing",)
    assert capability_n(LAND, bare, 200.0, 0) == pytest.approx(0.36, abs=0.01)


def test_traces_vias_and_pours_hold() -> None:
    """A trace that ends on the land, a via in it, a via of its net near it and a pour it touches are all found."""
    plain = board(
        square(0, 0, 20),
        tracks=(Track("F.Cu", "A", 0.3, ((0.2, 0), (5, 0))), Track("F.Cu", "B", 0.3, ((3, 3), (5, 3)))),
        vias=(Via(0, 0.2, 0.6, 0.3, ("F.Cu", "B.Cu"), "A"), Via(1.2, 0, 0.6, 0.3, ("F.Cu", "B.Cu"), "A")),
        zones=(pour("F.Cu", shapely.box(-3, -3, -0.4, 3), net="A"),),
    )
    held = anchors(plain, [LAND])[0]
    assert held.trace_widths_mm == (0.3,)
    assert (held.vias_in_land, held.vias_near) == (1, 1)
    assert "pour, by spokes" in held.words
    bare = anchors(board(square(0, 0, 20)), [LAND])[0]
    assert capability_n(LAND, held, 220.0, 0) > capability_n(LAND, bare, 220.0, 0) + 1.0
