"""Callouts beside a view."""

from itertools import combinations, pairwise

import pytest
import shapely
from hypothesis import given
from hypothesis import strategies as st

from leeward.report.callouts import PITCH_MM, Callout, Placed, drawn, leader, place, rows_needed
from leeward.report.drawing import Area, Line, Words

VIEW = (0.0, 0.0, 100.0, 80.0)
PLACES = st.tuples(st.floats(1, 99), st.floats(1, 79))


def callout(number: int, x: float, y: float) -> Callout:
    """Return a callout that leads to a place."""
    return Callout(number, "high", f"R{number}  high", "body 200 of 240 C", (x, y), f"call-{number}")


def placed(*places: tuple[float, float]) -> list[Placed]:
    """Return callouts of places beside the view, in true size."""
    return place([callout(i, *at) for i, at in enumerate(places, 1)], VIEW, 1.0)


def test_each_stands_on_the_side_that_it_is_nearer_to() -> None:
    """One left and one right of the middle go left and right, level with what they lead to."""
    left, right = placed((20.0, 30.0), (70.0, 50.0))
    assert (left.callout.number, left.way, left.mark[1]) == (1, -1, 30.0)
    assert (right.callout.number, right.way, right.mark[1]) == (2, 1, 50.0)
    assert left.mark[0] < VIEW[0] < VIEW[2] < right.mark[0]


def test_a_crowd_on_one_side_is_shared() -> None:
    """Six that all lie to the right fill both columns evenly, the three nearest to the left on the left."""
    found = placed(*((60.0 + i, 10.0 * i + 5) for i in range(6)))
    assert sorted(entry.callout.number for entry in found if entry.way < 0) == [1, 2, 3]
    assert rows_needed(6) == 3


@given(st.lists(PLACES, max_size=20, unique=True))
def test_leaders_of_a_column_never_cross_and_marks_keep_their_pitch(places: list[tuple[float, float]]) -> None:
    """Whatever is called out, each once: marks of a column are a pitch apart, within the view, leaders uncrossed."""
    found = placed(*places)
    assert sorted(entry.callout.number for entry in found) == list(range(1, len(places) + 1))
    for way in (-1, 1):
        column = [entry for entry in found if entry.way == way]
        heights = sorted(entry.mark[1] for entry in column)
        assert all(b - a > PITCH_MM - 1e-6 for a, b in pairwise(heights))
        assert all(0 < height < 80 for height in heights)
        for one, other in combinations(column, 2):
            ends = [(one.mark, one.callout.at), (other.mark, other.callout.at)]
            shared = shapely.LineString(ends[0]).intersection(shapely.LineString(ends[1])).length
            assert shared > 0 or not shapely.LineString(ends[0]).crosses(shapely.LineString(ends[1]))


@pytest.mark.parametrize("x", [20.0, 70.0])
def test_all_of_a_callout_is_under_its_key(x: float) -> None:
    """Leader, end, mark, number and both lines of words carry the key; the words run away from the view."""
    (entry,) = placed((x, 30.0))
    items = drawn(entry, 1.0)
    assert {item.key for item in items} == {"call-1"}
    assert [type(item) for item in items] == [Line, Area, Area, Words, Words, Words]
    words = [item for item in items if isinstance(item, Words)]
    assert [item.text for item in words] == ["1", "R1  high", "body 200 of 240 C"]
    assert words[1].anchor == ("end" if x < 50 else "start")
    assert leader(entry, 1.0).points[1] == (x, 30.0)
