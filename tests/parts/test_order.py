"""The natural order of references."""

from hypothesis import given
from hypothesis import strategies as st

from leeward.parts.order import natural_key


def test_numbers_sort_by_value() -> None:
    """R2 comes before R10, and letters before that decide first."""
    assert sorted(["R10", "R2", "C100", "C20", "R1A"], key=natural_key) == ["C20", "C100", "R1A", "R2", "R10"]


def test_digits_and_letters_can_stand_in_one_place() -> None:
    """A reference that begins with a digit sorts against one that begins with a letter."""
    assert sorted(["A1", "1A", ""], key=natural_key) == ["", "1A", "A1"]


@given(st.lists(st.text(max_size=8), max_size=8))
def test_any_text_can_be_sorted(refs: list[str]) -> None:
    """No text breaks the key, and of any two keys exactly one is less, or they are equal."""
    keys = [natural_key(ref) for ref in refs]
    for one in keys:
        for other in keys:
            assert (one < other) + (other < one) + (one == other) == 1
