"""Many recipes tried at once on the stand-in of a model: what each does up to the lift."""

from collections.abc import Sequence
from dataclasses import dataclass, fields

import numpy as np

from leeward.bench.records import Stage
from leeward.constants import number
from leeward.heat.factors import Factors
from leeward.heat.grid import Floats
from leeward.heat.histories import RAMP_WINDOW_S, crossings_s
from leeward.heat.loads import Loads
from leeward.heat.recipe import Recipe
from leeward.heat.records import Bools, ThermalModel
from leeward.heat.reduced import Reduced
from leeward.heat.reduced_run import march, still, weather


@dataclass(frozen=True, slots=True)
class Pace:
    """The longest steps, s: while the board warms up, in reflow, and in its first moments."""

    warm_s: float
    reflow_s: float
    first_s: float = 1.0


def usual_pace() -> Pace:
    """Return the steps of the data file."""
    return Pace(number("heat", "step", "warm_s"), number("heat", "search", "reflow_step_s"))


Key = tuple[tuple[Stage, ...], Factors]


@dataclass(frozen=True, slots=True)
class Trials:
    """What c recipes came to; the lift is the moment that reflow ends."""

    melts: Bools  # (c,): every joint of the target reaches the lift temperature, or the liquidus where time is held
    seconds: Floats  # (c,): how long reflow lasts
    melt_s: Floats  # (c, target's joints): when each melts after the start of reflow; its end where it stays solid
    coldest_c: Floats  # (c,): the target's coldest joint at the lift
    ramp_c_s: Floats  # (c,): the target's steepest joint up to the lift, as histories.ramps_c_s
    body_ramp_c_s: Floats  # (c, bodies), the same of the bodies' tops
    joint_c: Floats  # (c, joints) at the lift
    joint_peak_c: Floats  # (c, joints) up to the lift
    body_peak_c: Floats  # (c, bodies), top faces, up to the lift
    target_top_c: Floats  # (c,): the target's among them


def try_out(
    model: ThermalModel,
    reduced: Reduced,
    loads: Sequence[Loads],
    recipes: Sequence[Recipe],
    watched: int | None = None,
    pace: Pace | None = None,
) -> Trials:
    """Return what recipes with the same times come to, each under its own loads, by the usual steps or those given.

    Reflow ends as the target's coldest joint reaches the lift temperature, or as the joint `watched` does.
    """
    steps = pace or usual_pace()
    warm, states, ramps = _soaked(model, reduced, loads, recipes, steps.warm_s)
    reflow = [recipe.reflow for recipe in recipes]
    around = weather(model, reduced, loads, reflow)
    factors = [load.factors for load in loads]
    time_s, marched = march(reduced, around, factors, states[warm], reflow[0].seconds, steps.reflow_s)
    return _summed_up(model, reduced, recipes[0], time_s, marched, watched, ramps[warm])


def first(trials: Trials, count: int) -> Trials:
    """Return the trials of the first settings."""
    return Trials(*(getattr(trials, field.name)[:count] for field in fields(trials)))


def _soaked(
    model: ThermalModel, reduced: Reduced, loads: Sequence[Loads], recipes: Sequence[Recipe], step_s: float
) -> tuple[list[int], Floats, Floats]:
    """Return for each recipe which state at the start of reflow is its own; those states; the ramps up to there.

    The ramps are the steepest of the rows that read joints and bodies, (c, joints + bodies).
    """
    keys: list[Key] = [(recipe.warm_up, load.factors) for recipe, load in zip(recipes, loads, strict=True)]
    different = list(dict.fromkeys(keys))
    first = [loads[keys.index(key)] for key in different]
    rows = np.vstack([reduced.at_joints, reduced.at_tops])
    state, ramps = still(reduced, len(different)), np.zeros((len(different), len(rows)))
    for stages in zip(*(warm for warm, _ in different), strict=True):
        if stages[0].seconds > 0:
            around = weather(model, reduced, first, stages)
            factors = [key[1] for key in different]
            time_s, marched = march(reduced, around, factors, state, stages[0].seconds, step_s)
            end = np.full(len(different), len(time_s) - 1)
            ramps = np.maximum(ramps, _ramps_c_s(time_s, marched @ rows.T, end))
            state = marched[-1]
    return [different.index(key) for key in keys], state, ramps


