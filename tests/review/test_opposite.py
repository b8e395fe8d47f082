"""The other side of the board under a target."""

from dataclasses import replace
from functools import cache

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from builders import case
from leeward.board.records import Pad, Side, Track, Via
from leeward.parts.records import LeadStyle, Part
from leeward.review.anchors import anchors
from leeward.review.opposite import opposite
from leeward.review.records import Case, Opposite
from thermal_boards import board, chip, footprint, land, part, parts, quad, square

OUTLINE = square(0, 0, 60.0)
TARGET = quad("U1", 0, 0, 7.0, net="GND")


@cache
def invented() -> Case:
    """Return the invented case, whose bench and heat stand in."""
    return case()


def on_board(
    target: Part,
    *others: Part,
    outline: BaseGeometry = OUTLINE,
    tracks: tuple[Track, ...] = (),
    vias: tuple[Via, ...] = (),
) -> Case:
    """Return a case of a target among other parts, its heat left as invented."""
    everything = parts(target, *others)
    plain = board(outline, footprints=tuple(p.footprint for p in everything.by_id.values()), tracks=tracks, vias=vias)
    return replace(invented(), board=plain, parts=everything, target=target)


def below(target: Part, *others: Part, tracks: tuple[Track, ...] = (), vias: tuple[Via, ...] = ()) -> Opposite:
    """Return the other side of a target, all of its lands looked at."""
    return judged(on_board(target, *others, tracks=tracks, vias=vias))


def judged(solved: Case) -> Opposite:
    """Return the other side of a case."""
    own = solved.target.footprint.pads
    return opposite(solved, own, anchors(solved.board, own, solved.target.footprint.side))


def block(ref: str, x_mm: float, y_mm: float, *, style: LeadStyle = "gull-wing", side: Side = "bottom") -> Part:
    """Return a part of 4 by 4 mm, 2 mm tall, with one land in its middle."""
    body = square(x_mm, y_mm, 4.0)
    layer = "B.Cu" if side == "bottom" else "F.Cu"
    pad = land("1", square(x_mm, y_mm, 1.0), layer=layer)
    return part(footprint(ref, (pad,), body, bottom=side == "bottom"), body, style=style, height_mm=2.0)


def test_parts_under_the_target_are_named_by_cover() -> None:
    """Those on the other side whose body or land lies under it, the one under most of it first; others are not."""
    found = below(TARGET, chip("C1", 4, 4, bottom=True), block("U2", 0, 0), block("U3", 15, 0), chip("C2", 0, 0))
    assert [entry.ref for entry in found.under] == ["U2", "C1"]


def test_a_part_that_is_not_fitted_hangs_nowhere() -> None:
    """Lands alone are not under the target."""
    bare = block("U2", 0, 0)
    assert below(TARGET, replace(bare, footprint=replace(bare.footprint, fitted=False))).under == ()


def test_a_via_between_two_lands_is_shared() -> None:
    """A via joined to a land of the target on the top and to one of another part on the bottom carries heat through."""
    pad = TARGET.footprint.pads[0]
    x, y = pad.x_mm - 1.2, pad.y_mm
    via = Via(x, y, 0.6, 0.3, ("F.Cu", "B.Cu"), "GND")
    lower = land("2", square(x - 0.9, y, 1.0), net="GND", layer="B.Cu")
    other = part(footprint("C1", (lower,), square(x - 0.9, y, 1.0), bottom=True), square(x - 0.9, y, 1.0))
    tracks = (
        Track("F.Cu", "GND", 0.2, ((pad.x_mm, pad.y_mm), (x, y))),
        Track("B.Cu", "GND", 0.2, ((x, y), (x - 0.9, y))),
    )
    (shared,) = below(TARGET, other, tracks=tracks, vias=(via,)).shared_vias
    assert (shared.pad, shared.part.ref, shared.part_pad, shared.x_mm) == ("1", "C1", "2", x)
    assert below(TARGET, other, tracks=tracks[:1], vias=(via,)).shared_vias == ()
    blind = replace(via, layers=("F.Cu", "F.Cu"))
    assert below(TARGET, other, tracks=tracks, vias=(blind,)).shared_vias == ()


def test_a_ball_grid_under_a_ball_grid_is_told() -> None:
    """Only where both are ball grids and one lies under the other."""
    grid = block("U1", 0, 0, style="ball-grid", side="top")
    under, quad_under = block("U2", 1, 1, style="ball-grid"), block("U3", -1, -1)
    assert [entry.ref for entry in below(grid, under, quad_under).mirrored_grids] == ["U2"]
    assert below(TARGET, under).mirrored_grids == ()
    assert below(grid, block("U2", 9, 9, style="ball-grid")).mirrored_grids == ()


