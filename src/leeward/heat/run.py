"""March a recipe through its stages and keep what the sums over it need."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from leeward.bench.records import Stage
from leeward.constants import number
from leeward.heat.grid import Floats
from leeward.heat.loads import Loads
from leeward.heat.recipe import Recipe
from leeward.heat.records import ThermalModel
from leeward.heat.stepping import Fluxes, Surroundings, march, surroundings

HALVINGS = 20  # of a step, to find the moment in it that reflow ends


@dataclass(frozen=True, slots=True)
class Leg:
    """One stage as it was marched, at times (k,) s, its start included."""

    stage: Stage
    around: Surroundings
    time_s: Floats
    flux: tuple[Fluxes, ...]  # of each step, one fewer than times: the mean by the laws at the stepping's stage fields
    joint_c: Floats  # (k, joints)
    body_c: Floats  # (k, bodies), top faces
    behind_c: Floats  # (k,), the board's other face under the target
    body_j: Floats  # (k, bodies), their heat content over 0 C
    face_c: Floats  # (m,) at its end


@dataclass(frozen=True, slots=True)
class Run:
    """All stages of a recipe. Nodal fields (n,) at its start and end, and the highest that each node reached."""

    legs: tuple[Leg, ...]
    start: Floats
    end: Floats
    peak_c: Floats

    @property
    def reflow(self) -> Leg:
        """The leg that the lift ends; the last one where there is no reflow."""
        return next((leg for leg in self.legs if leg.stage.name == "reflow"), self.legs[-1])

    @property
    def time_s(self) -> Floats:
        """All times, each stage's start given once, (k,)."""
        return _joined([leg.time_s for leg in self.legs])

    @property
    def joint_c(self) -> Floats:
        """Histories of the joints over all stages, (k, joints)."""
        return _joined([leg.joint_c for leg in self.legs])

    @property
    def body_c(self) -> Floats:
        """Histories of the bodies' top faces over all stages, (k, bodies)."""
        return _joined([leg.body_c for leg in self.legs])

    @property
    def behind_c(self) -> Floats:
        """History of the board's other face under the target over all stages, (k,)."""
        return _joined([leg.behind_c for leg in self.legs])


def march_stages(model: ThermalModel, loads: Loads, recipe: Recipe) -> Run:
    """Return the run of a recipe from a board at room temperature; stages of no length are passed over."""
    start = np.full(model.capacity_j_k.size, loads.ambient_c)
    field, peak, now = start, start.copy(), 0.0
    legs: list[Leg] = []
    for stage in (stage for stage in recipe.stages if stage.seconds > 0):
        around = surroundings(model, loads, stage)
        times, fields, flux = _march_stage(model, around, stage, recipe, field)
        np.maximum(peak, np.max(fields, axis=0), out=peak)
        legs.append(leg(model, stage, around, now + times, fields, flux))
        field, now = fields[-1], now + float(times[-1])
    return Run(tuple(legs), start, field, peak)


def _march_stage(
    model: ThermalModel, around: Surroundings, stage: Stage, recipe: Recipe, start: Floats
) -> tuple[Floats, list[Floats], list[Fluxes]]:
    """Return times from the stage's start (k,), nodal fields, and each step's heat; reflow ends early on its event.

    The step that passes the event is cut off there. Its heat is taken as even over the step, what each node holds as
    a straight line, which closes the balance as the whole step does.
    """
    ends_early = stage.name == "reflow" and recipe.ends_on_melt
    times, fields, flux = [0.0], [start], []
    for step in march(model, around, start, stage.seconds, longest_step_s(stage), eased=True):
        lifted = ends_early and _coldest(model, step.field) >= recipe.lift_at_c
        share = _share_to(model, recipe.lift_at_c, fields[-1], step.field) if lifted else 1.0
        times.append(times[-1] + share * step.seconds)
        fields.append(_between(model, fields[-1], step.field, share) if lifted else step.field)
        flux.append(step.flux)
        if lifted:
            break
    return np.array(times), fields, flux


def longest_step_s(stage: Stage) -> float:
    """Return how long a step of a stage may be; reflow is cut up by its ceiling, so that short ones are resolved."""
    if stage.name != "reflow":
        return number("heat", "step", "warm_s")
    return min(number("heat", "step", "reflow_s"), stage.seconds / number("heat", "step", "reflow_steps"))


def _between(model: ThermalModel, before: Floats, after: Floats, share: float) -> Floats:
    return model.celsius((1 - share) * model.heat_j(before) + share * model.heat_j(after))


def _share_to(model: ThermalModel, level_c: float, before: Floats, after: Floats) -> float:
    """Return the least share of a step after which all target joints have reached a level, as they have at its end."""
    low, high = 0.0, 1.0
    for _ in range(HALVINGS):
        middle = (low + high) / 2
        reached = _coldest(model, _between(model, before, after, middle)) >= level_c
        low, high = (low, middle) if reached else (middle, high)
    return high


def leg(
    model: ThermalModel,
    stage: Stage,
    around: Surroundings,
    time_s: Floats,
    fields: Sequence[Floats],
    flux: Sequence[Fluxes],
) -> Leg:
    """Return a stage as it was marched, read off its nodal fields (k, n)."""
    nodal = np.array(fields)
    tops = [body.top_face for body in model.bodies.values()]
    held = [list(body.nodes) for body in model.bodies.values()]
    return Leg(
        stage,
        around,
        time_s,
        tuple(flux),
        (model.joint_share @ nodal.T).T,
        nodal[:, tops],
        nodal[:, model.behind],
        np.column_stack([nodal[:, nodes] @ model.capacity_j_k[nodes] for nodes in held]),
        fields[-1][model.faces.node],
    )


def _coldest(model: ThermalModel, field: Floats) -> float:
    return float((model.joint_share @ field)[model.target_joints].min())


def _joined(histories: list[Floats]) -> Floats:
    return np.concatenate([histories[0], *(history[1:] for history in histories[1:])])
