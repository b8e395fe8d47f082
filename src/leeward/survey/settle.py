"""The case of one target on the survey's coarse model: the same fit, recipe and laws as a review, fewer cells."""

from leeward.bench.fit import Fixed, fits
from leeward.constants import number
from leeward.heat.grid import Resolution
from leeward.heat.loads import Loads
from leeward.heat.model import assemble
from leeward.heat.recipe import Held, starting_recipe
from leeward.heat.solve import solve
from leeward.job import WARM_ZONE_C, _widest_bore
from leeward.parts.records import Part
from leeward.review.records import Case
from leeward.survey.ground import Ground, near


def coarse_resolution() -> Resolution:
    """Return the cells of a survey, from the data file."""
    return Resolution(*(number("heat", "survey", key) for key in ("finest_mm", "coarsest_mm", "growth", "reach_mm")))


def settle_coarsely(shared: Ground, target: Part) -> Case:
    """Return the solved case of a target. Raises UsageError and NothingAssessed as `job.settle` does."""
    bench, alloy, resolution = shared.bench, shared.parts.alloy, coarse_resolution()
    ranked = fits(shared.parts, target, bench) or _widest_bore(target, shared.parts, bench, Fixed())
    recipe = starting_recipe(bench, target, ranked[0].nozzle, alloy, Held())
    loads = Loads(ranked[0], target.footprint.side, bench.board_heater, bench.ambient_c)
    board, parts = near(shared, target, resolution)
    model = assemble(board, parts, target, resolution, copper=shared.copper)
    levels = (
        WARM_ZONE_C,
        number("materials", "alloy", alloy, "neighbour_joint_limit_c"),
        number("materials", "alloy", alloy, "liquidus_c"),
    )
    return Case(
        board, parts, target, bench, ranked, loads, recipe, solve(model, loads, recipe, board.outline, levels), 0
    )
