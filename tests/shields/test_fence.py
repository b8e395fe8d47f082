"""Fences round the target."""

import pytest
import shapely

from leeward.constants import number
from leeward.parts.records import Part
from leeward.shields import fence
from leeward.shields.pieces import fence_piece
from leeward.shields.site import Box, Site, grown
from shields.grounds import material, nozzle_over, top_of
from thermal_boards import chip, footprint, land, part, quad, square

U1 = quad("U1", 0, 0, 14.0)
FAR_OFF = chip("C9", 40, 40)


def wall(*others: Part) -> Box:
    """Return the outside of the nozzle's wall, in its own frame."""
    fit = nozzle_over(U1, *others)
    x0, y0, x1, y1 = fit.outside.bounds
    return x0 - fit.x_mm, y0 - fit.y_mm, x1 - fit.x_mm, y1 - fit.y_mm


def whole(*others: Part) -> tuple[fence.Run, Site]:
    """Return the first fence that can stand, with its site."""
    here = top_of(U1, *others)
    return fence.fences(here, wall(*others))[0][0], here


def tall(x: float, y: float, size: float = 4.0, height: float = 6.0) -> Part:
    """Return a body that no fence passes over."""
    shape = square(x, y, size)
    return part(footprint("J1", (land("1", square(x, y, 1)),), shape), shape, height_mm=height)


def test_with_room_it_stands_on_all_sides_close_to_the_wall() -> None:
    """Around a lone target it is a ring at the least gap, uncut."""
    run, _ = whole(FAR_OFF)
    assert run.is_ring
    assert run.gap_mm == number("covers", "fence", "least_gap_mm")
    ((first, last),) = run.bands
    assert (first, last) == pytest.approx((0.0, sum(run.sides_mm)))
    assert not run.notches


def test_all_that_stands_outside_is_in_its_lee() -> None:
    """The lee of a ring is the whole board but what lies within; a part outside is sheltered, one inside is not."""
    run, here = whole(FAR_OFF)
    ring = shapely.box(*run.box)
    lee = fence.lee(run, here)
    assert lee.intersection(ring).area < 1e-6
    assert lee.area == pytest.approx(shapely.box(*grown(here.bounds, 1.0)).area - ring.area, rel=1e-6)
    assert fence.sheltered(run, here) == ["id-C9"]


def test_it_passes_over_low_bodies_with_a_notch() -> None:
    """A body 0.8 mm tall in every place of the right side is let through below: foot cut away, the top whole."""
    run, here = whole(tall(15.0, 0.0, 9.0, height=0.8), FAR_OFF)
    assert run.notches
    made = fence_piece(run, here, material("foil"))
    assert made.pattern is not None
    outline = shapely.Polygon(made.pattern.outlines[0])
    assert outline.is_valid
    foot = number("covers", "fence", "foot_mm")
    first, last, height = run.notches[0]
    cut = shapely.box(first, 0, last, foot + height)
    assert outline.intersection(cut).area < 1e-6
    assert made.width_mm == foot + number("covers", "fence", "height_mm")


def test_a_tall_body_cuts_it_into_bands() -> None:
    """Where a body too tall stands in every place of a side the fence goes on beyond it, and its shadow is no lee."""
    run, here = whole(tall(15.0, 0.0, 9.0), FAR_OFF)
    assert not run.is_ring
    assert len(run.bands) >= 1
    right = here.frame.local(shapely.Point(30, 0))
    assert not fence.lee(run, here).contains(right)
    assert fence.lee(run, here).contains(here.frame.local(shapely.Point(-30, 0)))
    for ground in fence.grounds(run):
        assert all(ground.intersection(shapely.box(*each.body)).area == 0 for each in here.standing)


def test_a_side_that_tall_bodies_fill_is_left_away() -> None:
    """A wall of bodies along one side leaves the other three."""
    shapes = [square(15, y, 9.0) for y in (-9.5, 0.0, 9.5)]
    row = [part(footprint(f"J{i}", (), shape), shape, height_mm=6.0) for i, shape in enumerate(shapes)]
    run, _ = whole(*row, FAR_OFF)
    assert len(run.edges) == 3
    assert 2 not in run.edges


def test_a_side_beyond_the_board_needs_no_fence() -> None:
    """Where the nozzle hangs over the board's edge nothing stands to be sheltered there."""
    near_edge = quad("U1", 52, 0, 14.0)  # the board ends at x 60
    fit = nozzle_over(near_edge)
    here = top_of(near_edge, chip("C1", 30, 0))
    x0, y0, x1, y1 = fit.outside.bounds
    outside = (x0 - fit.x_mm, y0 - fit.y_mm, x1 - fit.x_mm, y1 - fit.y_mm)
    run = fence.fences(here, outside)[0][0]
    assert 2 not in run.edges
    for ground in fence.grounds(run):
        assert shapely.box(*here.bounds).buffer(1.0).contains(ground)


def test_sides_that_join_make_one_strip() -> None:
    """All but one side is one run; two sides opposite each other are two."""
    here = top_of(U1, FAR_OFF)
    found = fence.fences(here, wall(FAR_OFF))
    assert [len(runs) for runs in found] == [1, 1, 1, 1, 1]
    assert sorted(len(runs[0].edges) for runs in found) == [3, 3, 3, 3, 4]


def test_the_strip_is_as_long_as_its_sides() -> None:
    """A ring's strip is its sides and a lap of 5 mm, folded across at its four corners."""
    run, here = whole(FAR_OFF)
    made = fence_piece(run, here, material("foil"))
    assert made.length_mm == pytest.approx(sum(run.sides_mm) + 5.0)
    assert made.pattern is not None
    across = [fold for fold in made.pattern.folds if fold[0][0] == fold[1][0]]
    assert [fold[0][0] for fold in across] == pytest.approx([sum(run.sides_mm[: i + 1]) for i in range(4)])


def test_only_foil_makes_a_fence() -> None:
    """Tape, fibre and gel do not stand up."""
    assert [form for form in ("tape", "foil", "fibre", "gel") if fence.suits(material(form))] == ["foil"]
