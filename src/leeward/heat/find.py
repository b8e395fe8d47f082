"""Find the recipe: of the settings that the bench can hold, the gentlest that melts every joint of the target.

Settings of board heater, air, flow, and gentler air that leads up to it during preheat and soak are tried on the
stand-in of the model: coarsely over all of them, then heater and air closely at the best flow and lead-up. What the
user holds stays. Of those that keep every limit the one with the least harm is taken: the chances that neighbours'
bodies pass their limits, a share of the chances that their joints melt, large ceramics that warm too fast, and a
little for hotter and stronger air (weights are house rules). Air comes on at once in the model; at the bench the
nozzle is lowered, so that the steepest ramp is a little over the true one.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import product
from typing import Any, TypeVar

import numpy as np
from scipy.special import ndtr

from leeward.bench.records import Bench, Stage
from leeward.constants import constant, number
from leeward.heat.doubt import Doubt
from leeward.heat.grid import Floats
from leeward.heat.loads import Loads
from leeward.heat.recipe import Held, Recipe, most_flow_l_min
from leeward.heat.records import ThermalModel
from leeward.heat.reduced import Reduced
from leeward.heat.trials import Pace, Trials, first, try_out

VERDICTS = ("reflows", "ramp too steep", "too long", "top too hot", "too cold")  # from good to bad
JOINT_WEIGHT = 0.3  # a neighbour's joint that melts harms less than a body that is over its limit
HEAT_WEIGHT_1_C = 1e-3  # of the air's setting: between equals the cooler air
RAMP_WEIGHT = 0.3  # a large ceramic that warms twice as fast as it may
UNSURE_WEIGHT = 1.0  # of a recipe that no longer melts every joint with the air one spread weaker
FLOW_WEIGHT_MIN_L = 1e-3
SEARCHED = ("heater_c", "air_c", "lead_up_c", "flow_shares")
LeadUp = tuple[float | None, float | None]
Value = TypeVar("Value")


@dataclass(frozen=True, slots=True)
class Setting:
    """What the bench is set to: board heater from preheat to the lift, air in preheat, soak and reflow; None is off."""

    heater_c: float | None
    lead_up_c: LeadUp
    air_c: float
    flow_l_min: float


@dataclass(frozen=True, slots=True)
class Search:
    """What is tried: settings, first every `stride`-th of heater and air, then those within `reach` of the best.

    A wide search looks at all of heater and air in the end, which the window of a review shows.
    """

    heater_c: tuple[float, ...]
    air_c: tuple[float, ...]
    lead_up_c: tuple[tuple[float, float], ...]
    flow_shares: tuple[float, ...]
    stride: int = 2
    reach: int | None = None
    pace: Pace | None = None


def usual_search() -> Search:
    """Return the search of a review, from the data file."""
    return Search(*(_tuples(constant("heat", "search", key).value) for key in SEARCHED))


def _tuples(values: Any) -> Any:  # noqa: ANN401  # lists of numbers or of pairs, as the data file has them
    return tuple(tuple(value) if isinstance(value, list) else value for value in values)


@dataclass(frozen=True, slots=True)
class Limits:
    """What a recipe must keep to, and what it should spare; bodies in the model's order."""

    top_c: float  # of the target's body
    ramp_c_s: float  # of the target's joints
    seconds_to_lift: float
    body_ramp_c_s: Floats  # (b,); infinite where a ramp does no harm
    body_c: Floats  # (b,); infinite where nothing is to be spared, the target's among them


@dataclass(frozen=True, slots=True)
class Window:
    """What each board heater setting (rows) with each air temperature does at one flow, in words of VERDICTS."""

    flow_l_min: float
    lead_up_c: LeadUp  # the air in preheat and soak
    board_heater_c: tuple[float | None, ...]
    air_c: tuple[float, ...]
    verdict: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True)
class RecipeAnswer:
    """The recipe to work with. Where none keeps every limit it is the nearest, and `why` says what stops it."""

    recipe: Recipe
    works: bool
    why: str
    window: Window


def search_near(answer: RecipeAnswer, start: Recipe) -> Search:
    """Return the search of a review at the flow and lead-up of an earlier answer: heater and air alone are open."""
    usual = max((stage.flow_l_min or 0.0) for stage in start.stages)
    preheat, soak = answer.window.lead_up_c
    shares = (answer.window.flow_l_min / usual,) if usual else (1.0,)
    return replace(usual_search(), lead_up_c=((preheat or 0.0, soak or 0.0),), flow_shares=shares)


