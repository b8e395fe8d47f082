"""A recipe run on the stand-in of a model: the same legs as a run of the model itself, in a tenth of the time."""

from collections.abc import Sequence

import numpy as np

from leeward.bench.records import Stage
from leeward.heat.grid import Floats
from leeward.heat.histories import ramp_at_c_s
from leeward.heat.loads import Loads
from leeward.heat.recipe import Recipe
from leeward.heat.records import ThermalModel
from leeward.heat.reduced import Reduced
from leeward.heat.reduced_run import march, still, weather
from leeward.heat.run import Leg, Run, leg
from leeward.heat.stepping import Fluxes, fluxes, mean_flux, net_w, surroundings
from leeward.heat.trials import Pace, between, lift

AT_FIRST_S = 8.0  # of reflow, in which joints under a hot nozzle may melt already


def quick_run(model: ThermalModel, reduced: Reduced, loads: Loads, recipe: Recipe, pace: Pace) -> Run:
    """Return the run of a recipe from a board at room temperature; stages of no length are passed over.

    Reflow ends at the moment itself, between steps. Heat through the faces is the mean of the ends of each step in
    reflow, of the ends of the stage elsewhere.
    """
    state, now = still(reduced, 1), 0.0
    start = _fields(reduced, state)[0]
    peak, end, legs = start.copy(), start, list[Leg]()
    for stage in (stage for stage in recipe.stages if stage.seconds > 0):
        times, states = _march_stage(model, reduced, loads, recipe, stage, state, pace)
        around, fields = surroundings(model, loads, stage), _fields(reduced, states)
        if stage.name == "reflow":
            flux = [fluxes(around, model.faces, field[model.faces.node]) for field in fields]
            fields = _mended(model, reduced, times, fields, flux)
            means = [mean_flux(first, last, 0.5) for first, last in zip(flux[:-1], flux[1:], strict=True)]
        else:
            first, last = (fluxes(around, model.faces, field[model.faces.node]) for field in (fields[0], fields[-1]))
            means = [mean_flux(first, last, 0.5)] * (len(fields) - 1)
        legs.append(leg(model, stage, around, now + times, list(fields), means))
        np.maximum(peak, fields.max(axis=0), out=peak)
        state, end, now = states[-1:], fields[-1], now + float(times[-1])
    return Run(tuple(legs), start, end, peak)


def _mended(model: ThermalModel, reduced: Reduced, times: Floats, fields: Floats, flux: Sequence[Fluxes]) -> Floats:
    """Return fields (k, n) with what the stand-in leaves out: mostly single bodies, which follow their air at once.

    What a field lacks of balance, loads - K T - C dT/dt, is put right by one answer of a factor that the stand-in was
    made with, the one whose rate is nearest to the stage's own. The first field stays.
    """
    rises = np.diff(fields, axis=0) / np.diff(times)[:, None]
    net = np.array([net_w(model, each) for each in flux[1:]])
    lacks = net - (model.conductance_w_k @ fields[1:].T).T - model.capacity_j_k * rises
    nearest = min(reduced.factors, key=lambda rate: abs(np.log(rate * times[-1])))
    return np.vstack([fields[:1], fields[1:] + reduced.factors[nearest].solve(lacks.T).T])


def _march_stage(
    model: ThermalModel, reduced: Reduced, loads: Loads, recipe: Recipe, stage: Stage, start: Floats, pace: Pace
) -> tuple[Floats, Floats]:
    """Return times from the stage's start (k,) and states (k, r)."""
    around = weather(model, reduced, [loads], [stage])
    if stage.name != "reflow":
        times, states = march(reduced, around, [loads.factors], start, stage.seconds, pace.warm_s)
        return times, states[:, 0]
    early_s = min(AT_FIRST_S, stage.seconds)
    times, states = march(reduced, around, [loads.factors], start, early_s, pace.first_s)
    end = _lifted(model, reduced, recipe, times, states)
    if end is None and early_s < stage.seconds:
        more, later = march(reduced, around, [loads.factors], states[-1], stage.seconds - early_s, pace.reflow_s)
        times, states = np.append(times, early_s + more[1:]), np.concatenate([states, later[1:]])
        end = _lifted(model, reduced, recipe, times, states)
    return (times, states[:, 0]) if end is None else end


def _lifted(
    model: ThermalModel, reduced: Reduced, recipe: Recipe, times: Floats, states: Floats
) -> tuple[Floats, Floats] | None:
    """Return times and states up to the moment that reflow ends on, None where it does not come.

    Joints that have melted stay behind the stand-in, which knows no latent heat.
    """
    own = reduced.ambient_c + states @ reduced.at_joints[model.target_joints].T
    leading = own.min(axis=2)
    behind = _behind_c(model, reduced, _rate_1_s(times, leading[:, 0], recipe))
    at, share, reached = lift((own - behind).min(axis=2), recipe)
    if not reached[0]:
        return None
    end_s = between(times[:, None], at, share)
    return np.append(times[: at[0]], end_s), np.vstack([states[: at[0], 0], between(states, at, share)])


def _rate_1_s(times: Floats, leading_c: Floats, recipe: Recipe) -> float:
    """Return over how short a time a joint passes from liquidus to the lift temperature, as a rate, 1/s."""
    slope = ramp_at_c_s(times, leading_c, recipe.liquidus_c, float(times[-1]))
    return slope / (recipe.lift_at_c - recipe.liquidus_c)


def _behind_c(model: ThermalModel, reduced: Reduced, rate_1_s: float) -> Floats:
    """Return how far latent heat keeps each joint of the target behind at a rate s, (own joints,) C.

    Heat L drawn in the course of 1/s takes s (L + s M)^-1 L off; between the rates of the stand-in by powers of s.
    """
    own = model.joint_share[model.target_joints]
    latent_j = np.zeros(model.capacity_j_k.size)
    latent_j[model.melting.node] = model.melting.latent_j
    latent_j[np.setdiff1d(np.arange(latent_j.size), own.indices)] = 0.0
    rates = sorted(reduced.factors)
    drops = np.log([np.maximum(own @ (s * reduced.factors[s].solve(latent_j)), 1e-6) for s in rates])
    at = np.log(np.clip(rate_1_s, rates[0], rates[-1]))
    return np.exp([np.interp(at, np.log(rates), drop) for drop in drops.T])


def _fields(reduced: Reduced, states: Floats) -> Floats:
    """Return the nodal fields of states (k, r), (k, n)."""
    return np.asarray(reduced.ambient_c + states @ reduced.basis.T)
