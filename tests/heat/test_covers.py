"""Covers, fences and wet gel on the faces of a model."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from leeward.heat.covers import (
    Contact,
    Cover,
    Fence,
    WetSink,
    covered,
    film_m2k_w,
    gap_m2k_w,
    leaky_fence,
    lies_under,
    sheltered,
    through_w_m2k,
    wet_gel,
)
from leeward.heat.records import FaceKind, Faces
from thermal_boards import square


def row(count: int = 5) -> Faces:
    """Return faces of the top at x 0, 1, 2 ... mm, 1 mm2 each."""
    x = np.arange(float(count))
    return Faces(
        node=np.arange(count),
        area_m2=np.full(count, 1e-6),
        x_mm=x,
        y_mm=np.zeros(count),
        on_top=np.ones(count, dtype=bool),
        kind=np.full(count, FaceKind.BOARD, dtype=np.int8),
        of_target=np.zeros(count, dtype=bool),
    )


H, DECAY = np.full(5, 200.0), np.full(5, 0.6)


def test_a_cover_acts_under_itself_alone() -> None:
    """Of five faces the two under the cover exchange through its resistance; the air's temperature is left to all."""
    h, decay = sheltered(H, DECAY, row(), (Cover("top", shapely.box(0.5, -1, 2.5, 1), 0.005),))
    assert h == pytest.approx([200, 100, 100, 200, 200])
    assert decay == pytest.approx(DECAY)


def test_covers_that_overlap_add_up() -> None:
    """Two covers on one face resist as their sum."""
    both = (Cover("top", square(0, 0, 1), 0.002), Cover("top", square(0, 0, 1), 0.003))
    h, _ = sheltered(H, DECAY, row(), both)
    assert h[0] == pytest.approx(float(through_w_m2k(200.0, 0.005)))


def test_a_cover_on_the_other_side_does_nothing_here() -> None:
    """Tape below leaves the air above alone."""
    h, _ = sheltered(H, DECAY, row(), (Cover("bottom", square(0, 0, 20), 0.01),))
    assert h == pytest.approx(H)


def test_the_target_is_never_covered() -> None:
    """A cover that is drawn over the target's own faces does not reach them."""
    faces = replace(row(), of_target=np.array([True, False, False, False, False]))
    assert lies_under(faces, "top", square(0, 0, 20)).tolist() == [False, True, True, True, True]


def test_behind_a_fence_the_air_is_slower_and_cooler() -> None:
    """In the lee h is no more than the fence's, but never raised, and the excess is a share of what it was."""
    h = np.array([200.0, 200.0, 30.0, 30.0, 200.0])
    found, decay = sheltered(h, DECAY, row(), (Fence("top", shapely.box(0.5, -1, 2.5, 1), 40.0, 0.5),))
    assert found == pytest.approx([200, 40, 30, 30, 200])
    assert decay == pytest.approx([0.6, 0.3, 0.3, 0.6, 0.6])


def test_a_fence_comes_before_the_covers_behind_it() -> None:
    """What a cover lets through is of the air that the fence leaves, in whatever order they are named."""
    fence, cover = Fence("top", square(0, 0, 1), 40.0, 0.5), Cover("top", square(0, 0, 1), 0.025)
    one, other = sheltered(H, DECAY, row(), (fence, cover)), sheltered(H, DECAY, row(), (cover, fence))
    assert one[0][0] == pytest.approx(20.0)
    assert one[0] == pytest.approx(other[0])


def test_gel_keeps_the_air_off_and_holds_at_boiling() -> None:
    """Under gel there is no air; the face exchanges with water at 100 C and sees no room."""
    gel = WetSink("top", square(0, 0, 1), 600.0, 100.0)
    h, _ = sheltered(H, DECAY, row(), (gel,))
    contact = covered(Contact(np.zeros(5), 25.0, np.ones(5)), row(), (gel,))
    assert h[:2] == pytest.approx([0, 200])
    assert contact.w_m2k[:2] == pytest.approx([600, 0])
    assert np.broadcast_to(contact.celsius, 5)[:2] == pytest.approx([100, 25])
    assert contact.room[:2] == pytest.approx([0, 1])


def test_a_cover_keeps_heat_in_too() -> None:
    """What a covered face loses to the room or takes from a heater passes the cover: 1 / (1 + 18 R), 1 / (1/h + R)."""
    blanket = Cover("top", square(0, 0, 1), 0.05)
    contact = covered(Contact(np.full(5, 40.0), 150.0, np.ones(5)), row(), (blanket,))
    assert contact.room[:2] == pytest.approx([1 / 1.9, 1.0])
    assert contact.w_m2k[:2] == pytest.approx([1 / (1 / 40 + 0.05), 40.0])
    assert contact.celsius == 150.0


def test_resistances_are_the_laws() -> None:
    """Layers add; a wider gap resists more; the house's fence and gel are those of the data file."""
    assert film_m2k_w(0.1, 0.2, 2) == pytest.approx(0.001)
    assert gap_m2k_w(1.0) > gap_m2k_w(0.5) > gap_m2k_w(0.2)
    fence, gel = leaky_fence("top", square(0, 0, 1)), wet_gel("bottom", square(0, 0, 1))
    assert (fence.h_w_m2k, fence.excess_share) == (40.0, 0.5)
    assert (gel.side, gel.boils_c) == ("bottom", 100.0)
