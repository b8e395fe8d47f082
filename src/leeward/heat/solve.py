"""Solve a recipe: march the stages, end reflow when the coldest joint is liquid, and sum up what happened."""

from dataclasses import dataclass

import numpy as np
from shapely.geometry.base import BaseGeometry

from leeward.bench.records import Stage
from leeward.board.records import Side
from leeward.constants import number
from leeward.heat.grid import Floats
from leeward.heat.loads import Loads
from leeward.heat.recipe import Recipe
from leeward.heat.records import BodyHeat, Energy, Heat, JointHeat, Series, ThermalModel, Zone
from leeward.heat.stepping import Fluxes, Surroundings, fluxes, march, step_of, surroundings
from leeward.heat.zones import zone

RAMP_WINDOW_S = 5.0  # rates are means over this time: a thermocouple on a joint follows no faster
SIDES: tuple[Side, Side] = ("top", "bottom")
NOT_MODELLED = "not modelled: air past tall neighbours, a tilted or moving nozzle, the latent heat of solder"
HISTORIES = 3  # so many of the hottest neighbours keep their history in the answer


@dataclass(frozen=True, slots=True)
class _Leg:
    """One stage as it was marched, at times (k,) s, its start included."""

    stage: Stage
    around: Surroundings
    time_s: Floats
    flux: tuple[Fluxes, ...]  # at each time, from the stored field and the laws
    joint_c: Floats  # (k, joints)
    body_c: Floats  # (k, bodies), top faces
    core_c: Floats  # (k, bodies)


@dataclass(frozen=True, slots=True)
class _Run:
    legs: tuple[_Leg, ...]
    start: Floats
    end: Floats
    peak_c: Floats  # (n,)


def solve(
    model: ThermalModel, loads: Loads, recipe: Recipe, outline: BaseGeometry, zone_levels_c: tuple[float, ...]
) -> Heat:
    """Return the heat of a recipe; `outline` is the board's, to cut the zones off at."""
    run = _march_stages(model, loads, recipe)
    time_s, joint_c, body_c = (_joined(run, name) for name in ("time_s", "joint_c", "body_c"))
    ends = _stage_ends(run)
    joints = _joint_heats(model, recipe, time_s, joint_c, ends)
    own = model.target_joints
    coldest = own[np.argmin(joint_c[:, own].max(axis=0))]
    hottest = own[np.argmax(joint_c[:, own].max(axis=0))]
    return Heat(
        alloy_liquidus_c=recipe.liquidus_c,
        stage_ends_s=ends,
        reaches_reflow=joints[coldest].lift_c >= recipe.liquidus_c,
        why=_why(recipe, joints[coldest]),
        joints=joints,
        bodies=_body_heats(model, run, time_s, body_c),
        target_top_peak_c=float(body_c[:, list(model.bodies).index(model.target_id)].max()),
        board_peak_c=float(run.peak_c[: len(model.stack.sheets) * model.columns].max()),
        far_peak_c=_edge_mean(model, run.peak_c),
        seconds_above_tg=_seconds_above(
            time_s, joint_c[:, hottest], number("materials", "laminate", "glass_transition_c")
        ),
        max_ramp_c_s=float(_ramps(time_s, joint_c[:, own]).max()),
        melt_ramp_c_s=_melt_ramp(time_s, joint_c[:, coldest], recipe.liquidus_c, ends["reflow"]),
        energy=_energy(model, run),
        zones=_zones(model, run, outline, zone_levels_c),
        time_s=time_s,
        series=_series(model, run, time_s, joint_c, body_c, int(coldest), int(hottest)),
        spread_c=number("heat", "spread", "jet_c"),
        validity=_validity(run),
        unknowns=model.capacity_j_k.size,
    )


def _march_stages(model: ThermalModel, loads: Loads, recipe: Recipe) -> _Run:
    start = np.full(model.capacity_j_k.size, loads.ambient_c)
    field, peak, now = start, start.copy(), 0.0
    legs: list[_Leg] = []
    for stage in (stage for stage in recipe.stages if stage.seconds > 0):
        around = surroundings(model, loads, stage)
        times, fields = _march_stage(model, around, stage, recipe, field)
        np.maximum(peak, np.max(fields, axis=0), out=peak)
        legs.append(_leg(model, stage, around, now + times, fields))
        field, now = fields[-1], now + float(times[-1])
    return _Run(tuple(legs), start, field, peak)


def _march_stage(
    model: ThermalModel, around: Surroundings, stage: Stage, recipe: Recipe, start: Floats
) -> tuple[Floats, list[Floats]]:
    """Return times from the stage's start (k,) and nodal fields; reflow ends early on its event."""
    ends_early = stage.name == "reflow" and recipe.ends_on_melt
    step_s = number("heat", "step", "reflow_s" if stage.name == "reflow" else "warm_s")
    fields = [start]
    for field in march(model, around, start, stage.seconds, step_s):
        fields.append(field)
        if ends_early and _coldest(model, field) >= recipe.lift_at_c:
            break
    return np.arange(len(fields), dtype=float) * step_of(stage.seconds, step_s), fields


