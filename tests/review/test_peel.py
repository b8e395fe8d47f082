"""What foil and lands bear, hot and cold.

The figures of the 1 mm2 land are worked by the same formulas as the program's: they guard against slips, they are
no reference.
"""

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from leeward.board.records import Via
from leeward.review.anchors import Anchors, Trace
from leeward.review.peel import Foil, anchored_n, capability_n, least_width_mm, peel_n_mm, pry_n, pull_n
from thermal_boards import square

LENGTHS = st.floats(0.1, 5.0)
VIA = Via(0, 0, 0.6, 0.3, ("F.Cu", "B.Cu"), "A")


def test_cold_foil_peels_at_its_data_sheet_strength() -> None:
    """Below the glass transition the peel strength is the laminate's own (1.4 N/mm), above it a quarter."""
    assert peel_n_mm(Foil(25.0, 140.0)) == pytest.approx(1.4, rel=1e-3)
    assert peel_n_mm(Foil(250.0, 140.0)) == pytest.approx(0.35, rel=0.02)


def test_a_land_of_one_square_millimetre() -> None:
    """At 200 C on laminate of Tg 150 C it bears a pry of 0.37 N and an even pull of about 0.9 N."""
    peel = peel_n_mm(Foil(200.0, 150.0))
    assert pry_n(square(0, 0, 1.0), peel) == pytest.approx(0.37, rel=0.02)
    assert pull_n(square(0, 0, 1.0), peel) == pytest.approx(0.9, rel=0.02)


def test_a_narrow_land_at_the_low_end() -> None:
    """At the low end of hot foil, 0.2 N/mm, a land 0.3 mm wide holds 0.06 to 0.1 N."""
    peel = peel_n_mm(Foil(230.0, 140.0), hot_share=0.15)
    assert peel == pytest.approx(0.2, rel=0.1)
    assert 0.06 <= pry_n(shapely.box(0, 0, 0.3, 1.5), peel) <= 0.1


def test_earlier_rework_weakens() -> None:
    """Each of the first three reworks takes strength, the fourth no more than the third."""
    strengths = [peel_n_mm(Foil(220.0, 140.0, cycles)) for cycles in range(5)]
    assert strengths[0] > strengths[1] > strengths[2] > strengths[3] == strengths[4]


def test_long_heat_halves() -> None:
    """Foil held far over the glass transition for long bears half."""
    assert peel_n_mm(Foil(220.0, 140.0, spoiled=True)) == pytest.approx(peel_n_mm(Foil(220.0, 140.0)) / 2)


def test_anchors_add_what_they_are_worth() -> None:
    """Traces add peel times width, pours a quarter of it, barrels 150 N/mm2, a via near the land nothing."""
    held = Anchors((Trace(0.3, 0.0), Trace(0.2, 90.0)), vias_near=(VIA,), pour_contacts_mm=(0.4, 0.4), barrel_mm2=0.02)
    assert anchored_n(held, 0.4) == pytest.approx(0.4 * (0.5 + 0.2) + 150 * 0.02)
    assert anchored_n(Anchors(vias_near=(VIA,)), 0.4) == 0.0


def test_the_weaker_way_counts() -> None:
    """A square land gives way to a pry, a short wide one to an even pull; anchors come on top of the lesser."""
    held = Anchors((Trace(0.3, 0.0),))
    assert capability_n(square(0, 0, 1.0), held, 0.35) == pytest.approx(0.35 + 0.105)
    assert capability_n(shapely.box(0, 0, 3.0, 0.2), Anchors(), 0.35) == pytest.approx(0.35 * 0.2)
    assert capability_n(square(0, 0, 0.2), Anchors(), 0.35) == pytest.approx(3.43 * 0.04 * 0.35 / 1.4)


@settings(deadline=None)
@given(LENGTHS, LENGTHS, st.floats(0.0, 180.0))
def test_the_least_width_of_a_turned_land_is_its_narrow_side(width: float, length: float, turn: float) -> None:
    """However a rectangle lies, its least width is its shorter side."""
    turned = shapely.affinity.rotate(shapely.box(0, 0, width, length), turn)
    assert least_width_mm(turned) == pytest.approx(min(width, length), rel=1e-6)


@settings(deadline=None)
@given(LENGTHS, LENGTHS, LENGTHS, LENGTHS)
def test_a_land_that_holds_another_is_no_narrower(x: float, y: float, more_x: float, more_y: float) -> None:
    """Least width never falls as a shape grows, be it by a corner alone."""
    small = shapely.box(0, 0, x, y)
    grown = shapely.union_all([small, shapely.Polygon([(0, 0), (x + more_x, 0), (0, y + more_y)])])
    assert least_width_mm(grown) >= least_width_mm(small) - 1e-9
