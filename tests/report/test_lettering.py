"""The room that words take."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st
from reportlab.pdfbase.pdfmetrics import stringWidth

from leeward.report.drawing import Line, Words
from leeward.report.lettering import CAPITAL, Room, box_of, boxes_along, spread, width_mm


def test_width_is_that_of_the_pdf_font() -> None:
    """A word whose capitals are 7.16 mm high is set in 10 mm letters, and is as long as those are in the PDF."""
    assert width_mm("R10", 10 * CAPITAL) == pytest.approx(stringWidth("R10", "Helvetica", 10))
    assert width_mm("lift", 1.0, bold=True) > width_mm("lift", 1.0)


@pytest.mark.parametrize(("anchor", "left"), [("start", 5.0), ("middle", 5.0 - 0.5), ("end", 5.0 - 1.0)])
def test_the_box_of_level_words_hangs_on_their_anchor(anchor: str, left: float) -> None:
    """The box starts at, half before or wholly before the place, and its capitals stand on the base line."""
    words = Words("R1", (5.0, 7.0), 2.0, "ref", anchor)  # type: ignore[arg-type]  # one of the three
    x0, y0, x1, y1 = box_of(words)
    assert (x0 - 5.0) == pytest.approx((left - 5.0) * width_mm("R1", 2.0))
    assert x1 - x0 == pytest.approx(width_mm("R1", 2.0))
    assert y0 == 5.0
    assert y1 > 7.0


def test_upright_words_read_upwards() -> None:
    """Words turned by 90 degrees rise from their start: y runs down, so the box lies at smaller y."""
    x0, y0, x1, y1 = box_of(Words("R1", (5.0, 7.0), 2.0, "ref", "start", angle_deg=90.0))
    assert (x0, y1) == (3.0, 7.0)
    assert y1 - y0 == pytest.approx(width_mm("R1", 2.0))
    assert x1 > 5.0


def test_a_room_knows_what_is_taken() -> None:
    """A box is free until one that overlaps it is taken; touching is no overlap."""
    room = Room()
    assert room.free((0, 0, 1, 1))
    room.take((0, 0, 1, 1))
    assert not room.free((0.5, 0.5, 2, 2))
    assert room.free((1, 0, 2, 1))
    room.take((1, 0, 2, 1))
    assert not room.free((1.5, 0.5, 3, 3))


def test_boxes_along_a_line_cover_it_closely() -> None:
    """The boxes of a slanted line are small and follow each other from end to end."""
    boxes = list(boxes_along(Line(((0.0, 0.0), (3.0, 4.0)), "leader"), 1.0))
    assert len(boxes) == 5
    assert boxes[0][:2] == (0.0, 0.0)
    assert boxes[-1][2:] == (3.0, 4.0)
    assert all(a[2:] == pytest.approx(b[:2]) for a, b in pairwise(boxes))


@given(st.lists(st.floats(0, 100), max_size=15), st.floats(1, 6))
def test_places_are_spread_within_limits(wanted: list[float], pitch: float) -> None:
    """Places rise by the pitch at least, stay within limits, and stay put where nothing collides."""
    wanted = sorted(wanted)
    places = spread(wanted, pitch, 0.0, 100.0)
    assert len(places) == len(wanted)
    assert all(b - a > pitch - 1e-6 for a, b in pairwise(places))
    assert all(-1e-6 <= place <= 100 + 1e-6 for place in places)
    if all(b - a >= pitch for a, b in pairwise(wanted)):
        assert places == pytest.approx(wanted)


def test_a_pair_that_collides_moves_apart_evenly() -> None:
    """Two that want one place stand half a pitch on either side of it: the least squares answer."""
    assert spread([50.0, 50.0], 4.0, 0.0, 100.0) == [48.0, 52.0]


def test_too_many_share_what_there_is() -> None:
    """Where the pitch has no room the places are evenly apart."""
    assert spread([1.0, 1.0, 1.0], 9.0, 0.0, 10.0) == pytest.approx([0.0, 5.0, 10.0])