def test_pins_stand_free_and_round_the_target() -> None:
    """On an empty bottom there is a place towards each corner, 6 mm off or more, with the target between them."""
    found = below(TARGET)
    assert len(found.supports) == 4
    assert found.steady
    for x, y in found.supports:
        assert TARGET.leads.distance(shapely.Point(x, y)) >= 6.0
        assert OUTLINE.boundary.distance(shapely.Point(x, y)) >= 2.0


def test_no_pin_stands_on_a_part_a_joint_or_the_edge() -> None:
    """Every place is 2 mm clear of bodies and lands on the bottom and of pins that stick through from the top."""
    places = [(x, y) for x in range(-25, 26, 5) for y in range(-25, 26, 5) if (x, y) != (0, 0)]
    hole = Pad("1", "through-hole", "circle", 0, 0, square(0, 0, 1.0), ("F.Cu", "B.Cu"), square(0, 0, 0.8), 0.8, "",
               "inherited", has_paste=False, has_mask_opening=True)  # fmt: skip
    pins = tuple(
        replace(hole, number=str(i), x_mm=x, y_mm=y, copper=square(x, y, 1.0)) for i, (x, y) in enumerate(places)
    )
    header = part(footprint("J1", pins, square(20, 20, 5)), square(20, 20, 5), style="through-hole")
    header = replace(header, surface_mount=False)
    found = below(TARGET, header, block("U2", 12, 12))
    assert found.supports
    for x, y in found.supports:
        at = shapely.Point(x, y)
        assert min(pad.copper.distance(at) for pad in pins) >= 2.0
        assert square(12, 12, 4.0).distance(at) >= 2.0
    assert found.tallest_mm == 2.0


def test_lead_ends_stand_out_where_nothing_else_does() -> None:
    """With nothing on the bottom the ends of through-hole leads are what the heater meets first."""
    pad = replace(land("1", square(20, 20, 1.0)), kind="through-hole", layers=("F.Cu", "B.Cu"), drill_mm=0.8)
    header = replace(part(footprint("J1", (pad,), square(20, 20, 5)), square(20, 20, 5)), surface_mount=False)
    found = below(TARGET, header)
    assert (found.tallest, found.tallest_mm) == (None, 1.5)
    assert below(TARGET).tallest_mm == 0.0


def test_what_stands_out_most_is_named() -> None:
    """A body of 2 mm stands out further than lead ends of 1.5 mm and is named; one of 1 mm does not, and they are."""
    pad = replace(land("1", square(20, 20, 1.0)), kind="through-hole", layers=("F.Cu", "B.Cu"), drill_mm=0.8)
    header = replace(part(footprint("J1", (pad,), square(20, 20, 5)), square(20, 20, 5)), surface_mount=False)
    tall = block("U2", 12, 12)
    low = replace(tall, height_mm=replace(tall.height_mm, value=1.0))
    for others, named, most_mm in (((tall,), "U2", 2.0), ((header, tall), "U2", 2.0), ((header, low), None, 1.5)):
        found = below(TARGET, *others)
        assert (None if found.tallest is None else found.tallest.ref, found.tallest_mm) == (named, most_mm)


def test_a_crowded_bottom_leaves_the_board_unsteady() -> None:
    """With parts all along one side the target no longer lies between the pins."""
    wall = [block(f"U{x}/{y}", x, y) for x in range(-28, 29, 4) for y in range(4, 30, 4)]
    found = below(TARGET, *wall)
    assert len(found.supports) == 2
    assert not found.steady


def test_a_panel_is_supported_on_its_own_board() -> None:
    """Pins stand on the target's own board, and only its parts count."""
    panel = shapely.union_all([OUTLINE, square(100, 0, 60.0)])
    other = block("U2", 100, 0)
    away = replace(other, footprint=replace(other.footprint, board_index=1))
    found = judged(on_board(TARGET, away, outline=panel))
    assert found.tallest is None
    assert np.array(found.supports)[:, 0].max() <= 30.0


def test_the_bench_tells_the_room_below() -> None:
    """Room to the heater is the bench's; a bench that does not say leaves it open."""
    solved = on_board(TARGET, block("U2", 12, 12))
    assert judged(solved).heater_room_mm is None
    heater = replace(solved.bench.board_heater, room_mm=1.0)
    found = judged(replace(solved, bench=replace(solved.bench, board_heater=heater)))
    assert (found.heater_room_mm, found.tallest_mm) == (1.0, 2.0)


def test_a_target_on_the_bottom_looks_at_the_top() -> None:
    """For a part on the bottom the other side is the top."""
    found = below(block("U1", 0, 0), chip("C1", 0, 0), chip("C2", 0, 0, bottom=True))
    assert [entry.ref for entry in found.under] == ["C1"]
