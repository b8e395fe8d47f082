"""Parts that may be blown away, drop or float off.

The figures of four chips were worked by the same formulas as the program's: they guard against slips, they are no
reference.
"""

from dataclasses import replace
from functools import cache

import pytest
import shapely
from hypothesis import given, settings
from hypothesis import strategies as st

from builders import case, neighbour, strip
from cases import case_of, crowded
from leeward.constants import number
from leeward.heat.jets import pressure_pa
from leeward.heat.recipe import Held
from leeward.job import Request
from leeward.parts.records import Part
from leeward.review.loose import all_melt, blow_ratio, comes_off_first, drag_n, float_ratio, holding_n, loose
from leeward.review.neighbours import drop_ratio, neighbours
from leeward.review.odds import probability_melts
from leeward.review.records import Case, LoosePart
from leeward.shields.records import Shape
from thermal_boards import chip, footprint, land, part, quad, square

# Length, width, height in mm; drag at 100, 386 and 1377 Pa in mN; hold at 0.45 and 0.11 N/m in mN.
CHIPS = {
    "0201": (0.6, 0.3, 0.23, (0.017, 0.064, 0.228), (0.27, 0.07)),
    "0402": (1.0, 0.5, 0.35, (0.042, 0.162, 0.578), (0.45, 0.11)),
    "0603": (1.6, 0.8, 0.45, (0.086, 0.334, 1.19), (0.54, 0.13)),
    "0805": (2.0, 1.25, 0.55, (0.132, 0.510, 1.82), (0.72, 0.18)),
}
PRESSURES_PA = (100.0, 386.0, 1377.0)


def chip_of(length: float, width: float, height: float) -> Part:
    """Return a chip of a size with lands at its ends."""
    body = shapely.box(0, 0, length, width)
    ends = (shapely.box(-0.2, 0, 0.2, width), shapely.box(length - 0.2, 0, length + 0.2, width))
    lands = tuple(land(str(i + 1), end) for i, end in enumerate(ends))
    return part(footprint("R1", lands, body), body, style="end-cap", height_mm=height)


@pytest.mark.parametrize("size", CHIPS)
def test_drag_and_hold_of_a_chip(size: str) -> None:
    """Drag q C L H at three pressures, and 4 gamma l at two surface tensions, within 5 % or what two decimals tell."""
    length, width, height, drags, holds = CHIPS[size]
    one = chip_of(length, width, height)
    for pressure, millinewtons in zip(PRESSURES_PA, drags, strict=True):
        assert drag_n(pressure, one) * 1e3 == pytest.approx(millinewtons, rel=0.05)
    own = number("lift", "loose", "holding_n_m")
    assert holding_n(one) * 1e3 * 0.45 / own == pytest.approx(holds[0], rel=0.05)
    assert holding_n(one) * 1e3 * 0.11 / own == pytest.approx(holds[1], abs=0.005)


@cache
def with_chip(flow_l_min: float = 20.0) -> Case:
    """Return a small quad under a nozzle with a chip beside it."""
    request = Request(
        ("U1",), held=Held(flow_l_min=flow_l_min, seconds={"preheat": 0, "soak": 0, "reflow": 5, "cool": 1})
    )
    return case_of(quad("U1", 0, 0, 7.0), chip("C1", 9, 0), request=request)


@settings(deadline=None)
@given(st.floats(3.0, 80.0), st.floats(0.0, 40.0), st.floats(100.0, 480.0), st.floats(0.0, 30.0))
def test_less_air_never_blows_harder(flow: float, more: float, air_c: float, distance_mm: float) -> None:
    """At any distance and temperature of the air, less flow never raises the blow-off ratio."""
    solved = with_chip()
    one = chip_of(1.0, 0.5, 0.35)
    ratios = []
    for litres in (flow, flow + more):
        stages = tuple(
            stage if stage.air_c is None else replace(stage, air_c=air_c, flow_l_min=litres)
            for stage in solved.recipe.stages
        )
        ratios.append(blow_ratio(pressure_pa(solved.loads, stages, distance_mm), one))
    assert ratios[0] <= ratios[1]


def test_without_air_nothing_is_blown() -> None:
    """A recipe without air pushes nothing."""
    still = tuple(replace(stage, air_c=None, flow_l_min=None) for stage in with_chip().recipe.stages)
    assert pressure_pa(with_chip().loads, still, 5.0) == 0.0


def test_weight_over_what_holds_floats() -> None:
    """A heavy part on two small lands floats off at a tilt, a chip does not: 0.2 m g over 2 gamma l a joint."""
    heavy = replace(chip_of(3.2, 2.5, 2.5), mass_mg=replace(chip("C1", 0, 0).mass_mg, value=110.0))
    assert float_ratio(heavy) == pytest.approx(110e-6 * 9.80665 * 0.2 / (2 * 0.25 * 2 * 0.5e-3), rel=1e-6)
    assert float_ratio(chip_of(1.0, 0.5, 0.35)) < 0.01


