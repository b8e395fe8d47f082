"""Solve a recipe, and sum up what each joint, each body and the board went through."""

import math
from collections.abc import Sequence

import numpy as np
from shapely.geometry.base import BaseGeometry

from leeward.board.records import Side
from leeward.constants import number
from leeward.heat.balance import arrivals, energy
from leeward.heat.grid import Floats
from leeward.heat.histories import all_seconds_above, crossings_s, ramps_c_s, seconds_above
from leeward.heat.loads import Loads, arrive
from leeward.heat.recipe import Recipe
from leeward.heat.records import BodyHeat, Exposure, Heat, JointHeat, MeltWindow, Series, ThermalModel, Zone
from leeward.heat.run import Run, march_stages
from leeward.heat.spread import Spread
from leeward.heat.zones import zone

SIDES: tuple[Side, Side] = ("top", "bottom")
NOT_MODELLED = "not modelled: air past tall neighbours, a tilted nozzle"


def solve(
    model: ThermalModel,
    loads: Loads,
    recipe: Recipe,
    outline: BaseGeometry,
    zone_levels_c: tuple[float, ...],
    doubt: Spread,
) -> Heat:
    """Return the heat of a recipe; `outline` is the board's, to cut the zones off at, `doubt` the answer's spread."""
    return summed_up(model, recipe, march_stages(model, loads, recipe), outline, zone_levels_c, doubt)


def summed_up(
    model: ThermalModel,
    recipe: Recipe,
    run: Run,
    outline: BaseGeometry,
    zone_levels_c: tuple[float, ...],
    doubt: Spread,
) -> Heat:
    """Return the heat of a recipe that was run, on the model itself or on its stand-in."""
    time_s, joint_c, body_c = run.time_s, run.joint_c, run.body_c
    ends = _stage_ends(run)
    joints = _joint_heats(model, recipe, time_s, joint_c, ends, doubt)
    own = model.target_joints
    coldest = own[np.argmin(joint_c[:, own].max(axis=0))]
    hottest = own[np.argmax(joint_c[:, own].max(axis=0))]
    return Heat(
        alloy_liquidus_c=recipe.liquidus_c,
        stage_ends_s=ends,
        reaches_reflow=joints[coldest].lift_c >= recipe.liquidus_c,
        why=_why(recipe, joints[coldest]),
        joints=joints,
        bodies=_body_heats(model, run, time_s, body_c, doubt),
        target_top_peak_c=float(body_c[:, model.target_body].max()),
        board_peak_c=float(run.peak_c[: len(model.stack.sheets) * model.columns].max()),
        far_peak_c=_edge_mean(model, run.peak_c),
        seconds_above_tg=seconds_above(
            time_s, joint_c[:, hottest], number("materials", "laminate", "glass_transition_c")
        ),
        max_ramp_c_s=float(ramps_c_s(time_s, joint_c[:, own]).max()),
        energy=energy(model, run),
        exposure=_exposure(model, run),
        zones=_zones(model, run, outline, zone_levels_c),
        time_s=time_s,
        series=_series(model, run, joint_c, body_c, int(coldest), int(hottest)),
        body_c=body_c,
        spread_c=_typical_spread_c(body_c.max(axis=0) - run.start.min(), doubt),
        seconds_spread_by=doubt.last_by,
        validity=_validity(run),
    )


def _stage_ends(run: Run) -> dict[str, float]:
    """Return when each stage ended, in order; of a recipe without reflow the run's end stands for it."""
    ends: dict[str, float] = {leg.stage.name: float(leg.time_s[-1]) for leg in run.legs}
    ends.setdefault("reflow", float(run.legs[-1].time_s[-1]))
    return ends


def _joint_heats(
    model: ThermalModel, recipe: Recipe, time_s: Floats, joint_c: Floats, ends: dict[str, float], doubt: Spread
) -> tuple[JointHeat, ...]:
    lift = int(np.searchsorted(time_s, ends["reflow"]))
    start_s = ends.get("soak", ends.get("preheat", 0.0))
    crossed = crossings_s(time_s, joint_c, recipe.liquidus_c, start_s).tolist()
    melts = [None if math.isnan(melt_s) else melt_s for melt_s in crossed]
    figures = zip(
        model.joints,
        joint_c.max(axis=0).tolist(),
        joint_c[lift].tolist(),
        melts,
        all_seconds_above(time_s, joint_c, recipe.liquidus_c).tolist(),
        doubt.joint_c.tolist(),
        doubt.joint_peak_c.tolist(),
        _windows(model, melts, doubt, recipe.reflow.seconds),
        strict=True,
    )
    return tuple(JointHeat(*figure) for figure in figures)


def _windows(
    model: ThermalModel, melts: Sequence[float | None], doubt: Spread, most_s: float
) -> list[MeltWindow | None]:
    """Return within what time the target's joints melt; None of joints that do not, and of neighbours'."""
    found: list[MeltWindow | None] = [None] * len(melts)
    spreads = zip(doubt.melt_s.tolist(), doubt.earlier_s.tolist(), doubt.later_s.tolist(), strict=True)
    for i, (spread_s, earlier_s, later_s) in zip(model.target_joints.tolist(), spreads, strict=True):
        at = melts[i]
        if at is not None:
            found[i] = MeltWindow(spread_s, max(at - earlier_s, min(at, 0.0)), min(at + later_s, max(at, most_s)))
    return found


def _body_heats(model: ThermalModel, run: Run, time_s: Floats, body_c: Floats, doubt: Spread) -> dict[str, BodyHeat]:
    ramps = ramps_c_s(time_s, body_c)
    by_air, by_copper = arrivals(model, run)
    return {
        part_id: BodyHeat(
            float(body_c[:, i].max()), float(doubt.body_peak_c[i]), float(ramps[i]), by_air[i], by_copper[i]
        )
        for i, part_id in enumerate(model.bodies)
    }


def _exposure(model: ThermalModel, run: Run) -> Exposure:
    leg = run.reflow
    faces, jet = model.faces, leg.around.jet
    air_c = arrive(jet, faces, leg.face_c).air_c
    return Exposure(faces.x_mm, faces.y_mm, faces.on_top, jet.h_w_m2k, air_c, leg.face_c)


def _typical_spread_c(rise_c: Floats, doubt: Spread) -> float:
    """Return the root mean square of the bodies' spreads, weighted by how much each warms up."""
    return float(np.sqrt(np.average(doubt.body_peak_c**2, weights=np.maximum(rise_c, 1e-3))))


def _zones(model: ThermalModel, run: Run, outline: BaseGeometry, levels_c: tuple[float, ...]) -> tuple[Zone, ...]:
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
    model: ThermalModel, run: Run, joint_c: Floats, body_c: Floats, coldest: int, hottest: int
) -> tuple[Series, ...]:
    own = model.target_id
    return (
        Series(f"coldest joint, pad {model.joints[coldest].pad}", own, joint_c[:, coldest]),
        Series(f"hottest joint, pad {model.joints[hottest].pad}", own, joint_c[:, hottest]),
        Series("top of the target", own, body_c[:, model.target_body]),
        Series("board behind the target", None, run.behind_c),
    )


def _validity(run: Run) -> tuple[str, ...]:
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
