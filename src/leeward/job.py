"""One job: find the targets, choose the setup, solve the heat, and put several targets in order."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from difflib import get_close_matches
from functools import cache

import numpy as np
from shapely.geometry.base import BaseGeometry

from leeward.bench.fit import Fixed, fits, longest_bore, place
from leeward.bench.records import Bench, NozzleFit
from leeward.board.records import Board
from leeward.constants import number
from leeward.errors import NothingAssessed, UsageError
from leeward.heat.bodies import soldered_pads
from leeward.heat.doubt import Doubt, doubt_of
from leeward.heat.factors import Factors
from leeward.heat.find import JOINT_WEIGHT, Limits, RecipeAnswer, find, search_near
from leeward.heat.loads import Loads
from leeward.heat.model import assemble, own_board
from leeward.heat.quick_run import quick_run
from leeward.heat.recipe import Held, Recipe, starting_recipe
from leeward.heat.records import Heat, ThermalModel
from leeward.heat.reduced import Reduced, reduce
from leeward.heat.scaled import scaled
from leeward.heat.solve import solve, summed_up
from leeward.heat.spread import spread
from leeward.heat.trials import usual_pace
from leeward.parts.order import natural_key
from leeward.parts.records import Alloy, Part, Parts
from leeward.review.before import before, melts_again
from leeward.review.records import Case
from leeward.shields.effect import idle
from leeward.shields.exposed import exposed
from leeward.shields.plan import NO_SHIELDS, Job, propose, shelters, without
from leeward.shields.records import ShieldPlan

WARM_ZONE_C = 150.0  # the lowest heat-exposure zone; house rule: joints and bodies under it are left alone
NEAR_MATCHES = 5
MOST_EXACT = 10  # of so many targets every order is looked at


@dataclass(frozen=True, slots=True)
class Request:
    """What the user asks for. `cycles` gives heat cycles that a site has seen, by reference."""

    refs: tuple[str, ...]
    alloy: Alloy = "SAC305"
    nozzle: Fixed = field(default_factory=Fixed)
    held: Held = field(default_factory=Held)
    cycles: Mapping[str, int] = field(default_factory=dict)


@dataclass(frozen=True, slots=True)
class WorkSequence:
    """Targets in the order to work in, what must come off before what, and rings that no order satisfies; by id."""

    order: tuple[str, ...]
    take_off_first: tuple[tuple[str, str], ...]
    cycles: tuple[tuple[str, ...], ...]
    because: tuple[str, ...]  # for each pair of `take_off_first`


def find_targets(board: Board, parts: Parts, refs: Sequence[str]) -> tuple[Part, ...]:
    """Return the parts of references or ids, each once. Raises NothingAssessed or UsageError; see `find_target`."""
    found = {part.id: part for part in (find_target(board, parts, ref) for ref in refs)}
    return tuple(found.values())


def find_target(board: Board, parts: Parts, ref: str) -> Part:
    """Return the part of a reference or id.

    Raises NothingAssessed if there is none (naming near ones) or it has nothing to solder, UsageError if several
    parts share the reference.
    """
    if ref in parts.by_id:
        return _workable(parts, parts.by_id[ref])
    found = [part for part in parts.by_id.values() if part.ref == ref]
    if not found:
        if any(ref in (footprint.ref, footprint.id) for footprint in board.footprints):
            raise NothingAssessed(f"{ref} has no pads", do="name a part that is soldered")
        raise NothingAssessed(f"no part {ref} on this board", do=_nearest(parts, ref))
    if len(found) > 1:
        choices = ", ".join(f"{part.id} (x {part.footprint.x_mm:.2f}, y {part.footprint.y_mm:.2f})" for part in found)
        raise UsageError(f"{len(found)} parts are called {ref}", do=f"name one by its id: {choices}")
    return _workable(parts, found[0])


def settle(request: Request, target: Part, board: Board, parts: Parts, bench: Bench) -> Case:
    """Return the solved case of a target: fit, recipe and heat without shields, shield plan, recipe and heat with it.

    Raises UsageError for held values that the bench does not allow, NothingAssessed where no nozzle can be placed.
    """
    ranked = fits(parts, target, bench, request.nozzle) or widest_bore(target, parts, bench, request.nozzle)
    start = starting_recipe(bench, target, ranked[0].nozzle, request.alloy, request.held)
    doubt = doubt_of(ranked[0].nozzle, bench, board.sha256)
    loads = loads_of(ranked[0], target, bench, doubt.factors)
    model = assemble(board, parts, target)
    limits = limits_of(model, parts, target, request.alloy)
    solver = _Solver(
        model, reduce(model, loads, start.stages), start, bench, limits, request.held, board.outline,
        zone_levels_c(request.alloy), doubt,
    )  # fmt: skip
    answer = solver.answer(loads)
    bare = _Worked(loads, answer, solver.heat(loads, answer), NO_SHIELDS)
    worked = _with_shields(
        solver, bare, Job(parts, target, ranked[0], bare.heat, bench, request.alloy, own_board(board, target))
    )
    cycles = request.cycles.get(target.ref, request.cycles.get(target.id, 0))
    return Case(
        board, parts, target, bench, ranked, worked.loads, worked.answer, worked.heat, cycles, bare.heat, worked.plan
    )


def loads_of(fit: NozzleFit, target: Part, bench: Bench, factors: Factors) -> Loads:
    """Return what a bench puts round the board, with what is known of it as factors."""
    tucked = target.lead_style.value == "j-lead"
    return Loads(fit, target.footprint.side, bench.board_heater, bench.ambient_c, tucked, factors)


@dataclass(frozen=True, slots=True)
class _Solver:
    """The model of a target and its stand-in, asked and solved as often as the job needs."""

    model: ThermalModel
    reduced: Reduced
    start: Recipe
    bench: Bench
    limits: Limits
    held: Held
    outline: BaseGeometry
    levels_c: tuple[float, ...]
    doubt: Doubt

    def answer(self, loads: Loads, bare: RecipeAnswer | None = None) -> RecipeAnswer:
        """Return the recipe under loads; first looked for beside the one without shields, where that one works."""
        asked = (self.model, self.reduced, loads, self.start, self.bench, self.limits, self.held, self.doubt)
        if bare is not None and bare.works:
            near = find(*asked, search=search_near(bare, self.start))
            if near.works:
                return near
        return find(*asked)

    def heat(self, loads: Loads, answer: RecipeAnswer) -> Heat:
        """Return the heat of a recipe under loads."""
        far = spread(self.model, self.reduced, loads, answer.recipe, self.doubt)
        return solve(scaled(self.model, loads.factors), loads, answer.recipe, self.outline, self.levels_c, far)

    def forecast(self, loads: Loads, answer: RecipeAnswer) -> Heat:
        """Return the same from the stand-in, good to a degree or two, in a fraction of the time."""
        far = spread(self.model, self.reduced, loads, answer.recipe, self.doubt)
        run = quick_run(self.model, self.reduced, loads, answer.recipe, usual_pace())
        return summed_up(self.model, answer.recipe, run, self.outline, self.levels_c, far)


@dataclass(frozen=True, slots=True)
class _Worked:
    """The job as it is worked."""

    loads: Loads
    answer: RecipeAnswer
    heat: Heat
    plan: ShieldPlan


def _with_shields(solver: _Solver, bare: _Worked, job: Job) -> _Worked:
    """Return the job with a shield plan on: its recipe found again, without pieces that bring nothing, solved again.

    A fence slows the target. A plan whose fence keeps it from melting, or does the neighbours more harm by the longer
    or hotter reflow than it spares them, gives way to one without a fence. All that is tried on the stand-in.
    """
    tried = _forecast(solver, bare, propose(job))
    fenced = any(piece.kind == "fence" for piece in tried.plan.pieces)
    slowed = bare.answer.works and not tried.answer.works
    if fenced and (slowed or _harm(tried, job) > _harm(bare, job)):
        why = "keeps it from melting" if slowed else "slows it so that its neighbours get more heat in all"
        tried = _forecast(solver, bare, propose(job, no_fence=f"a fence round {job.target.ref} {why}"))
    plan = without(tried.plan, idle(tried.plan, bare.heat, tried.heat))
    if not plan.pieces:
        return replace(bare, plan=plan)
    loads = replace(bare.loads, covers=shelters(plan))
    return _Worked(loads, tried.answer, solver.heat(loads, tried.answer), plan)


def _forecast(solver: _Solver, bare: _Worked, plan: ShieldPlan) -> _Worked:
    """Return the job with a plan on, by a recipe that is found for it, as the stand-in has it."""
    if not plan.pieces:
        return replace(bare, plan=plan)
    loads = replace(bare.loads, covers=shelters(plan))
    answer = solver.answer(loads, bare.answer)
    return _Worked(loads, answer, solver.forecast(loads, answer), plan)


def _harm(worked: _Worked, job: Job) -> float:
    """Return how many neighbours' bodies pass their limits, and a share of how many joints melt, as expected."""
    entries = exposed(job.parts, job.target, worked.heat, job.alloy)
    return sum(entry.over + JOINT_WEIGHT * entry.melts for entry in entries if entry.part.fragile_class != "E")


