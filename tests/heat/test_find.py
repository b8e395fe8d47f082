"""The search for a recipe, the trials it is made of, and the spread of the answer."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from leeward.bench.fit import Fixed, fits
from leeward.bench.read import read_bench
from leeward.bench.records import Bench
from leeward.heat.doubt import Doubt, uncalibrated
from leeward.heat.factors import NAMES, Factors
from leeward.heat.find import VERDICTS, Limits, RecipeAnswer, find
from leeward.heat.histories import crossings_s
from leeward.heat.loads import Loads
from leeward.heat.model import assemble
from leeward.heat.recipe import Held, Recipe, starting_recipe
from leeward.heat.records import ThermalModel
from leeward.heat.reduced import Reduced, reduce
from leeward.heat.run import march_stages
from leeward.heat.spread import spread
from leeward.heat.trials import try_out
from thermal_boards import board, chip, parts, pour, quad

BENCH = read_bench()
Setting = tuple[ThermalModel, Loads, Recipe, Reduced]


@pytest.fixture(scope="module")
def setting() -> Setting:
    """Return a quad with chips beside it over a plane, under a box."""
    target = quad("U1", 0.0, 0.0, 14.0)
    near = [chip("C1", 13.0, 0.0), chip("C2", 0.0, -16.0)]
    outline = shapely.box(-30, -30, 30, 30)
    prints = tuple(part.footprint for part in (target, *near))
    everything = parts(target, *near)
    model = assemble(board(outline, footprints=prints, zones=(pour("B.Cu", outline),)), everything, target)
    fit = fits(everything, target, BENCH, Fixed())[0]
    loads = Loads(fit, "top", BENCH.board_heater, BENCH.ambient_c)
    recipe = starting_recipe(BENCH, target, fit.nozzle, "SAC305", Held())
    return model, loads, recipe, reduce(model, loads, recipe.stages)


def limits(model: ThermalModel, *, top_c: float = 260.0, ramp_c_s: float = 3.0, seconds: float = 480.0) -> Limits:
    """Return limits with neighbours that bear 260 C."""
    ids = list(model.bodies)
    spared = np.array([np.inf if name == model.target_id else 260.0 for name in ids])
    return Limits(top_c, ramp_c_s, seconds, np.full(len(ids), np.inf), spared)


def answer(
    setting: Setting,
    asked: Limits | None = None,
    *,
    bench: Bench = BENCH,
    held: Held | None = None,
    doubt: Doubt | None = None,
) -> RecipeAnswer:
    """Return what the search finds."""
    model, loads, recipe, reduced = setting
    held_true = doubt or uncalibrated(loads.fit.nozzle)
    return find(model, reduced, loads, recipe, bench, asked or limits(model), held or Held(), held_true)


def test_the_recipe_found_keeps_every_limit_in_the_full_model(setting: Setting) -> None:
    """Solved whole, the recipe melts the last joint before the ceiling, under the body's limit and the ramp's."""
    model, loads, _, _ = setting
    found = answer(setting, limits(model, ramp_c_s=4.0))
    assert found.works
    run = march_stages(model, loads, found.recipe)
    own = model.target_joints
    assert run.joint_c[:, own].min(axis=1).max() >= found.recipe.lift_at_c
    top = list(model.bodies).index(model.target_id)
    assert run.body_c[:, top].max() <= 260.0 + 3.0
    times = np.arange(0.0, run.time_s[-1], 1.0)
    joints = np.column_stack([np.interp(times, run.time_s, history) for history in run.joint_c[:, own].T])
    assert (joints[6:] - joints[:-6]).max() / 6.0 <= 4.4


def test_of_the_settings_that_work_one_with_the_least_harm_is_taken(setting: Setting) -> None:
    """No setting of the window that reflows with cooler air and a cooler heater than the one taken was passed over."""
    found = answer(setting, limits(setting[0], ramp_c_s=4.0))
    reflow = next(stage for stage in found.recipe.stages if stage.name == "reflow")
    row = found.window.board_heater_c.index(reflow.board_heater_c)
    column = found.window.air_c.index(reflow.air_c or 0.0)
    assert found.window.verdict[row][column] == "reflows"
    assert found.window.flow_l_min == reflow.flow_l_min


def test_hotter_settings_never_turn_too_hot_into_too_cold(setting: Setting) -> None:
    """Along each row of the window the verdicts go from too cold on; with a hotter heater no later than before."""
    window = answer(setting).window
    first = [next((i for i, word in enumerate(row) if word != "too cold"), len(row)) for row in window.verdict]
    assert all(word != "too cold" for row, start in zip(window.verdict, first, strict=True) for word in row[start:])
    assert all(later <= earlier for earlier, later in zip(first[:-1], first[1:], strict=True))
    assert {word for row in window.verdict for word in row} <= set(VERDICTS)


def test_what_the_user_holds_stays(setting: Setting) -> None:
    """Held air, flow and heater are in the recipe as given, and the window has that one setting."""
    found = answer(setting, held=Held(air_c=333.0, flow_l_min=22.0, board_heater_c=175.0))
    reflow = next(stage for stage in found.recipe.stages if stage.name == "reflow")
    assert (reflow.air_c, reflow.flow_l_min, reflow.board_heater_c) == (333.0, 22.0, 175.0)
    assert (found.window.board_heater_c, found.window.air_c) == ((175.0,), (333.0,))


@pytest.mark.parametrize(
    ("top_c", "ramp", "seconds", "held", "word"),
    [
        (200.0, 3.0, 480.0, Held(), "over 200 C"),
        (260.0, 0.2, 480.0, Held(), "over 0 C/s"),
        (260.0, 3.0, 150.0, Held(), "past the 150 s"),
        (260.0, 3.0, 480.0, Held(air_c=200.0, board_heater_c=0.0), "give more heat from below"),
    ],
)
def test_where_nothing_works_the_limit_that_stops_it_is_named(
    setting: Setting, top_c: float, ramp: float, seconds: float, held: Held, word: str
) -> None:
    """A body limit under the alloy's, a ramp of almost nothing, too little time, too little heat: each says itself."""
    found = answer(setting, limits(setting[0], top_c=top_c, ramp_c_s=ramp, seconds=seconds), held=held)
    assert not found.works
    assert word in found.why