def _leg(model: ThermalModel, stage: Stage, around: Surroundings, time_s: Floats, fields: list[Floats]) -> _Leg:
    nodal = np.array(fields)
    tops = [body.top_face for body in model.bodies.values()]
    cores = [body.core for body in model.bodies.values()]
    return _Leg(
        stage,
        around,
        time_s,
        tuple(fluxes(around, model.faces, field[model.faces.node]) for field in fields),
        (model.joint_share @ nodal.T).T,
        nodal[:, tops],
        nodal[:, cores],
    )


def _coldest(model: ThermalModel, field: Floats) -> float:
    return float((model.joint_share @ field)[model.target_joints].min())


def _joined(run: _Run, name: str) -> Floats:
    """Return one history over all stages, each stage's start given once."""
    arrays = [getattr(leg, name) for leg in run.legs]
    return np.concatenate([arrays[0], *(array[1:] for array in arrays[1:])])


def _stage_ends(run: _Run) -> dict[str, float]:
    """Return when each stage ended, in order; of a recipe without reflow the run's end stands for it."""
    ends: dict[str, float] = {leg.stage.name: float(leg.time_s[-1]) for leg in run.legs}
    ends.setdefault("reflow", float(run.legs[-1].time_s[-1]))
    return ends


def _joint_heats(
    model: ThermalModel, recipe: Recipe, time_s: Floats, joint_c: Floats, ends: dict[str, float]
) -> tuple[JointHeat, ...]:
    lift = int(np.searchsorted(time_s, ends["reflow"]))
    start_s = ends.get("soak", ends.get("preheat", 0.0))
    return tuple(
        JointHeat(
            joint=joint,
            peak_c=float(history.max()),
            lift_c=float(history[lift]),
            seconds_to_liquidus=_crossing(time_s, history, recipe.liquidus_c, start_s),
            seconds_above_liquidus=_seconds_above(time_s, history, recipe.liquidus_c),
        )
        for joint, history in zip(model.joints, joint_c.T, strict=True)
    )


def _crossing(time_s: Floats, history: Floats, level_c: float, since_s: float) -> float | None:
    """Return when a history first reaches a level, counted from `since_s`, by straight lines between samples."""
    above = np.flatnonzero(history >= level_c)
    if above.size == 0:
        return None
    i = int(above[0])
    if i == 0:
        return 0.0
    share = (level_c - history[i - 1]) / (history[i] - history[i - 1])
    return float(time_s[i - 1] + share * (time_s[i] - time_s[i - 1]) - since_s)


def _ramps(time_s: Floats, histories: Floats) -> Floats:
    """Return the steepest rise of each history, (k, n) to (n,), C/s, as the mean over RAMP_WINDOW_S."""
    even = np.arange(time_s[0], time_s[-1] + RAMP_WINDOW_S, 1.0)
    sampled = np.column_stack([np.interp(even, time_s, history) for history in histories.T])
    window = int(RAMP_WINDOW_S)
    steepest: Floats = (sampled[window:] - sampled[:-window]).max(axis=0) / RAMP_WINDOW_S
    return steepest


def _seconds_above(time_s: Floats, history: Floats, level_c: float) -> float:
    """Return how long a history stays above a level, by straight lines between samples."""
    low, high = np.minimum(history[:-1], history[1:]), np.maximum(history[:-1], history[1:])
    share = np.clip((high - level_c) / np.maximum(high - low, 1e-9), 0.0, 1.0)
    return float((share * np.diff(time_s)).sum())


def _melt_ramp(time_s: Floats, history: Floats, liquidus_c: float, end_s: float) -> float:
    slopes = np.diff(history) / np.diff(time_s)
    above = np.flatnonzero(history >= liquidus_c)
    at = int(above[0]) - 1 if above.size else int(np.searchsorted(time_s, end_s)) - 1
    return float(slopes[max(at, 0)])


def _body_heats(model: ThermalModel, run: _Run, time_s: Floats, body_c: Floats) -> dict[str, BodyHeat]:
    ramps = _ramps(time_s, body_c)
    by_air, by_copper = _arrivals(model, run)
    return {
        part_id: BodyHeat(float(body_c[:, i].max()), float(ramps[i]), by_air[i], by_copper[i])
        for i, part_id in enumerate(model.bodies)
    }


