"""Plan a thermocouple run: where the probes tell most of the bench, what to run, and how often.

Each candidate place is worth what the model says it feels of the factors. Places are taken one by one, each the one
that leaves the least doubt of the bench's own factors beside those already taken (D-optimal for these; doubt of the
board's own factors and of the probes' lag is reckoned with, not paid for).
"""

from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from leeward.bench.records import Stage
from leeward.board.records import Board
from leeward.calibrate.fit import Lines, Prior
from leeward.calibrate.lag import lagged
from leeward.calibrate.places import candidates
from leeward.calibrate.rig import Rig, rig, shown
from leeward.calibrate.spots import Spot
from leeward.calibrate.unknowns import lines_at, prior_of
from leeward.constants import number
from leeward.heat.doubt import OF_THE_BOARD, Doubt
from leeward.heat.factors import NAMES, Factors
from leeward.heat.grid import Floats
from leeward.heat.loads import Loads
from leeward.heat.recipe import Recipe
from leeward.parts.records import Part, Parts

OF_THE_BENCH = np.array([NAMES.index(name) for name in NAMES if name not in OF_THE_BOARD], dtype=np.intp)
APART_MM = 3.0  # probes nearer to each other read the same; house rule
ROUND_S = 10.0  # stages are planned in steps of this
TELLS_FROM = 0.05  # a probe tells of a factor whose doubt is by this share larger without it
MOST_TOLD = 3
MOST_RUNS = 3
WORTH_SHARE = 0.25  # another run is worth it that takes so much off the neighbours' spread; house rule


@dataclass(frozen=True, slots=True)
class Placed:
    """A probe: its place, the factors that it tells most of, and the doubt of the bench with all probes up to it."""

    name: str
    spot: Spot
    tells: tuple[str, ...]
    share: float  # of what all probes tell, by the logarithm of the doubt that they take away


@dataclass(frozen=True, slots=True)
class Programme:
    """A way to run the stages, and what it is for."""

    what: str
    stages: tuple[Stage, ...]


@dataclass(frozen=True, slots=True)
class Plan:
    """Where to put probes and what to run. Spreads are relative, by factor; those of neighbours are in C."""

    loads: Loads
    probes: tuple[Placed, ...]
    runs: tuple[Programme, ...]
    spread_before: dict[str, float]
    spread_after: tuple[dict[str, float], ...]  # after each run
    neighbours_before_c: float  # spread of the neighbours' peaks, root mean square
    neighbours_after_c: tuple[float, ...]
    candidates: int


@dataclass(frozen=True, slots=True)
class _Known:
    """What a programme would tell: information by candidate (k, p, p), slopes of the neighbours' peaks (q, p-1)."""

    programme: Programme
    told: Floats
    peaks: Floats
    rise_c: Floats  # (q,) of the neighbours' peaks over the room


def plan(board: Board, parts: Parts, target: Part, loads: Loads, recipe: Recipe, before: Doubt, channels: int) -> Plan:
    """Return the plan of a calibration over a target with so many thermocouples."""
    spots = candidates(board, parts, target, loads)
    prior = prior_of(before, loads.fit.nozzle.vented_up_fraction)
    on = rig(board, parts, target, loads, recipe.stages, spots)
    known = [_known(replace(on, stages=each.stages), each, prior) for each in _programmes(on, recipe, target)]
    held = np.linalg.inv(prior.covariance).astype(float)
    chosen = {entry.programme.what: _places(entry, held, spots, channels) for entry in known}
    first = min(known, key=lambda entry: _doubt(held + entry.told[chosen[entry.programme.what]].sum(axis=0)))
    places = chosen[first.programme.what]
    runs, informed = _runs(first, known, held, places)
    return Plan(
        loads=loads,
        probes=_told(first, held, places, spots),
        runs=tuple(entry.programme for entry in runs),
        spread_before=before.spread,
        spread_after=tuple(_spread(information) for information in informed),
        neighbours_before_c=_neighbours_c(first, held, before.left_out),
        neighbours_after_c=tuple(_neighbours_c(first, information, _least_left_out()) for information in informed),
        candidates=len(spots),
    )


def _programmes(on: Rig, recipe: Recipe, target: Part) -> list[Programme]:
    """Return ways to run the recipe: as it is, with the air stepped in flow, and stepped in temperature."""
    stages = tuple(stage for stage in recipe.stages if stage.seconds > 0)
    melted_s = _reflow_s(on, stages, recipe, target)
    plain = tuple(replace(stage, seconds=melted_s) if stage.name == "reflow" else stage for stage in stages)
    programmes = [Programme("the recipe as it is", plain)]
    for what, air_share, flow_share in (
        ("the air's flow stepped up half way", 1.0, 0.6),
        ("the air's temperature stepped up half way", 0.75, 1.0),
    ):
        stepped: list[Stage] = []
        for stage in plain:
            if stage.name != "reflow" or stage.air_c is None or stage.flow_l_min is None:
                stepped.append(stage)
                continue
            half_s = round(stage.seconds / 2 / ROUND_S + 0.5) * ROUND_S
            low = replace(
                stage,
                seconds=half_s,
                air_c=round(stage.air_c * air_share),
                flow_l_min=round(stage.flow_l_min * flow_share, 1),
            )
            stepped += [low, replace(stage, seconds=half_s)]
        programmes.append(Programme(what, tuple(stepped)))
    return programmes


