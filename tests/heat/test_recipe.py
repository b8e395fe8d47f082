"""The stages of a job."""

from typing import Literal

import pytest

from leeward.bench.read import read_bench
from leeward.bench.records import Nozzle
from leeward.errors import UsageError
from leeward.heat.air import air, mass_flow_kg_s
from leeward.heat.recipe import Held, Recipe, starting_recipe
from leeward.parts.records import Part
from thermal_boards import chip, quad

BENCH = read_bench()
BOX = next(nozzle for nozzle in BENCH.nozzles if nozzle.id == "quad-18x18")


def recipe_of(target: Part, nozzle: Nozzle = BOX, *, held: Held | None = None) -> Recipe:
    """Return the starting recipe of a target."""
    return starting_recipe(BENCH, target, nozzle, "SAC305", held or Held())


def test_larger_parts_get_more_air() -> None:
    """Of two gull-wing quads the larger one's recipe blows harder and may take longer."""
    small, large = recipe_of(quad("U1", 0, 0, 7.0)), recipe_of(quad("U1", 0, 0, 20.0))
    flows = [next(stage.flow_l_min or 0 for stage in r.stages if stage.name == "reflow") for r in (small, large)]
    assert flows[0] < flows[1]


def test_held_values_stand_as_given() -> None:
    """Held air, flow, heater and time are in the stages they belong to, and named; the heater is off in cool."""
    held = Held(air_c=333.0, flow_l_min=11.0, board_heater_c=155.0, seconds={"soak": 42.0})
    recipe = recipe_of(quad("U1", 0, 0, 7.0), held=held)
    by_name = {stage.name: stage for stage in recipe.stages}
    assert (by_name["reflow"].air_c, by_name["reflow"].flow_l_min) == (333.0, 11.0)
    assert [by_name[n].board_heater_c for n in ("preheat", "soak", "reflow", "cool")] == [155.0, 155.0, 155.0, None]
    assert by_name["soak"].seconds == 42.0
    assert by_name["soak"].air_c is None
    assert recipe.held == ("air", "flow", "board-heater", "stage soak")
    assert recipe.ends_on_melt


def test_a_held_reflow_no_longer_ends_on_melt() -> None:
    """The time of reflow, once held, decides; a heater held at 0 is off."""
    recipe = recipe_of(quad("U1", 0, 0, 7.0), held=Held(board_heater_c=0.0, seconds={"reflow": 30.0}))
    assert not recipe.ends_on_melt
    assert all(stage.board_heater_c is None for stage in recipe.stages)


@pytest.mark.parametrize("held", [Held(air_c=700.0), Held(flow_l_min=1.0), Held(board_heater_c=500.0)])
def test_the_bench_must_be_able_to(held: Held) -> None:
    """A held value outside the bench's range is refused with the range."""
    with pytest.raises(UsageError, match="outside what the bench can do"):
        recipe_of(quad("U1", 0, 0, 7.0), held=held)


@pytest.mark.parametrize("bore_mm", [2.0, 4.0, 8.0])
def test_round_bores_blow_gently(bore_mm: float) -> None:
    """Air leaves a round bore at 60 m/s at most, or at the station's least flow; a held flow is not turned down."""
    bore = Nozzle("b", "round", (bore_mm, bore_mm), 0.5, 15.0)
    reflow = next(stage for stage in recipe_of(quad("U1", 0, 0, 7.0), bore).stages if stage.name == "reflow")
    section_m2 = 3.14159 / 4 * (bore_mm * 1e-3) ** 2
    speed = mass_flow_kg_s(reflow.flow_l_min or 0) / section_m2 / float(air(reflow.air_c or 0).density_kg_m3)
    assert speed < 61.0 or reflow.flow_l_min == BENCH.station.least_l_min
    kept = recipe_of(chip("R1", 0, 0), bore, held=Held(flow_l_min=20.0))
    assert next(stage for stage in kept.stages if stage.name == "reflow").flow_l_min == 20.0


@pytest.mark.parametrize(("alloy", "liquidus_c", "lift_c"), [("SAC305", 217.0, 230.0), ("Sn63Pb37", 183.0, 195.0)])
def test_the_alloy_sets_liquidus_and_lift(
    alloy: Literal["SAC305", "Sn63Pb37"], liquidus_c: float, lift_c: float
) -> None:
    """Liquidus is J-STD-020D's TL (217 and 183 C); the lift waits for more."""
    recipe = starting_recipe(BENCH, quad("U1", 0, 0, 7.0), BOX, alloy, Held())
    assert (recipe.liquidus_c, recipe.lift_at_c) == (liquidus_c, lift_c)
