"""What must come off before a target, and why."""

from dataclasses import replace

import shapely

from cases import case_of, cell
from leeward.parts.records import Part
from leeward.review.before import before, melts_again
from leeward.review.records import Case
from thermal_boards import chip, footprint, land, part, quad, square

U1 = quad("U1", 0, 0, 7.0)


def reasons(case: Case, *others: Part) -> dict[str, str]:
    """Return why each of the other targets must come off first, by reference."""
    found = before(case, {other.id: other for other in others})
    assert all(pair.then == case.target.id for pair in found)
    return {case.parts.by_id[pair.first].ref: pair.why for pair in found}


def test_what_bears_no_heat_comes_off_first() -> None:
    """A cell on a heated board is lost, so it comes off before anything else does."""
    battery = cell("BT1", 20, 0)
    assert reasons(case_of(U1, battery), battery) == {"BT1": "it would be lost in the heat for U1"}


def test_what_stands_in_the_nozzles_way_comes_off_first() -> None:
    """A tall body under the nozzle's wall."""
    shape = shapely.box(5.0, -2, 9.0, 2)
    tall = part(footprint("J1", (land("1", square(7, 0, 1)),), shape), shape, style="connector", height_mm=6.0)
    assert "J1" in reasons(case_of(U1, tall), tall)
    assert reasons(case_of(U1, tall), tall)["J1"].startswith("it stands in the way of the nozzle")


def test_the_can_over_a_target_comes_off_first() -> None:
    """What stands over the target comes off before it."""
    shape = square(0, 0, 12.0)
    can = part(footprint("SH1", (land("1", square(5.5, 0, 1)),), shape), shape, height_mm=3.0)
    under = replace(U1, under="id-SH1")
    assert reasons(case_of(under, can), can)["SH1"].endswith("U1")
    solved = case_of(under, chip("C1", 30, 30))
    lone = replace(solved, parts=replace(solved.parts, by_id={**solved.parts.by_id, can.id: can}))
    assert reasons(lone, can) == {"SH1": "its can stands over U1"}


def test_a_chip_that_would_blow_away_comes_off_first() -> None:
    """A chip beside a strong bore melts and is pushed harder than half of what holds it; far off it stays."""
    lands = tuple(land(f"{x}{y}", square(x, y, 0.6)) for x in (-1, 1) for y in (-1, 1))
    small = part(footprint("U2", lands, square(0, 0, 2.0)), square(0, 0, 2.0), style="inward-l")
    near, far = chip("C1", 4.6, 0), chip("C2", 35, 35)
    case = case_of(small, near, far)
    flows = tuple(replace(stage, flow_l_min=60.0) if stage.air_c is not None else stage for stage in case.recipe.stages)
    blown = replace(case, answer=replace(case.answer, recipe=replace(case.recipe, stages=flows)))
    assert reasons(blown, near, far) == {"C1": "the air for U2 would blow it away"}


def test_what_leaves_jaws_no_room_comes_off_first() -> None:
    """A chip too small for a cup with tall bodies left, above and below it: without the left one jaws would get in."""
    target = chip("C1", 0, 0)
    left, above, below = (
        shapely.box(-3.0, -1, -1.0, 1),
        shapely.box(-0.7, 0.6, 0.7, 3),
        shapely.box(-0.7, -3, 0.7, -0.6),
    )
    bodies = [part(footprint(f"J{i}", (), shape), shape, height_mm=5.0) for i, shape in enumerate((left, above, below))]
    solved = case_of(target, *bodies)
    clear = replace(solved, loads=replace(solved.loads, fit=replace(solved.loads.fit, blockers=())))
    assert reasons(clear, *bodies) == {"J0": "it leaves jaws no room at C1"}


def test_melting_again_is_the_chance_with_the_shields_on() -> None:
    """A part right beside the target is likelier to melt again than one far off."""
    near, far = chip("C1", 7.5, 0), chip("C2", 35, 35)
    case = case_of(U1, near, far)
    assert melts_again(case, near) > melts_again(case, far)
    assert 0.0 <= melts_again(case, far) < 0.05