def test_a_bench_without_a_heater_is_asked_for_none(setting: Setting) -> None:
    """With no board heater on the bench, every setting tried leaves it off."""
    bare = replace(BENCH, board_heater=replace(BENCH.board_heater, kind="none"))
    found = answer(setting, bench=bare)
    assert found.window.board_heater_c == (None,)
    assert all(stage.board_heater_c is None for stage in found.recipe.stages)


def test_trials_agree_with_runs_of_the_full_model(setting: Setting) -> None:
    """Three recipes tried at once melt within 3 s of the full model, with tops and joints within 2 C at the lift."""
    model, loads, recipe, reduced = setting
    recipes = [
        replace(
            recipe,
            stages=tuple(
                stage if stage.air_c is None else replace(stage, air_c=air_c, flow_l_min=flow)
                for stage in recipe.stages
            ),
        )
        for air_c, flow in ((350.0, 25.0), (390.0, 20.0), (420.0, 35.0))
    ]
    trials = try_out(model, reduced, [loads] * 3, recipes)
    for i, each in enumerate(recipes):
        run = march_stages(model, loads, replace(each, stages=each.stages[:3]))
        assert trials.melts[i]
        assert trials.seconds[i] == pytest.approx(run.legs[-1].time_s[-1] - run.legs[-1].time_s[0], abs=3.0)
        own = run.joint_c[:, model.target_joints]
        melted = crossings_s(run.time_s, own, each.liquidus_c, float(run.legs[-1].time_s[0]))
        assert trials.melt_s[i] == pytest.approx(melted, abs=3.0)
        assert trials.joint_c[i, model.target_joints] == pytest.approx(run.joint_c[-1, model.target_joints], abs=3.5)
        assert trials.body_peak_c[i] == pytest.approx(run.body_c.max(axis=0), abs=3.5)
    assert np.ptp(trials.seconds) > 10.0


def in_doubt(**spread_of: float) -> Doubt:
    """Return factors of 1 with these relative spreads, each for itself."""
    logs = np.log1p([spread_of.get(name, 0.0) for name in NAMES])
    return Doubt(Factors(), np.diag(logs**2), 0.05)


def test_inputs_that_go_together_cancel_in_the_spread(setting: Setting) -> None:
    """Two inputs that make up for each other leave less doubt together than either alone, two that add up more."""
    model, loads, recipe, reduced = setting
    each = {name: spread(model, reduced, loads, recipe, in_doubt(**{name: 0.1})).melt_s for name in ("air_h", "flow")}
    against, along = in_doubt(air_h=0.1, flow=0.1), in_doubt(air_h=0.1, flow=0.1)
    for doubt, correlation in ((against, -0.95), (along, 0.95)):
        a, b = NAMES.index("air_h"), NAMES.index("flow")
        doubt.covariance[a, b] = doubt.covariance[b, a] = correlation * np.log1p(0.1) ** 2
    assert np.all(spread(model, reduced, loads, recipe, against).melt_s < np.minimum(*each.values()))
    assert np.all(spread(model, reduced, loads, recipe, along).melt_s > np.maximum(*each.values()))


