"""The choice of the fewest pieces."""

import random
from itertools import combinations

import pytest

from leeward.shields.choose import choose, greedy


def never(_a: int, _b: int) -> bool:
    """Return that nothing clashes."""
    return False


def fewest(serves: list[frozenset[object]]) -> int:
    """Return the least number of sets that serve all that can be served, by trying every choice."""
    wanted = frozenset[object]().union(*serves)
    for count in range(len(serves) + 1):
        if any(frozenset[object]().union(*some) == wanted for some in combinations(serves, count)):
            return count
    raise AssertionError("all sets together serve everything")


@pytest.mark.parametrize("seed", range(40))
def test_no_choice_has_fewer_pieces(seed: int) -> None:
    """Over 40 seeded systems of 12 sets on 8 services, the number taken is the least there is, and all are served."""
    chance = random.Random(seed)  # noqa: S311  # seeded cases, no secret
    serves = [frozenset[object](chance.sample(range(8), chance.randint(1, 4))) for _ in range(12)]
    taken = choose(serves, [1.0] * len(serves), never)
    assert frozenset[object]().union(*(serves[i] for i in taken)) == frozenset[object]().union(*serves)
    assert len(taken) == fewest(serves)


def test_cheaper_pieces_are_preferred() -> None:
    """Two cheap sets beat one that costs more than both."""
    serves = [frozenset[object]({1, 2}), frozenset[object]({1}), frozenset[object]({2})]
    assert choose(serves, [2.5, 1.0, 1.0], never) == (1, 2)


def test_pieces_that_clash_are_not_laid_together() -> None:
    """Where the two that serve all stand in each other, another way is taken, though it takes three."""
    serves = [frozenset[object](one) for one in ({1, 2}, {3, 4}, {3}, {4})]
    taken = choose(serves, [1.0] * 4, lambda a, b: {a, b} == {0, 1})
    assert taken == (0, 2, 3)


def test_what_cannot_be_had_together_is_left_out() -> None:
    """Of two sets that clash and serve different things one is taken."""
    taken = choose([frozenset[object]({1}), frozenset[object]({2})], [1.0, 1.1], lambda _a, _b: True)
    assert taken == (0,)


def test_nothing_is_chosen_of_nothing() -> None:
    """Without sets there is no choice."""
    assert choose([], [], never) == ()


def test_the_greedy_choice_serves_all_and_keeps_clashes() -> None:
    """What stands in when the exact search gives up still serves everything that can be, without a clash."""
    serves = [frozenset[object](one) for one in ({1, 2, 3}, {1, 2}, {3, 4}, {4})]
    assert greedy(serves, [1.0] * 4) in ((0, 2), (0, 3))
    assert greedy(serves, [1.0] * 4, [(0, 2), (0, 3)]) == (0,)


def test_the_greedy_choice_counts_only_what_is_not_served_yet() -> None:
    """After a set of four another that repeats three of them is worth less than one that serves both that are left."""
    serves = [frozenset[object](one) for one in ({1, 2, 3, 4}, {1, 2, 3, 5}, {5, 6})]
    assert greedy(serves, [1.0] * 3) == (0, 2)
