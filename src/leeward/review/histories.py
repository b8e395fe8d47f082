"""The temperatures over time that a review shows: the target's, the board's behind it, the worst neighbours'."""

from collections.abc import Sequence

from leeward.heat.records import Series
from leeward.review.records import Case, Neighbour

NEIGHBOURS = 3


def histories(case: Case, neighbours: Sequence[Neighbour]) -> tuple[Series, ...]:
    """Return the histories of the job as it is worked; of `neighbours`, worst first, the first few with a body."""
    order = list(case.heat.bodies)
    worst = [entry.part.id for entry in neighbours if entry.part.id in case.heat.bodies][:NEIGHBOURS]
    return (*case.heat.series, *(Series("body", one, case.heat.body_c[:, order.index(one)]) for one in worst))