def _arrivals(model: ThermalModel, run: _Run) -> tuple[list[float], list[float]]:
    """Return the heat that each body took in during reflow from the nozzle's air, and by any other way, J.

    What did not come from the nozzle came through board and leads, or from the heater below.
    """
    leg = next((leg for leg in run.legs if leg.stage.name == "reflow"), run.legs[-1])
    jet_j = _at_nodes(model, leg, [flux.from_air_w for flux in leg.flux])
    room_j = _at_nodes(model, leg, [flux.to_room_w for flux in leg.flux])
    by_air, by_copper = [], []
    for i, body in enumerate(model.bodies.values()):
        nodes = list({body.top_face, body.core})
        rise = {body.core: leg.core_c[-1, i] - leg.core_c[0, i], body.top_face: leg.body_c[-1, i] - leg.body_c[0, i]}
        stored = sum(float(model.capacity_j_k[node] * rise[node]) for node in nodes)
        from_jet = float(jet_j[nodes].sum())
        by_air.append(max(from_jet, 0.0))
        by_copper.append(max(stored + float(room_j[nodes].sum()) - from_jet, 0.0))
    return by_air, by_copper


def _at_nodes(model: ThermalModel, leg: _Leg, power_w: list[Floats]) -> Floats:
    """Return the heat through the faces of each node over a leg, (n,) J."""
    joules = np.trapezoid(np.array(power_w), leg.time_s, axis=0)
    return np.bincount(model.faces.node, joules, minlength=model.capacity_j_k.size).astype(float)


def _energy(model: ThermalModel, run: _Run) -> Energy:
    """Sum the heat through the faces over the run, from the stored fields and the laws, by the trapezoid rule."""
    supplied = lost = taken = carried = 0.0
    for leg in run.legs:
        air_w = np.array([flux.from_air_w.sum() for flux in leg.flux])
        heater_w = np.array([flux.from_heater_w.sum() for flux in leg.flux])
        supplied += float(np.trapezoid(air_w + heater_w, leg.time_s))
        lost += float(np.trapezoid([flux.to_room_w.sum() for flux in leg.flux], leg.time_s))
        taken += float(np.trapezoid(air_w, leg.time_s))
        carried += float(np.trapezoid([flux.carried_w for flux in leg.flux], leg.time_s))
    stored = float(model.capacity_j_k @ (run.end - run.start))
    return Energy(supplied, stored, lost, (supplied - stored - lost) / max(supplied, 1e-9), taken, carried)


def _zones(model: ThermalModel, run: _Run, outline: BaseGeometry, levels_c: tuple[float, ...]) -> tuple[Zone, ...]:
    return tuple(
        zone(model.grid, model.sheet(run.peak_c, side), side, level, outline) for side in SIDES for level in levels_c
    )


def _edge_mean(model: ThermalModel, peak_c: Floats) -> float:
    rims = [
        rim
        for side in SIDES
        for field in [model.sheet(peak_c, side)]
        for rim in (field[0], field[-1], field[:, 0], field[:, -1])
    ]
    return float(np.nanmean(np.concatenate(rims)))


def _series(
    model: ThermalModel,
    run: _Run,
    time_s: Floats,
    joint_c: Floats,
    body_c: Floats,
    coldest: int,
    hottest: int,
) -> tuple[Series, ...]:
    ids = list(model.bodies)
    target = ids.index(model.target_id)
    warmest = [i for i in np.argsort(-body_c.max(axis=0), kind="stable") if i != target][:HISTORIES]
    named = [
        Series(f"coldest joint, pad {model.joints[coldest].pad}", model.target_id, joint_c[:, coldest]),
        Series(f"hottest joint, pad {model.joints[hottest].pad}", model.target_id, joint_c[:, hottest]),
        Series("top of the target", model.target_id, body_c[:, target]),
    ]
    return (*named, *(Series("body", ids[i], body_c[:, i]) for i in warmest))


def _validity(run: _Run) -> tuple[str, ...]:
    notes = [note for leg in run.legs for note in leg.around.jet.validity]
    return (*dict.fromkeys(notes), NOT_MODELLED)


def _why(recipe: Recipe, coldest: JointHeat) -> str:
    pad, at_lift = coldest.joint.pad, f"{coldest.lift_c:.0f} C"
    if coldest.lift_c < recipe.liquidus_c:
        return f"pad {pad} is at {at_lift} when reflow ends, under the liquidus of {recipe.liquidus_c:.0f} C"
    if not recipe.ends_on_melt:
        return f"the time of reflow is held; pad {pad}, the last, is at {at_lift} when it ends"
    if coldest.lift_c < recipe.lift_at_c:
        short = f"liquid but short of {recipe.lift_at_c:.0f} C, the temperature to lift at"
        return f"pad {pad} is at {at_lift} at the ceiling of reflow, {short}"
    return f"reflow ends as pad {pad}, the last, reaches {recipe.lift_at_c:.0f} C, the temperature to lift at"