def _reflow_s(on: Rig, stages: tuple[Stage, ...], recipe: Recipe, target: Part) -> float:
    """Return how long reflow lasts until the target's pads looked at are hot enough to lift, at most its ceiling."""
    ceiling = sum(stage.seconds for stage in stages if stage.name == "reflow")
    if not recipe.ends_on_melt or ceiling == 0:
        return ceiling
    starts = sum(stage.seconds for stage in stages[: [stage.name for stage in stages].index("reflow")])
    pads = [i for i, spot in enumerate(on.spots) if spot.part_id == target.id and spot.pad is not None]
    coldest = shown(replace(on, stages=stages), [Factors()])[0][int(starts) :, pads].min(axis=1)
    hot = np.flatnonzero(coldest >= recipe.lift_at_c)
    lasts = ceiling if hot.size == 0 else np.ceil(hot[0] / ROUND_S) * ROUND_S
    return float(np.clip(lasts, 2 * ROUND_S, ceiling))


def _known(on: Rig, programme: Programme, prior: Prior) -> _Known:
    lines = lines_at(on, prior.mean[:-1], np.zeros((on.time_s.size, len(on.spots))), prior.most[:-1])
    slopes = _with_lag(lines, float(np.exp(prior.mean[-1])))
    each_second = 1 / (number("calibrate", "noise", "planned_c") ** 2 * number("calibrate", "noise", "planned_every_s"))
    told = np.einsum("ink,jnk->kij", slopes, slopes) * each_second
    target = on.model.target_id
    tops = [i for i, spot in enumerate(on.spots) if spot.part_id not in (None, target) and spot.pad is None]
    at = lines.values[:, tops].argmax(axis=0)
    rise_c = lines.values.max(axis=0)[tops] - on.loads.ambient_c
    return _Known(programme, told, lines.slopes[:, at, tops].T, rise_c)


def _with_lag(lines: Lines, lag_s: float) -> Floats:
    """Return how what the probes show changes with each unknown, the lag's logarithm last, (p, n, k)."""
    nudge = 0.01
    by_lag = (lagged(lines.values, lag_s * np.exp(nudge)) - lagged(lines.values, lag_s)) / nudge
    return np.concatenate([lagged(lines.slopes, lag_s, axis=1), by_lag[None]])


def _doubt(information: Floats) -> float:
    """Return the logarithm of the volume of doubt of the bench's own factors."""
    bench = np.linalg.inv(information)[np.ix_(OF_THE_BENCH, OF_THE_BENCH)]
    return float(np.linalg.slogdet(bench)[1]) / 2


def _places(known: _Known, held: Floats, spots: tuple[Spot, ...], count: int) -> list[int]:
    """Return the candidates taken one by one, each the one that leaves the least doubt."""
    chosen: list[int] = []
    information = held
    for _ in range(min(count, len(spots))):
        free = [i for i in range(len(spots)) if not any(_alike(spots[i], spots[j]) for j in chosen)]
        if not free:
            break
        best = min(free, key=lambda i: (_doubt(information + known.told[i]), i))
        chosen.append(best)
        information = information + known.told[best]
    return chosen


def _alike(a: Spot, b: Spot) -> bool:
    """Return whether two places are so near to each other that they read the same."""
    apart = np.hypot(a.x_mm - b.x_mm, a.y_mm - b.y_mm) >= APART_MM
    same_thing = (a.part_id, a.pad is None) == (b.part_id, b.pad is None)
    return a == b or (a.side == b.side and same_thing and not apart)


def _told(known: _Known, held: Floats, places: list[int], spots: tuple[Spot, ...]) -> tuple[Placed, ...]:
    """Return the probes with what each tells: the factors whose doubt grows most without it, its share of all."""
    levels = [_doubt(held + known.told[places[:count]].sum(axis=0)) for count in range(len(places) + 1)]
    whole = _spread(held + known.told[places].sum(axis=0))
    placed = []
    for i, (place, (before, after)) in enumerate(zip(places, pairwise(levels), strict=True), 1):
        without = _spread(held + known.told[[other for other in places if other != place]].sum(axis=0))
        growth = {NAMES[at]: without[NAMES[at]] / whole[NAMES[at]] - 1 for at in OF_THE_BENCH}
        tells = sorted((name for name in growth if growth[name] > TELLS_FROM), key=lambda name: -growth[name])
        share = (before - after) / max(levels[0] - levels[-1], 1e-12)
        placed.append(Placed(f"T{i}", spots[place], tuple(tells[:MOST_TOLD]), share))
    return tuple(placed)


def _runs(first: _Known, known: list[_Known], held: Floats, places: list[int]) -> tuple[list[_Known], list[Floats]]:
    """Return the runs that are worth making, and the information after each."""
    runs, informed = [first], [held + first.told[places].sum(axis=0)]
    while len(runs) < MOST_RUNS:
        best = min(known, key=lambda entry: _doubt(informed[-1] + entry.told[places].sum(axis=0)))
        information = informed[-1] + best.told[places].sum(axis=0)
        now_c, then_c = (_neighbours_c(first, each, _least_left_out()) for each in (informed[-1], information))
        if then_c > (1 - WORTH_SHARE) * now_c:
            break
        runs.append(best)
        informed.append(information)
    return runs, informed


def _least_left_out() -> float:
    return number("heat", "doubt", "left_out_calibrated")


def _spread(information: Floats) -> dict[str, float]:
    spread = np.expm1(np.sqrt(np.diag(np.linalg.inv(information))))
    return dict(zip(NAMES, spread[:-1].tolist(), strict=True))


def _neighbours_c(known: _Known, information: Floats, left_out: float) -> float:
    """Return the spread of the neighbours' peaks, root mean square, C; 0 where there are none."""
    covariance = np.linalg.inv(information)[:-1, :-1]
    squares = np.einsum("qi,ij,qj->q", known.peaks, covariance, known.peaks) + (left_out * known.rise_c) ** 2
    return float(np.sqrt(squares.mean())) if squares.size else 0.0