def find(
    model: ThermalModel,
    reduced: Reduced,
    loads: Loads,
    start: Recipe,
    bench: Bench,
    limits: Limits,
    held: Held,
    doubt: Doubt,
    *,
    search: Search | None = None,
) -> RecipeAnswer:
    """Return the gentlest recipe with the start's times, and the window of settings round it.

    Better one that still melts every joint with air that heats less by what is in doubt about it.
    """
    tried = search or usual_search()
    heaters, airs = _heaters(bench, held, tried), _airs(bench, held, tried)
    lead_ups, flows = _lead_ups(start, held, bench, tried), _flows(start, loads, bench, held, tried)
    coarse = _settings(heaters[:: tried.stride], lead_ups, airs[:: tried.stride], flows)
    asked = (model, reduced, (loads, _weaker(loads, doubt)), start, limits, tried.pace)
    chosen = coarse[0] if len(coarse) == 1 else coarse[_best(*asked, coarse, close=False)[0]]
    heaters, airs = _close_to(heaters, chosen.heater_c, tried.reach), _close_to(airs, chosen.air_c, tried.reach)
    close = _settings(heaters, (chosen.lead_up_c,), airs, (chosen.flow_l_min,))
    best, trials = _best(*asked, close, close=True)
    words = _verdicts(trials, start, limits)
    rows = tuple(tuple(words[i : i + len(airs)]) for i in range(0, len(words), len(airs)))
    return RecipeAnswer(
        recipe=_with(start, close[best]),
        works=words[best] == VERDICTS[0],
        why=_why(words, best, trials, limits, start),
        window=Window(chosen.flow_l_min, chosen.lead_up_c, heaters, airs, rows),
    )


def _settings(
    heaters: Sequence[float | None], lead_ups: Sequence[LeadUp], airs: Sequence[float], flows: Sequence[float]
) -> list[Setting]:
    """Return all settings of some values of each, the heater's slowest."""
    return [Setting(*each) for each in product(heaters, lead_ups, airs, flows)]


def _close_to(values: tuple[Value, ...], chosen: Value, reach: int | None) -> tuple[Value, ...]:
    """Return the values no more than `reach` places from the chosen one; all without a reach."""
    if reach is None:
        return values
    at = values.index(chosen)
    return values[max(0, at - reach) : at + reach + 1]


def _best(
    model: ThermalModel,
    reduced: Reduced,
    usual_and_weak: tuple[Loads, Loads],
    start: Recipe,
    limits: Limits,
    pace: Pace | None,
    settings: Sequence[Setting],
    *,
    close: bool,
) -> tuple[int, Trials]:
    """Return the best of the settings; looked at closely, also by whether it still works with weaker air."""
    recipes = [_with(start, each) for each in settings]
    count, (usual, weak) = len(settings), usual_and_weak
    tried = [usual] * count + [weak] * (count if close else 0)
    trials = try_out(model, reduced, tried, [*recipes, *(recipes if close else ())], pace=pace)
    weak_melts, trials = trials.melts[count:], first(trials, count)
    words = _verdicts(trials, start, limits)
    cost = _cost(model, trials, settings, limits, start)
    if close:
        cost = cost + UNSURE_WEIGHT * ~weak_melts
    miss = np.where(trials.melts, trials.target_top_c - limits.top_c, start.lift_at_c - trials.coldest_c)
    steep = _steepness(trials, limits)
    kind = np.array([VERDICTS.index(word) for word in words])
    order = np.lexsort((np.select([kind >= 3, kind == 1], [miss, steep], cost), kind))
    return int(order[0]), trials


def _verdicts(trials: Trials, start: Recipe, limits: Limits) -> list[str]:
    """Return a word for each setting; of several faults the worst."""
    before = sum(stage.seconds for stage in start.warm_up)
    faults = np.column_stack(
        [
            np.ones(trials.melts.size, dtype=bool),
            _steepness(trials, limits) > 1.0,
            before + trials.seconds > limits.seconds_to_lift,
            trials.target_top_c > limits.top_c,
            ~trials.melts,
        ]
    )
    worst = faults.shape[1] - 1 - faults[:, ::-1].argmax(axis=1)
    return [VERDICTS[i] for i in worst]


def _steepness(trials: Trials, limits: Limits) -> Floats:
    """Return the steepest ramp of the target's joints over its limit, (c,)."""
    return np.asarray(trials.ramp_c_s / limits.ramp_c_s)


def _weaker(loads: Loads, doubt: Doubt) -> Loads:
    """Return loads whose air heats less by the spread that its coefficient has."""
    share = 1.0 + doubt.spread["air_h"]
    return replace(loads, factors=replace(loads.factors, air_h=loads.factors.air_h / share))