def _summed_up(
    model: ThermalModel,
    reduced: Reduced,
    recipe: Recipe,
    time_s: Floats,
    states: Floats,
    watched: int | None,
    warm_ramps_c_s: Floats,
) -> Trials:
    own = reduced.ambient_c + states @ reduced.at_joints[model.target_joints].T
    watched_c = own.min(axis=2) if watched is None else reduced.ambient_c + states @ reduced.at_joints[watched]
    at, share, reached = lift(watched_c, recipe)
    # Up to the lift everything warms: peaks stand at its end, or at its start where the soak's air was the stronger.
    end = between(states, at, share)
    joint_c, joint_start_c = (reduced.ambient_c + state @ reduced.at_joints.T for state in (end, states[0]))
    body_peak_c = reduced.ambient_c + np.maximum(end @ reduced.at_tops.T, states[0] @ reduced.at_tops.T)
    body_ramp_c_s = _ramps_c_s(time_s, states @ reduced.at_tops.T, at)
    coldest = joint_c[:, model.target_joints].min(axis=1)
    return Trials(
        melts=reached if recipe.ends_on_melt else coldest >= recipe.liquidus_c,
        seconds=between(np.broadcast_to(time_s[:, None], watched_c.shape), at, share),
        melt_s=_melt_s(time_s, own, recipe.liquidus_c),
        coldest_c=coldest,
        ramp_c_s=np.maximum(_ramps_c_s(time_s, own, at), warm_ramps_c_s[:, model.target_joints]).max(axis=1),
        body_ramp_c_s=np.maximum(body_ramp_c_s, warm_ramps_c_s[:, len(model.joints) :]),
        joint_c=joint_c,
        joint_peak_c=np.maximum(joint_c, joint_start_c),
        body_peak_c=body_peak_c,
        target_top_c=body_peak_c[:, model.target_body],
    )


def lift(leading_c: Floats, recipe: Recipe) -> tuple["np.ndarray", Floats, Bools]:
    """Return the step at whose end or before the lift comes, the share of that step gone by, and whether it comes."""
    steps, settings = leading_c.shape
    above = leading_c >= recipe.lift_at_c
    reached = np.logical_and(above.any(axis=0), recipe.ends_on_melt)
    at = np.where(reached, np.maximum(above.argmax(axis=0), 1), steps - 1)
    column = np.arange(settings)
    before, after = leading_c[at - 1, column], leading_c[at, column]
    rise = np.where(np.abs(after - before) > 1e-9, after - before, 1.0)
    share = np.where(reached, np.clip((recipe.lift_at_c - before) / rise, 0.0, 1.0), 1.0)
    return at, share, reached


def _melt_s(time_s: Floats, celsius: Floats, liquidus_c: float) -> Floats:
    """Return when (k, c, n) histories pass the liquidus first, (c, n); their end where they never do."""
    crossed = crossings_s(time_s, celsius.reshape(len(time_s), -1), liquidus_c, time_s[0])
    return np.where(np.isnan(crossed), time_s[-1] - time_s[0], crossed).reshape(celsius.shape[1:])


def between(history: Floats, at: "np.ndarray", share: Floats) -> Floats:
    """Return each setting's values at its own moment, from (k, c) or (k, c, n)."""
    column = np.arange(at.size)
    weight = share.reshape(-1, *([1] * (history.ndim - 2)))
    return np.asarray((1 - weight) * history[at - 1, column] + weight * history[at, column])


def _ramps_c_s(time_s: Floats, celsius: Floats, at: "np.ndarray") -> Floats:
    """Return the steepest mean rise over a ramp window before each setting's lift, of (k, c, n) histories (c, n)."""
    steps = min(max(1, int(np.ceil(RAMP_WINDOW_S / (time_s[1] - time_s[0])))), time_s.size - 1)
    rise = (celsius[steps:] - celsius[:-steps]) / (time_s[steps] - time_s[0])
    within = np.arange(steps, time_s.size)[:, None] <= at
    return np.asarray(np.where(within[:, :, None], rise, 0.0).max(axis=0))