def test_each_doubtful_input_adds_its_share_to_the_spread(setting: Setting) -> None:
    """Two inputs in doubt spread the moment of melting by the root of their squares; none leaves it certain."""
    model, loads, recipe, reduced = setting
    one, other, both, none = (
        spread(model, reduced, loads, recipe, in_doubt(**doubts))
        for doubts in ({"air_h": 0.1}, {"outlet": 0.05}, {"air_h": 0.1, "outlet": 0.05}, {})
    )
    assert both.melt_s == pytest.approx(np.hypot(one.melt_s, other.melt_s), rel=1e-6)
    assert min(one.melt_s.min(), other.melt_s.min()) > 0.5
    assert none.melt_s.max() == 0.0
    last = int(both.joint_c[model.target_joints].argmin())
    assert both.last_by == pytest.approx({"air_h": one.melt_s[last], "outlet": other.melt_s[last]})


def test_a_spread_is_half_of_what_lies_between_up_and_down(setting: Setting) -> None:
    """With the air a spread stronger and weaker each joint melts earlier and later, in all by two spreads.

    Weak air costs more time than strong air saves, so that the window reaches further out on the late side.
    """
    model, loads, recipe, reduced = setting
    doubt = spread(model, reduced, loads, recipe, in_doubt(air_h=0.2))
    moved = [replace(loads, factors=Factors(air_h=factor)) for factor in (1.0, 1.2, 1 / 1.2)]
    usual_s, strong_s, weak_s = try_out(model, reduced, moved, [recipe] * 3).melt_s
    assert doubt.melt_s == pytest.approx((weak_s - strong_s) / 2, rel=1e-6)
    assert doubt.earlier_s == pytest.approx(usual_s - strong_s, rel=1e-6)
    assert doubt.later_s == pytest.approx(weak_s - usual_s, rel=1e-6)
    assert np.all(doubt.later_s > doubt.earlier_s)


def test_a_joint_that_stays_solid_melts_at_the_end_of_reflow_at_the_earliest(setting: Setting) -> None:
    """Air that is too cool melts nothing: the moment stands at the end of the time that reflow may last."""
    model, loads, recipe, reduced = setting
    cool = replace(recipe, stages=tuple(replace(stage, air_c=None) for stage in recipe.stages))
    trials = try_out(model, reduced, [loads], [cool])
    assert not trials.melts[0]
    assert trials.melt_s[0] == pytest.approx(recipe.reflow.seconds)


def test_as_reflow_ends_on_the_watched_joint_its_own_temperature_is_certain(setting: Setting) -> None:
    """At the event the joint that melts last is at the lift temperature whatever the air does; far parts are not."""
    model, loads, recipe, reduced = setting
    doubt = spread(model, reduced, loads, recipe, in_doubt(air_h=0.1))
    own = doubt.joint_c[model.target_joints]
    assert own.min() < 0.3
    assert doubt.joint_peak_c[model.target_joints].max() > own.min()


def test_a_neighbours_spread_is_computed_and_grows_with_the_doubt(setting: Setting) -> None:
    """Neighbours near and far have spreads of their own, larger where the input is in more doubt."""
    model, loads, recipe, reduced = setting
    little, much = (spread(model, reduced, loads, recipe, in_doubt(reach=doubt)) for doubt in (0.1, 0.3))
    assert np.all(much.body_peak_c >= little.body_peak_c - 1e-9)
    assert np.ptp(much.body_peak_c) > 1.0


def test_what_is_known_of_the_air_counts(setting: Setting) -> None:
    """A bench whose air is known gets a recipe that harms no more than one that must also melt with weaker air."""
    model, loads, _, reduced = setting
    unsure = uncalibrated(loads.fit.nozzle)
    lenient = limits(model, top_c=320.0, ramp_c_s=10.0)
    sure = replace(unsure, covariance=unsure.covariance * 1e-6)
    known, guessed = (answer(setting, lenient, doubt=each).recipe for each in (sure, unsure))
    weak = replace(loads, factors=replace(loads.factors, air_h=1 / (1 + unsure.spread["air_h"])))
    trials = try_out(model, reduced, [loads, loads, weak], [known, guessed, guessed])
    assert bool(trials.melts.all())
    assert trials.body_peak_c[0].max() <= trials.body_peak_c[1].max() + 1e-9
    assert known != guessed
