"""The case of one target on the survey's coarse model: the same fit, laws and limits as a review, fewer cells."""

from dataclasses import replace

import numpy as np

from leeward.bench.fit import Fixed, fits
from leeward.bench.records import Bench, NozzleFit
from leeward.board.records import Board
from leeward.constants import constant, number
from leeward.heat.doubt import doubt_of
from leeward.heat.find import RecipeAnswer, Search, find
from leeward.heat.grid import Resolution
from leeward.heat.loads import Loads
from leeward.heat.model import assemble
from leeward.heat.quick_run import quick_run
from leeward.heat.recipe import Held, starting_recipe
from leeward.heat.records import Heat, JointHeat, ThermalModel
from leeward.heat.reduced import QUICK, reduce
from leeward.heat.run import Run
from leeward.heat.solve import summed_up
from leeward.heat.spread import Spread, spread
from leeward.heat.trials import Pace
from leeward.job import limits_of, loads_of, widest_bore, zone_levels_c
from leeward.parts.records import Part, Parts
from leeward.review.judge import hand_tool
from leeward.review.records import Case
from leeward.shields.decide import need
from leeward.shields.effect import most_credit_c
from leeward.shields.exposed import exposed
from leeward.shields.plan import decided
from leeward.shields.records import ShieldPlan
from leeward.survey.ground import Ground, copper_near, near

STRIDE, REACH = 2, 1  # of heater and air every second setting is tried, then the neighbours of the best


def coarse_resolution(target: Part) -> Resolution:
    """Return the cells of a survey, from the data file: large targets have larger ones."""
    keys = ("finest_mm", "coarsest_mm", "growth", "reach_mm", "thickest_slice_mm", "bodies_mm")
    found = Resolution(*(number("heat", "survey", key) for key in keys))
    x0, y0, x1, y1 = target.leads.bounds
    return replace(
        found, finest_mm=max(found.finest_mm, max(x1 - x0, y1 - y0) / number("heat", "survey", "most_cells"))
    )


def coarse_pace() -> Pace:
    """Return the steps of a survey, from the data file."""
    return Pace(number("heat", "survey", "warm_step_s"), number("heat", "survey", "reflow_step_s"))


def coarse_search() -> Search:
    """Return the settings that a survey tries, from the data file."""
    heaters, airs, lead_ups, shares = (
        tuple(constant("heat", "survey", key).value) for key in ("heater_c", "air_c", "lead_up_c", "flow_shares")
    )
    pairs = tuple((preheat, soak) for preheat, soak in lead_ups)
    return Search(heaters, airs, pairs, shares, STRIDE, REACH, coarse_pace())


def settle_coarsely(shared: Ground, target: Part, before: Case | None = None) -> Case:
    """Return the solved case of a target, unshielded, by the recipe of a case before or else the one that is found.

    Where nothing but parts has moved since, the doubt stays as well: it is the target's and its copper's. Raises
    UsageError and NothingAssessed as `job.settle` does.
    """
    bench, alloy, resolution = shared.bench, shared.parts.alloy, coarse_resolution(target)
    ranked = fits(shared.parts, target, bench) or widest_bore(target, shared.parts, bench, Fixed())
    start = starting_recipe(bench, target, ranked[0].nozzle, alloy, Held())
    doubt = doubt_of(ranked[0].nozzle, bench, shared.board.sha256)
    loads = loads_of(ranked[0], target, bench, doubt.factors)
    board, parts = near(shared, target, resolution)
    model = assemble(board, parts, target, resolution, copper=copper_near(shared, target))
    reduced = reduce(model, loads, start.stages, QUICK)
    if before is None:
        limits = limits_of(model, parts, target, alloy)
        answer = find(model, reduced, loads, start, bench, limits, Held(), doubt, search=coarse_search())
    else:
        answer = before.answer
    run = quick_run(model, reduced, loads, answer.recipe, coarse_pace())
    far = None if before is None or not _same_copper(board, before.board) else _spread_of(before.heat, model)
    if far is None:
        far = spread(model, reduced, loads, answer.recipe, doubt, coarse_pace(), _last_joint(model, run))
    heat = summed_up(model, answer.recipe, run, board.outline, zone_levels_c(alloy), far)
    return unshielded(board, parts, target, bench, ranked, loads, answer, heat)


def unshielded(
    board: Board,
    parts: Parts,
    target: Part,
    bench: Bench,
    ranked: tuple[NozzleFit, ...],
    loads: Loads,
    answer: RecipeAnswer,
    heat: Heat,
) -> Case:
    """Return a case without any shield laid, with what each neighbour would need."""
    nothing = _no_pieces(parts, target, heat, bench, ranked[0])
    return Case(board, parts, target, bench, ranked, loads, answer, heat, 0, heat, nothing)


def is_hand_work(target: Part) -> bool:
    """Return whether a part comes off with heated tweezers whatever nozzles there are, and so warms nothing else."""
    return hand_tool(target, fits=True) is not None


def _same_copper(one: Board, two: Board) -> bool:
    """Return whether two records of a board share their fills and have the same vias, so that only parts moved."""
    return one.zones is two.zones and one.vias == two.vias


def _spread_of(heat: Heat, model: ThermalModel) -> Spread | None:
    """Return the spread that an answer was given with, None where a model has other joints or bodies in its window."""
    joints = [(entry.joint.part_id, entry.joint.pad) for entry in heat.joints]
    if joints != [(joint.part_id, joint.pad) for joint in model.joints] or list(heat.bodies) != list(model.bodies):
        return None
    own = [_window_of(heat.joints[i]) for i in model.target_joints]
    return Spread(
        melt_s=np.array([spread_s for spread_s, _, _ in own]),
        earlier_s=np.array([earlier_s for _, earlier_s, _ in own]),
        later_s=np.array([later_s for _, _, later_s in own]),
        joint_c=np.array([entry.lift_spread_c for entry in heat.joints]),
        joint_peak_c=np.array([entry.peak_spread_c for entry in heat.joints]),
        body_peak_c=np.array([body.spread_c for body in heat.bodies.values()]),
        last_by=heat.seconds_spread_by,
    )


def _window_of(joint: JointHeat) -> tuple[float, float, float]:
    """Return the spread of the moment at which a joint melts, how much earlier and how much later it may be."""
    if joint.window is None or joint.seconds_to_liquidus is None:
        return 0.0, 0.0, 0.0
    at = joint.seconds_to_liquidus
    return joint.window.spread_s, at - joint.window.earliest_s, joint.window.latest_s - at


def _last_joint(model: ThermalModel, run: Run) -> int:
    """Return which joint of the target is coldest at the lift."""
    own = model.target_joints
    return int(own[run.reflow.joint_c[-1, own].argmin()])


def _no_pieces(parts: Parts, target: Part, heat: Heat, bench: Bench, fit: NozzleFit) -> ShieldPlan:
    """Return the plan that lays nothing, with what each neighbour would need."""
    forms = frozenset(material.form for material in bench.shields)
    credit_c = most_credit_c(bench, fit.nozzle)
    entries = exposed(parts, target, heat, parts.alloy)
    return decided((), {entry.part.id: need(entry, target.footprint.side, forms, credit_c) for entry in entries}, {})