def _cost(model: ThermalModel, trials: Trials, settings: Sequence[Setting], limits: Limits, start: Recipe) -> Floats:
    spread = number("heat", "search", "spread_c")
    over = ndtr((trials.body_peak_c - limits.body_c) / spread)
    melts = ndtr((_by_part(model, trials.joint_peak_c) - start.liquidus_c) / spread)
    top = ndtr((trials.target_top_c - limits.top_c) / spread)
    air, flow = np.array([(setting.air_c, setting.flow_l_min) for setting in settings]).T
    hurried = np.maximum(trials.body_ramp_c_s / limits.body_ramp_c_s - 1.0, 0.0)
    harm = over.sum(axis=1) + JOINT_WEIGHT * melts.sum(axis=1) + 2.0 * top + RAMP_WEIGHT * hurried.sum(axis=1)
    return np.asarray(harm + HEAT_WEIGHT_1_C * air + FLOW_WEIGHT_MIN_L * flow)


def _by_part(model: ThermalModel, joint_c: Floats) -> Floats:
    """Return the hottest joint of each neighbour, (c, parts)."""
    first: dict[str, list[int]] = {}
    for i, joint in enumerate(model.joints):
        if joint.part_id != model.target_id:
            first.setdefault(joint.part_id, []).append(i)
    return np.array([joint_c[:, rows].max(axis=1) for rows in first.values()]).reshape(-1, joint_c.shape[0]).T


def _with(start: Recipe, setting: Setting) -> Recipe:
    """Return the start's recipe at one setting."""

    def put_in(stage: Stage) -> Stage:
        warmed = stage if stage.name == "cool" else replace(stage, board_heater_c=setting.heater_c)
        early = dict(zip(("preheat", "soak"), setting.lead_up_c, strict=True)).get(stage.name)
        if early is not None:
            return replace(warmed, air_c=early, flow_l_min=setting.flow_l_min)
        return warmed if stage.air_c is None else replace(warmed, air_c=setting.air_c, flow_l_min=setting.flow_l_min)

    return replace(start, stages=tuple(put_in(stage) for stage in start.stages))


def _lead_ups(start: Recipe, held: Held, bench: Bench, search: Search) -> tuple[LeadUp, ...]:
    """Return the airs to try in preheat and soak: none, and such as lead up to reflow without a jolt."""
    if held.air_c is not None or any(stage.air_c is not None or stage.seconds == 0 for stage in start.warm_up):
        return ((None, None),)
    able = [pair for pair in search.lead_up_c if all(c == 0 or c >= bench.station.least_c for c in pair)]
    return tuple((preheat or None, soak or None) for preheat, soak in able)


def _heaters(bench: Bench, held: Held, search: Search) -> tuple[float | None, ...]:
    if held.board_heater_c is not None:
        return (held.board_heater_c or None,)
    if bench.board_heater.kind == "none":
        return (None,)
    return (None, *(c for c in search.heater_c if c <= bench.board_heater.most_c))


def _airs(bench: Bench, held: Held, search: Search) -> tuple[float, ...]:
    if held.air_c is not None:
        return (held.air_c,)
    station = bench.station
    tried = tuple(c for c in search.air_c if station.least_c <= c <= station.most_c)
    return tried or (station.most_c,)


def _flows(start: Recipe, loads: Loads, bench: Bench, held: Held, search: Search) -> tuple[float, ...]:
    if held.flow_l_min is not None:
        return (held.flow_l_min,)
    usual = max((stage.flow_l_min or 0.0) for stage in start.stages)
    most = most_flow_l_min(loads.fit.nozzle, bench, number("heat", "search", "usual_air_c"))
    wanted = (usual * share for share in search.flow_shares)
    return tuple(sorted({round(min(max(flow, bench.station.least_l_min), most), 1) for flow in wanted}))


def _why(words: Sequence[str], best: int, trials: Trials, limits: Limits, start: Recipe) -> str:
    """Return what was found, or which limit stops every setting and what would help."""
    word, good, tried = words[best], words.count(VERDICTS[0]), len(words)
    if word == VERDICTS[0]:
        most = f"{good} of {tried} settings of heater and air at this flow melt every joint within the limits"
        return f"{most}; this one harms the least"
    return {
        "too cold": f"no setting brings the last joint past {trials.coldest_c[best]:.0f} C within the "
        f"{start.reflow.seconds:.0f} s of reflow: give more heat from below, a longer reflow, or another nozzle",
        "top too hot": f"every setting that melts the last joint takes the body's top over {limits.top_c:.0f} C, the "
        f"nearest to {trials.target_top_c[best]:.0f} C: soak longer or give more heat from below",
        "too long": f"the last joint is hot enough to lift only {trials.seconds[best]:.0f} s into reflow, past the "
        f"{limits.seconds_to_lift:.0f} s that a part may take from cold: give more heat from below or shorten the soak",
        "ramp too steep": f"at every setting that melts them the joints rise by {trials.ramp_c_s[best]:.1f} C/s, over "
        f"{limits.ramp_c_s:.0f} C/s: lower the nozzle slowly, or use a larger one",
    }[word]