def zone_levels_c(alloy: Alloy) -> tuple[float, ...]:
    """Return the temperatures whose zones are told: warm, the guidance for neighbours' joints, liquidus."""
    keys = ("neighbour_joint_limit_c", "liquidus_c")
    return (WARM_ZONE_C, *(number("materials", "alloy", alloy, key) for key in keys))


def limits_of(model: ThermalModel, parts: Parts, target: Part, alloy: Alloy) -> Limits:
    """Return what a recipe must keep to. What must come off first is spared nothing: it is not there."""

    def limit_c(part: Part) -> float:
        return np.inf if part.id == target.id or part.fragile_class == "E" else part.limit_c.value

    def ramp_c_s(part: Part) -> float:
        most = part.max_ramp_c_s
        return np.inf if most is None or most >= number("heat", "search", "ramp_c_s") else most

    bodies = [parts.by_id[i] for i in model.bodies]
    return Limits(
        top_c=target.limit_c.value,
        ramp_c_s=number("heat", "search", "ramp_c_s"),
        seconds_to_lift=number("materials", "alloy", alloy, "seconds_to_peak"),
        body_ramp_c_s=np.array([ramp_c_s(part) for part in bodies]),
        body_c=np.array([limit_c(part) for part in bodies]),
    )


def order(cases: Sequence[Case]) -> WorkSequence:
    """Return the targets in the order to work in: what stands in another's heat or way comes off before it.

    Among the orders that allow that, the one in which the least of the targets are melted once more by another's job
    before they come off themselves (the least sum of probabilities; by reference where several are equal).
    """
    targets = {case.target.id: case.target for case in cases}
    asked = [pair for case in cases for pair in before(case, {i: p for i, p in targets.items() if i != case.target.id})]
    pairs = list(dict.fromkeys((pair.first, pair.then) for pair in asked))
    rings = _rings(pairs)
    kept = [(a, b) for a, b in pairs if not any(a in ring and b in ring for ring in rings)]
    again = {(case.target.id, i): melts_again(case, p) for case in cases for i, p in targets.items()}
    return WorkSequence(
        fewest_cycles(sorted(targets, key=lambda i: (natural_key(targets[i].ref), i)), kept, again),
        tuple(sorted((pair.first, pair.then) for pair in asked)),
        tuple(sorted(rings)),
        tuple(pair.why for pair in sorted(asked, key=lambda pair: (pair.first, pair.then))),
    )


