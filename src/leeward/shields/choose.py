"""Choose the fewest pieces that serve everyone who can be served: a weighted set cover.

Solved exactly as an integer program (HiGHS through scipy), greedily where that gives up within its nodes. Pieces
that would stand in each other are not laid together.
"""

from collections.abc import Callable, Sequence

import numpy as np
from scipy.sparse import csr_array, eye_array, hstack

LEFT_OUT_COST = 50.0  # of a service that is not done: any piece is better
MOST_NODES = 20_000
CLASHES_AT_ONCE = 20  # rounds of finding pieces that stand in each other


def choose(
    serves: Sequence[frozenset[object]], costs: Sequence[float], clash: Callable[[int, int], bool]
) -> tuple[int, ...]:
    """Return the numbers of the sets to take, ascending: least cost, no two that clash, all served that can be."""
    if not serves:
        return ()
    clashes: set[tuple[int, int]] = set()
    for _ in range(CLASHES_AT_ONCE):
        taken = _solve(serves, costs, sorted(clashes))
        met = {(a, b) for i, a in enumerate(taken) for b in taken[i + 1 :] if clash(a, b)}
        if not met:
            return taken
        clashes |= met
    return _apart(taken, clash)


def _solve(
    serves: Sequence[frozenset[object]], costs: Sequence[float], clashes: list[tuple[int, int]]
) -> tuple[int, ...]:
    from scipy.optimize import Bounds, LinearConstraint, milp  # noqa: PLC0415  # slow to import, few plans need it

    services = sorted({service for one in serves for service in one}, key=repr)
    row = {service: i for i, service in enumerate(services)}
    rows = [row[service] for one in serves for service in one]
    columns = [i for i, one in enumerate(serves) for _ in one]
    member = csr_array((np.ones(len(rows)), (rows, columns)), shape=(len(services), len(serves)))
    # One slack a service: it may be left out, at a price.
    constraints = [LinearConstraint(hstack([member, eye_array(len(services))]), lb=1.0)]
    if clashes:
        pairs = np.array(clashes)
        count = len(pairs)
        ones, at = np.ones(2 * count), np.repeat(np.arange(count), 2)
        shape = (count, len(serves) + len(services))
        constraints.append(LinearConstraint(csr_array((ones, (at, pairs.ravel())), shape=shape), ub=1.0))
    price = np.concatenate([np.asarray(costs, dtype=float), np.full(len(services), LEFT_OUT_COST)])
    found = milp(
        price,
        constraints=constraints,
        bounds=Bounds(0, 1),
        integrality=np.ones(price.size, dtype=np.int64),
        options={"node_limit": MOST_NODES},
    )
    if found.status != 0 or found.x is None:
        return greedy(serves, costs, clashes)
    return tuple(int(i) for i in np.flatnonzero(found.x[: len(serves)] > 0.5))


def greedy(
    serves: Sequence[frozenset[object]], costs: Sequence[float], clashes: Sequence[tuple[int, int]] = ()
) -> tuple[int, ...]:
    """Return a cover by taking again and again what serves most for its cost."""
    barred = {pair for a, b in clashes for pair in ((a, b), (b, a))}
    left = {service for one in serves for service in one}
    taken: list[int] = []
    while left:
        free = [i for i in range(len(serves)) if not any((i, other) in barred for other in taken)]
        worth = {i: len(serves[i] & left) / costs[i] for i in free if serves[i] & left}
        if not worth:
            break
        best = max(worth, key=lambda i: (worth[i], -i))
        taken.append(best)
        left -= serves[best]
    return tuple(sorted(taken))


def _apart(taken: tuple[int, ...], clash: Callable[[int, int], bool]) -> tuple[int, ...]:
    kept: list[int] = []
    for one in taken:
        if not any(clash(one, other) for other in kept):
            kept.append(one)
    return tuple(kept)
