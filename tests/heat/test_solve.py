"""The solved heat of invented boards: balance, order, and the trends that practice knows."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from shapely.geometry.base import BaseGeometry

from leeward.bench.fit import Fixed, fits
from leeward.bench.read import read_bench
from leeward.board.records import Board, Zone
from leeward.heat.covers import Shelter, leaky_fence
from leeward.heat.loads import Loads
from leeward.heat.model import assemble
from leeward.heat.recipe import Held, starting_recipe
from leeward.heat.records import Heat
from leeward.heat.solve import solve
from leeward.parts.records import Part
from thermal_boards import board, carrier, certain, chip, parts, pour, quad, square

OUTLINE = square(0, 0, 60.0)


def planes(layers: int) -> tuple[Zone, ...]:
    """Return full planes on the inner layers."""
    return tuple(pour(f"In{i}.Cu", OUTLINE) for i in range(1, layers - 1))


def heat_of(
    target: Part,
    *others: Part,
    layers: int = 2,
    zones: tuple[Zone, ...] = (),
    held: Held | None = None,
    on: Board | None = None,
    covers: tuple[Shelter, ...] = (),
) -> Heat:
    """Return the heat of taking a target off a plain board with the default bench."""
    plain = on or board(OUTLINE, layers=layers, zones=(*planes(layers), *zones))
    everything = parts(target, *others)
    bench = read_bench()
    fit = fits(everything, target, bench, Fixed())[0]
    tucked = target.lead_style.value == "j-lead"
    loads = Loads(fit, target.footprint.side, bench.board_heater, bench.ambient_c, tucked=tucked, covers=covers)
    recipe = starting_recipe(bench, target, fit.nozzle, "SAC305", held or Held())
    model = assemble(plain, everything, target)
    return solve(model, loads, recipe, plain.outline, (150.0, 217.0), certain(model))


def reflow_s(heat: Heat) -> float:
    """Return how long reflow lasted."""
    return heat.stage_ends_s["reflow"] - heat.stage_ends_s["soak"]


def test_energy_closes_and_the_air_is_not_overdrawn() -> None:
    """Fluxes recomputed from the stored fields close the balance to 0.1 %, and less is taken than the air carries."""
    heat = heat_of(quad("U1", 0, 0, 10.0), chip("C1", 9, 0), layers=4)
    assert abs(heat.energy.imbalance) < 0.001
    assert 0 < heat.energy.taken_from_air_j < heat.energy.carried_by_air_j


def test_reflow_ends_as_the_last_joint_reaches_the_lift() -> None:
    """The coldest target joint is at the lift temperature when reflow ends, and not a step before."""
    heat = heat_of(quad("U1", 0, 0, 10.0))
    coldest = min(joint.lift_c for joint in heat.of_part("id-U1"))
    assert heat.reaches_reflow
    assert 230.0 <= coldest < 233.0


def test_a_held_reflow_runs_its_time() -> None:
    """With the time of reflow held, the event does not end it."""
    heat = heat_of(quad("U1", 0, 0, 10.0), held=Held(seconds={"reflow": 7.0}))
    assert reflow_s(heat) == pytest.approx(7.0)
    assert not heat.reaches_reflow


def test_board_heater_shortens_reflow_and_warms_far_neighbours() -> None:
    """Common practice, no source: preheat from below saves air time at the target and costs warmth far away."""
    target, far = quad("U1", 0, 0, 10.0), chip("C1", 25, 0)
    cold = heat_of(target, far, layers=4, held=Held(board_heater_c=0.0))
    warm = heat_of(target, far, layers=4, held=Held(board_heater_c=180.0))
    assert reflow_s(warm) < reflow_s(cold)
    assert warm.of_part("id-C1")[0].peak_c > cold.of_part("id-C1")[0].peak_c + 20


def test_planes_cost_time() -> None:
    """Common practice, no source: four layers with planes need longer than two without."""
    target = quad("U1", 0, 0, 10.0)
    assert reflow_s(heat_of(target, layers=4)) > 1.2 * reflow_s(heat_of(target, layers=2))


def test_the_pad_on_a_plane_melts_last() -> None:
    """Common practice, no source: with the heater off, a pad that lies solid on an outer pour is the coldest."""
    target = quad("U1", 0, 0, 10.0)
    tied = next(pad for pad in target.footprint.pads if pad.x_mm > 5)
    neck = shapely.box(6, tied.y_mm - 0.25, 29, tied.y_mm + 0.25)
    tie = shapely.union_all([tied.copper, neck, shapely.box(8, -25, 29, 25)])
    heat = heat_of(target, layers=4, zones=(pour("F.Cu", tie),), held=Held(board_heater_c=0.0))
    coldest = min(heat.of_part("id-U1"), key=lambda joint: joint.lift_c)
    assert coldest.joint.pad == tied.number


@pytest.mark.parametrize(
    "milled",
    [
        pytest.param(shapely.box(10, -20, 11, 20), id="slot"),
        pytest.param(shapely.box(10, -31, 11.5, 12), id="notch from the edge"),
    ],
)
def test_what_is_milled_away_shelters(milled: BaseGeometry) -> None:
    """A slot between target and neighbour, or a notch from the board's edge, keeps the neighbour's joints cooler."""
    target, near = quad("U1", 0, 0, 10.0), chip("C1", 14, 0, bottom=True)
    whole = board(OUTLINE, layers=4, zones=planes(4))
    cut = replace(whole, outline=OUTLINE.difference(milled))
    sheltered, open_ = (heat_of(target, near, on=on).of_part("id-C1")[0].peak_c for on in (cut, whole))
    assert sheltered < open_ - 3


def test_a_carrier_needs_more_time_than_a_quad() -> None:
    """Common practice, no source: J-leads under a body take longer to melt than gull-wings beside one of its size."""
    same = Held(air_c=350.0, flow_l_min=20.0, board_heater_c=180.0, seconds={"preheat": 100.0, "soak": 60.0})
    gull_wing, j_lead = heat_of(quad("U1", 0, 0, 10.0), held=same), heat_of(carrier("U1", 0, 0, 10.0), held=same)
    assert gull_wing.reaches_reflow
    assert j_lead.reaches_reflow
    assert reflow_s(j_lead) > 1.1 * reflow_s(gull_wing)


def test_a_fence_cools_neighbours_and_target() -> None:
    """A fence close round a quad takes the wall jet off its neighbours, and their warmth off the target (derived)."""
    target, near = quad("U1", 0, 0, 10.0), chip("C1", 13.5, 0)
    inner = square(0, 0, 22.0)
    fence = leaky_fence("top", OUTLINE.difference(inner))
    same = Held(air_c=350.0, flow_l_min=20.0, board_heater_c=180.0, seconds={"reflow": 60.0})
    bare, fenced = (heat_of(target, near, layers=4, held=same, covers=covers) for covers in ((), (fence,)))
    assert fenced.bodies["id-C1"].peak_c < bare.bodies["id-C1"].peak_c - 5
    assert all(
        behind.peak_c < open_.peak_c
        for behind, open_ in zip(fenced.of_part("id-U1"), bare.of_part("id-U1"), strict=True)
    )


def test_a_symmetric_board_heats_symmetrically() -> None:
    """A quad in the middle of a square board has the same temperature on all its sides, within 0.2 C."""
    heat = heat_of(quad("U1", 0, 0, 10.0), layers=4)
    by_side = {"left": 0.0, "right": 0.0, "up": 0.0, "down": 0.0}
    for joint in heat.of_part("id-U1"):
        x, y = joint.joint.x_mm, joint.joint.y_mm
        side = ("right" if x > 0 else "left") if abs(x) > abs(y) else ("down" if y > 0 else "up")
        by_side[side] = max(by_side[side], joint.peak_c)
    assert np.ptp(list(by_side.values())) < 0.2


def test_a_target_below_is_worked_from_below() -> None:
    """A chip on the bottom is heated from the bottom: its zone is larger there than on top."""
    target = chip("C1", 0, 0, bottom=True)
    heat = heat_of(target, held=Held(board_heater_c=0.0))
    area = {zone.side: zone.area.area for zone in heat.zones if zone.above_c == 150.0}
    assert area["bottom"] > area["top"]


def test_zones_hold_the_hot_joints() -> None:
    """Joints 10 C and more over the zone's temperature lie in the zone, those as much under it do not."""
    heat = heat_of(quad("U1", 0, 0, 10.0), chip("C1", 8, 0), chip("C2", 24, 0), layers=4)
    zone = next(zone for zone in heat.zones if (zone.side, zone.above_c) == ("top", 150.0))
    for joint in heat.joints:
        inside = zone.area.contains(shapely.Point(joint.joint.x_mm, joint.joint.y_mm))
        if abs(joint.peak_c - 150.0) > 10.0:
            assert inside == (joint.peak_c > 150.0)


def test_two_solves_agree_to_the_last_bit() -> None:
    """Two solves of one case give the same numbers to the last bit."""
    target = quad("U1", 0, 0, 10.0)
    first, second = heat_of(target), heat_of(target)
    assert [joint.peak_c for joint in first.joints] == [joint.peak_c for joint in second.joints]
