"""Plans of thermocouple runs."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from calibrate.twins import BENCH, loads_over, two_targets
from leeward.calibrate.places import candidates
from leeward.calibrate.plan import Plan, plan
from leeward.heat.doubt import uncalibrated
from leeward.heat.recipe import Held, starting_recipe
from leeward.parts.records import Parts


def planned(channels: int, entries: Parts | None = None) -> Plan:
    """Return the plan for the first of the twin board's targets."""
    held, everything, first, _ = two_targets()
    loads = loads_over(first)
    recipe = starting_recipe(BENCH, first, loads.fit.nozzle, "SAC305", Held())
    return plan(held, entries or everything, first, loads, recipe, uncalibrated(loads.fit.nozzle), channels)


@pytest.fixture(scope="module")
def four() -> Plan:
    """Return a plan with four thermocouples."""
    return planned(4)


def test_probes_are_apart_and_each_tells_less_than_those_before(four: Plan) -> None:
    """Four different places are named, whose shares of what is told fall and add up to one."""
    assert [probe.name for probe in four.probes] == ["T1", "T2", "T3", "T4"]
    assert len({(probe.spot.x_mm, probe.spot.y_mm, probe.spot.side, probe.spot.pad) for probe in four.probes}) == 4
    shares = [probe.share for probe in four.probes]
    assert sum(shares) == pytest.approx(1.0)
    assert shares == sorted(shares, reverse=True)


def test_the_run_is_worth_making(four: Plan) -> None:
    """By the model the run takes most of the doubt of the air and of the neighbours' peaks away."""
    after = four.spread_after[-1]
    assert after["air_h"] < four.spread_before["air_h"] / 2
    assert after["heater"] < four.spread_before["heater"] / 4
    assert four.neighbours_after_c[-1] < four.neighbours_before_c / 2
    assert 1 <= len(four.runs) <= 3


def test_more_probes_never_tell_less() -> None:
    """With one probe more doubt is left than with four, and with four the first is the one that was best alone."""
    one = planned(1)
    assert one.neighbours_after_c[0] >= planned(4).neighbours_after_c[0]


def test_stages_are_the_recipes_and_end_when_the_joints_are_hot(four: Plan) -> None:
    """The run has the recipe's stages, its reflow no longer than the recipe's ceiling, in steps of ten seconds."""
    first = two_targets()[2]
    recipe = starting_recipe(BENCH, first, four.loads.fit.nozzle, "SAC305", Held())
    ceiling = sum(stage.seconds for stage in recipe.stages if stage.name == "reflow")
    planned_s = sum(stage.seconds for stage in four.runs[0].stages if stage.name == "reflow")
    assert 20 <= planned_s <= ceiling
    assert planned_s % 10 == 0
    assert four.runs[0].stages[0].name == "preheat"
    assert four.runs[0].stages[-1].name == "cool"


def test_places_lie_where_a_probe_can_sit() -> None:
    """Bare places are on the board and clear of bodies on their side; parts that come off first hold no probe."""
    held, entries, first, _ = two_targets()
    hazard = replace(entries.by_id["id-C10"], hazards=("electrolytic",))
    marked = replace(entries, by_id={**entries.by_id, hazard.id: hazard})
    places = candidates(held, marked, first, loads_over(first))
    assert {spot.part_id for spot in places} >= {first.id, "id-C11"}
    assert hazard.id not in {spot.part_id for spot in places}
    for spot in (spot for spot in places if spot.part_id is None):
        point = shapely.Point(spot.x_mm, spot.y_mm)
        assert held.outline.contains(point)
        standing = [part.body for part in marked.by_id.values() if part.footprint.side == spot.side]
        assert min(point.distance(body) for body in standing) > 0.4
    assert {spot.side for spot in places} == {"top", "bottom"}


def test_pads_looked_at_are_spread_over_the_part() -> None:
    """Of many pads some are looked at, from all sides of the part."""
    held, entries, first, _ = two_targets()
    pads = [spot for spot in candidates(held, entries, first, loads_over(first)) if spot.pad is not None]
    middle = first.body.centroid
    assert len(pads) == 12
    turns = {int(np.round(np.arctan2(spot.y_mm - middle.y, spot.x_mm - middle.x) / (np.pi / 2))) % 4 for spot in pads}
    assert turns == {0, 1, 2, 3}