def test_many_joints_hold_by_their_narrow_sides() -> None:
    """A quad's 28 joints of 0.5 mm hold 2 gamma l each."""
    assert holding_n(quad("U1", 0, 0, 7.0)) == pytest.approx(2 * 0.25 * 28 * 0.5e-3)


def found(solved: Case) -> dict[str, LoosePart]:
    """Return the loose parts of a case by reference."""
    return {entry.part.ref: entry for entry in loose(solved, neighbours(solved))}


def test_one_solid_joint_holds_a_part() -> None:
    """The probability is that of the joint least likely to melt; a part without joints in the heat stays put."""
    solved = crowded()
    part_id = "id-C1"
    own = solved.heat.of_part(part_id)
    hot, cold = replace(own[0], peak_c=230.0), replace(own[1], peak_c=200.0)
    held = replace(solved, heat=replace(solved.heat, joints=(hot, cold)))
    assert probability_melts(held, cold) < probability_melts(held, hot)
    assert all_melt(held, solved.parts.by_id[part_id]) == probability_melts(held, cold)
    assert all_melt(replace(held, heat=replace(held.heat, joints=())), solved.parts.by_id[part_id]) == 0.0


def test_parts_below_drop_and_parts_beside_do_not() -> None:
    """What hangs on the other side is judged by mass over land, what stands on the worked side by air and tilt."""
    solved = crowded()
    heavy = {part_id: _heavier(entry) for part_id, entry in solved.parts.by_id.items()}
    judged = found(replace(solved, parts=replace(solved.parts, by_id=heavy)))
    assert {entry.how for entry in judged.values() if entry.part.footprint.side == "bottom"} == {"dropped"}
    assert {entry.how for entry in judged.values() if entry.part.footprint.side == "top"} <= {"blown", "floated"}
    below = next(entry for entry in judged.values() if entry.how == "dropped")
    assert below.ratio == drop_ratio(below.part)


def _heavier(entry: Part) -> Part:
    return replace(entry, mass_mg=replace(entry.mass_mg, value=entry.mass_mg.value * 20))


def test_what_cannot_melt_is_not_listed() -> None:
    """Every loose part is in the heat and its joints may all melt; a spacious board has none."""
    solved = crowded()
    assert all(entry.probability >= 0.05 for entry in found(solved).values())
    cold = replace(solved, heat=replace(solved.heat, joints=solved.heat.of_part(solved.target.id)))
    assert found(cold) == {}


def test_land_area_holds_what_hangs() -> None:
    """Twice the land, half the drop ratio."""
    small, large = (
        part(footprint("L1", (land("1", square(0, 0, side)),), square(0, 0, 5.0), bottom=True), square(0, 0, 5.0))
        for side in (1.0, 2.0**0.5)
    )
    assert drop_ratio(small) == pytest.approx(2 * drop_ratio(large))


def beside(shape: Shape | None, mass_mg: float) -> tuple[LoosePart, ...]:
    """Return whether a molten neighbour right at the nozzle may move, with a piece of a shape over it or none."""
    drawn = case()
    near = drawn.parts.by_id["id-C2"]
    near = replace(near, height_mm=replace(near.height_mm, value=4.0), mass_mg=replace(near.mass_mg, value=mass_mg))
    heat = drawn.heat.joints[0]
    melted = tuple(
        replace(heat, joint=replace(heat.joint, part_id=near.id, pad=pad.number), peak_c=260.0)
        for pad in near.footprint.pads
    )
    pieces = () if shape is None else (replace(strip(), shape=shape, covers=(near.id,)),)
    solved = replace(
        drawn,
        heat=replace(drawn.heat, joints=(*drawn.heat.joints, *melted)),
        shields=replace(drawn.shields, pieces=pieces),
    )
    return loose(solved, (replace(neighbour(near), nozzle_gap_mm=0.0),))


@pytest.mark.parametrize("mass_mg", [1.0, 500.0])
def test_tape_holds_what_it_lies_on(mass_mg: float) -> None:
    """Under tape neither air nor a tilt moves a part; with no shield the light one is blown, the heavy one floats."""
    assert [entry.how for entry in beside(None, mass_mg)] == ["blown" if mass_mg < 10 else "floated"]
    assert beside("strip", mass_mg) == beside("sheet", mass_mg) == ()


def test_a_fence_keeps_the_air_off_alone() -> None:
    """Behind a fence a light part stays, a heavy one still floats off when the board is tilted."""
    assert beside("fence", 1.0) == ()
    assert [entry.how for entry in beside("fence", 500.0)] == ["floated"]


def test_what_comes_off_first_does_not_move() -> None:
    """A cell that is taken off before any heat is on no list of what may move."""
    drawn = case()
    near = drawn.parts.by_id["id-C2"]
    assert comes_off_first(neighbour(replace(near, fragile_class="E")))
    assert not comes_off_first(neighbour(near))
    assert not any(entry.part.ref == "BT1" for entry in loose(crowded(), neighbours(crowded())))
