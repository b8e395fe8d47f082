"""The small stand-in of a model against the model itself."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from leeward.bench.fit import Fixed, fits
from leeward.bench.read import read_bench
from leeward.bench.records import Stage
from leeward.heat.covers import Cover, WetSink
from leeward.heat.factors import Factors
from leeward.heat.jets import jet
from leeward.heat.loads import Loads
from leeward.heat.model import assemble
from leeward.heat.recipe import Held, Recipe, starting_recipe
from leeward.heat.records import ThermalModel
from leeward.heat.reduced import Reduced, lumped, reduce
from leeward.heat.reduced_run import march, still, weather
from leeward.heat.run import march_stages
from leeward.heat.scaled import scaled
from leeward.heat.stepping import surroundings
from thermal_boards import board, chip, parts, pour, quad

BENCH = read_bench()


@pytest.fixture(scope="module", params=["quad-18x18", "bore-8"])
def setting(request: pytest.FixtureRequest) -> tuple[ThermalModel, Loads, Recipe, Reduced]:
    """Return a quad with a few chips beside it and a plane below, under a box and under a bore."""
    target = quad("U1", 0.0, 0.0, 14.0)
    near = [chip("C1", 13.0, 0.0), chip("C2", 0.0, -16.0), chip("C3", 4.0, 3.0, bottom=True)]
    outline = shapely.box(-30, -30, 30, 30)
    prints = tuple(part.footprint for part in (target, *near))
    plane = pour("B.Cu", shapely.box(-30, -30, 5, 30))
    everything = parts(target, *near)
    model = assemble(board(outline, footprints=prints, zones=(plane,)), everything, target)
    fit = fits(everything, target, BENCH, Fixed(request.param))[0]
    loads = Loads(fit, "top", BENCH.board_heater, BENCH.ambient_c)
    recipe = starting_recipe(BENCH, target, fit.nozzle, "SAC305", Held())
    return model, loads, recipe, reduce(model, loads, recipe.stages)


def run_reduced(
    model: ThermalModel, reduced: Reduced, loads: Loads, stages: tuple[Stage, ...], step_s: float
) -> "np.ndarray":
    """Return the states at the ends of all steps of a recipe's stages, (k, r)."""
    state, states = still(reduced, 1), []
    for stage in stages:
        around = weather(model, reduced, [loads], [stage])
        _, marched = march(reduced, around, [loads.factors], state, stage.seconds, step_s)
        states += list(marched[1:, 0])
        state = marched[-1]
    return np.array(states)


@pytest.mark.parametrize(("air_c", "flow", "heater_c"), [(0, 1.0, 0), (50, 0.6, -40), (-40, 1.4, 30)])
def test_joints_and_bodies_follow_the_full_model(
    setting: tuple[ThermalModel, Loads, Recipe, Reduced], air_c: float, flow: float, heater_c: float
) -> None:
    """Under the recipe it was made for and under others, joints of the target stay within 1 C, bodies within 2 C."""
    model, loads, recipe, reduced = setting
    stages = tuple(
        replace(
            stage,
            seconds=60.0,
            air_c=None if stage.air_c is None else stage.air_c + air_c,
            flow_l_min=None if stage.flow_l_min is None else stage.flow_l_min * flow,
            board_heater_c=None if stage.board_heater_c is None else stage.board_heater_c + heater_c,
        )
        for stage in recipe.stages[:3]
    )
    full = march_stages(model, loads, replace(recipe, stages=stages, ends_on_melt=False))
    states = run_reduced(model, reduced, loads, stages, 1.0)
    last = 25.0 + reduced.at_joints @ states[-1]
    own = model.target_joints
    assert last[own] == pytest.approx(full.joint_c[-1][own], abs=1.0)
    tops = 25.0 + reduced.at_tops @ states[-1]
    assert tops == pytest.approx(full.body_c[-1], abs=2.0)
    assert np.ptp(last[own]) > 1.0  # there is something to tell apart


def test_lumps_keep_area_and_conductance(setting: tuple[ThermalModel, Loads, Recipe, Reduced]) -> None:
    """Lumping the faces loses neither area nor the sum of h A."""
    model, loads, recipe, reduced = setting
    blown = jet(model.faces, loads, recipe.stages[2])
    small = lumped(reduced, blown)
    assert reduced.faces.area_m2.sum() == pytest.approx(model.faces.area_m2.sum())
    assert (reduced.faces.area_m2 * small.h_w_m2k).sum() == pytest.approx((model.faces.area_m2 * blown.h_w_m2k).sum())
    assert reduced.faces.node.size < model.faces.node.size / 5


def test_factors_act_on_the_stand_in_as_on_the_model(setting: tuple[ThermalModel, Loads, Recipe, Reduced]) -> None:
    """A heavier laminate and thicker copper change the stand-in's joints as they change the model's, within 1 C."""
    model, loads, recipe, reduced = setting
    factors = Factors(laminate_heat=1.15, copper=1.2, body_heat=1.2, heater=0.8, air_h=0.9)
    other = replace(loads, factors=factors)
    stages = tuple(replace(stage, seconds=40.0) for stage in recipe.stages[:3])
    held = replace(recipe, stages=stages, ends_on_melt=False)
    own = model.target_joints

    def change(after: "np.ndarray", before: "np.ndarray") -> "np.ndarray":
        return np.asarray(after[own] - before[own])

    full = change(
        march_stages(scaled(model, factors), other, held).joint_c[-1], march_stages(model, loads, held).joint_c[-1]
    )
    state = still(reduced, 2)
    for stage in stages:
        around = weather(model, reduced, [loads, other], [stage, stage])
        _, marched = march(reduced, around, [Factors(), factors], state, stage.seconds, 1.0)
        state = marched[-1]
    plain, changed = (reduced.at_joints @ each for each in state)
    assert change(changed, plain) == pytest.approx(full, abs=1.0)
    assert np.abs(full).max() > 3.0


def test_covers_reach_what_the_lumps_meet(setting: tuple[ThermalModel, Loads, Recipe, Reduced]) -> None:
    """With tape over a part and gel under the board, lumps have what their faces have from the full model, by area."""
    model, loads, _, reduced = setting
    laid = (
        Cover("top", shapely.box(-30, -30, 30, 30), 0.05),
        WetSink("bottom", shapely.box(0, -5, 30, 5), 600.0, 100.0),
    )
    sheltered = replace(loads, covers=laid)
    stage = Stage("soak", 60.0, board_heater_c=190.0)
    full, lumps = surroundings(model, sheltered, stage), weather(model, reduced, [sheltered], [stage])
    for each, meant in ((lumps.heater_w_m2k, full.heater_w_m2k), (lumps.room, full.room)):
        assert float((each[0] * reduced.faces.area_m2).sum()) == pytest.approx(
            float((meant * model.faces.area_m2).sum())
        )
    heat = full.heater_w_m2k * (full.heater_c - 25.0) * model.faces.area_m2
    assert float((lumps.heater_w_m2k * (lumps.heater_c - 25.0))[0] @ reduced.faces.area_m2) == pytest.approx(
        float(heat.sum())
    )
    bare = weather(model, reduced, [loads], [stage])
    assert lumps.room.sum() < bare.room.sum()