def _rings(pairs: Sequence[tuple[str, str]]) -> tuple[tuple[str, ...], ...]:
    """Return what stands in rings of pairs that ask for each other."""
    if not pairs:
        return ()
    import networkx as nx  # noqa: PLC0415  # slow to import, and few jobs need it

    return tuple(tuple(sorted(ring)) for ring in nx.strongly_connected_components(nx.DiGraph(pairs)) if len(ring) > 1)


def fewest_cycles(
    ids: Sequence[str], first_then: Sequence[tuple[str, str]], again: Mapping[tuple[str, str], float]
) -> tuple[str, ...]:
    """Return the order with the least sum of `again[worked, still there]` that keeps the pairs; no ring among them.

    Exact up to MOST_EXACT targets, else step by step by what melts least; of equals the first in `ids`.
    """
    place = {part_id: i for i, part_id in enumerate(ids)}

    def free(left: frozenset[str]) -> list[str]:
        return [i for i in sorted(left, key=place.__getitem__) if not any(a in left for a, b in first_then if b == i)]

    def cost(worked: str, left: frozenset[str]) -> float:
        return sum(again[worked, other] for other in left if other != worked)

    @cache
    def best(left: frozenset[str]) -> tuple[float, tuple[str, ...]]:
        if not left:
            return 0.0, ()
        tried = []
        for worked in free(left):
            after, order_ = best(left - {worked})
            tried.append((round(cost(worked, left) + after, 9), (worked, *order_)))
        return min(tried, key=lambda entry: (entry[0], [place[i] for i in entry[1]]))

    if len(ids) <= MOST_EXACT:
        return best(frozenset(ids))[1]
    left, done = frozenset(ids), []
    while left:
        done.append(min(free(left), key=lambda worked: (cost(worked, left), place[worked])))  # used at once
        left -= {done[-1]}
    return tuple(done)


def _workable(parts: Parts, part: Part) -> Part:
    if part.reworkable and soldered_pads(part):
        return part
    reasons = [entry.reason for entry in parts.not_assessed if entry.id == part.id]
    why = reasons[0] if reasons else "it has no soldered pad"
    raise NothingAssessed(f"{part.ref} cannot be taken off: {why}", do="name a part that is soldered on")


def _nearest(parts: Parts, ref: str) -> str:
    known = sorted({part.ref for part in parts.by_id.values()}, key=natural_key)
    near = get_close_matches(ref, known, n=NEAR_MATCHES, cutoff=0.4) or known[:NEAR_MATCHES]
    return f"nearest: {', '.join(near)}"


def widest_bore(target: Part, parts: Parts, bench: Bench, held: Fixed) -> tuple[NozzleFit, ...]:
    """Return the widest round bore over a part that no nozzle is meant for, so that its heat can be shown."""
    bore = longest_bore(bench)
    if bore is None:
        raise NothingAssessed(f"the bench has no nozzle for {target.ref}", do="add one to the bench file")
    return (place(bore, target.footprint.rotation_deg, target, list(parts.by_id.values()), bench, held),)
