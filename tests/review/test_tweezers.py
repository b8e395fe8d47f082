"""How tweezers get at a part."""

from math import atan2, degrees

import pytest

from leeward.parts.records import Part
from leeward.review.tweezers import tweezers
from thermal_boards import chip, footprint, land, part, parts, square


def block(ref: str, x_mm: float, y_mm: float, height_mm: float, *, bottom: bool = False) -> Part:
    """Return a part of 2 by 2 mm and a height."""
    body = square(x_mm, y_mm, 2.0)
    return part(footprint(ref, (land("1", square(x_mm, y_mm, 1.0)),), body, bottom=bottom), body, height_mm=height_mm)


TARGET = block("U1", 0, 0, 1.0)


def test_in_the_open_nothing_stands_in_the_way() -> None:
    """Alone on the board, jaws may come in flat; a part that is lower than the grip does not count."""
    for found in (tweezers(TARGET, parts(TARGET)), tweezers(TARGET, parts(TARGET, block("U2", 4, 0, 0.4)))):
        assert found is not None
        assert (found.access_deg, found.past) == (0.0, ())


def test_the_flatter_pair_of_sides_is_taken() -> None:
    """With a tall part to the east the jaws come from north and south; with one there, over the lower."""
    east = block("U2", 4, 0, 5.0)
    found = tweezers(TARGET, parts(TARGET, east))
    assert found is not None
    assert (found.across, found.direction_deg, found.access_deg) == ("y", 90.0, 0.0)
    both = tweezers(TARGET, parts(TARGET, east, block("U3", 0, -4, 2.5)))
    assert both is not None
    assert (both.across, both.past) == ("y", ("U3",))
    assert both.access_deg == pytest.approx(degrees(atan2(2.5 - 0.5, 2.0)))


def test_a_tall_part_beside_each_pair_leaves_no_room() -> None:
    """Where taller parts stand nearer than a jaw is thick on both pairs of sides there is no way in."""
    assert tweezers(TARGET, parts(TARGET, block("U2", 2.3, 0, 3.0), block("U3", 0, 2.3, 3.0))) is None


def test_a_low_part_close_by_is_gripped_over() -> None:
    """A part lower than the target, however near, leaves room over it."""
    low = block("U2", 2.3, 0, 0.7), block("U3", 0, 2.3, 0.9)
    found = tweezers(TARGET, parts(TARGET, *low))
    assert found is not None
    assert found.access_deg == pytest.approx(degrees(atan2(0.2, 0.3)))


def test_a_footprint_drawn_round_the_target_is_no_obstacle() -> None:
    """A module's outline that holds the target does not stand beside it."""
    frame = part(
        footprint("A1", (land("1", square(9, 9, 1.0)),), square(0, 0, 20.0)), square(0, 0, 20.0), height_mm=4.0
    )
    found = tweezers(TARGET, parts(TARGET, frame))
    assert found is not None
    assert found.access_deg == 0.0


def test_parts_out_of_the_corridor_or_below_do_not_count() -> None:
    """A tall part beside the jaws' way, or on the other side of the board, is passed over."""
    beside, below = block("U2", 4, 4, 9.0), block("U3", 4, 0, 9.0, bottom=True)
    found = tweezers(TARGET, parts(TARGET, beside, below))
    assert found is not None
    assert found.access_deg == 0.0


def test_a_turned_part_is_gripped_along_its_own_axes() -> None:
    """A chip's lands and body are turned with it: the direction is that of its own axis on the board."""
    lone = chip("R1", 0, 0)
    found = tweezers(lone, parts(lone))
    assert found is not None
    assert (found.across, found.direction_deg) == ("x", 0.0)
