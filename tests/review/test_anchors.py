"""What copper holds a land: traces with neck and direction, vias, pours, holes, nothing."""

from dataclasses import replace

import pytest
import shapely

from leeward.board.records import Board, Fill, Pad, Track, Via, Zone
from leeward.review.anchors import Anchors, anchors
from thermal_boards import board, land, pour, square

OUTLINE = square(0, 0, 20)
LAND = land("1", square(0, 0, 1.0), net="A")


def held(plain: Board, *pads: Pad) -> Anchors:
    """Return what holds the first land on the top of a board."""
    return anchors(plain, pads or (LAND,), "top")[0]


def track(*points: tuple[float, float], width_mm: float = 0.2, layer: str = "F.Cu") -> Track:
    """Return a track of net A."""
    return Track(layer, "A", width_mm, points)


def via(x_mm: float, y_mm: float, net: str = "A") -> Via:
    """Return a via of 0.6 mm with a hole of 0.3 mm."""
    return Via(x_mm, y_mm, 0.6, 0.3, ("F.Cu", "B.Cu"), net)


def test_a_bare_land_is_held_by_nothing() -> None:
    """No copper touches it: a trace of another layer and a via without a trace to it change nothing."""
    plain = board(OUTLINE, tracks=(track((0, 0), (5, 0), layer="B.Cu"),), vias=(via(1.2, 0),))
    assert held(plain).nothing


@pytest.mark.parametrize(("end", "degrees"), [((5, 0), 0.0), ((0, -5), 90.0), ((-5, 0), 180.0), ((4, 4), 315.0)])
def test_a_trace_has_its_width_and_direction(end: tuple[float, float], degrees: float) -> None:
    """Directions run counter-clockwise as drawn while y runs down: towards smaller y is 90 degrees."""
    (trace,) = held(board(OUTLINE, tracks=(track((0, 0), end, width_mm=0.3),))).traces
    assert (trace.neck_mm, trace.teardrop) == (0.3, False)
    assert trace.direction_deg == pytest.approx(degrees)


def test_a_trace_that_runs_through_holds_on_both_sides() -> None:
    """A track that neither begins nor ends in the land leaves it twice."""
    traces = held(board(OUTLINE, tracks=(track((-5, 0), (5, 0)),))).traces
    assert [trace.direction_deg for trace in traces] == [0.0, 180.0]


def test_the_same_trace_in_pieces_or_twice_is_one() -> None:
    """A bend just outside the land, whose round end still touches it, and a copy of a track add no second trace."""
    bent = track((0, 0), (0.55, 0)), track((0.55, 0), (0.55, 4))
    assert len(held(board(OUTLINE, tracks=bent)).traces) == 1
    assert len(held(board(OUTLINE, tracks=(track((0, 0), (5, 0)), track((0, 0), (5, 0))))).traces) == 1


def test_a_trace_inside_the_land_holds_nothing() -> None:
    """A stub that ends within the land's outline leaves it nowhere."""
    assert held(board(OUTLINE, tracks=(track((0, 0), (0.3, 0)),))).nothing


def test_a_trace_that_touches_with_its_end_counts() -> None:
    """A track whose centre line stops just short of the edge joins the land with its round end."""
    (trace,) = held(board(OUTLINE, tracks=(track((5, 0), (0.55, 0)),))).traces
    assert trace.direction_deg == 0.0


def test_a_teardrop_widens_the_neck() -> None:
    """A teardrop that takes 0.8 mm of the land's edge is the neck of the trace that leaves there."""
    drop = shapely.Polygon([(0.3, -0.4), (0.5, -0.4), (2.0, 0), (0.5, 0.4), (0.3, 0.4)])
    zone = Zone("teardrop", "A", ("F.Cu",), drop, (Fill("F.Cu", drop),), 1)
    (trace,) = held(board(OUTLINE, tracks=(track((0, 0), (5, 0)),), zones=(zone,))).traces
    assert trace.neck_mm == pytest.approx(0.8, abs=0.01)
    assert trace.teardrop


def test_vias_in_and_near_are_told_apart() -> None:
    """In the land with its centre; near within a millimetre and joined by copper of that layer, not by place alone."""
    trace = track((0, 0), (1.2, 0))
    found = held(board(OUTLINE, tracks=(trace,), vias=(via(0, 0.2), via(1.2, 0), via(0, -1.2), via(1.2, 0.9, "B"))))
    assert [(v.x_mm, v.y_mm) for v in found.vias_in] == [(0, 0.2)]
    assert [(v.x_mm, v.y_mm) for v in found.vias_near] == [(1.2, 0)]
    assert found.barrel_mm2 == pytest.approx(3.1416 * 0.275 * 0.025, rel=1e-3)


def test_a_via_over_a_millimetre_away_is_not_near() -> None:
    """House rule: a via further than a millimetre from the land's edge is left out."""
    assert not held(board(OUTLINE, tracks=(track((0, 0), (1.6, 0)),), vias=(via(1.6, 0),))).vias_near


def test_a_pour_all_round_is_one_contact() -> None:
    """A land in a pour has its whole edge on it, solid where the zone says so."""
    zone = pour("F.Cu", square(0, 0, 8), net="A")
    solid = replace(zone, pouring=replace(zone.pouring, connection="solid"))
    found = held(board(OUTLINE, zones=(solid,)))
    assert found.pour_contacts_mm == pytest.approx((4.0,), abs=0.01)
    assert found.pour_solid


def test_spokes_are_counted_with_their_widths() -> None:
    """Four spokes of 0.3 mm across a gap round the land are four contacts of 0.3 mm."""
    spokes = shapely.union_all([shapely.box(-2, -0.15, 2, 0.15), shapely.box(-0.15, -2, 0.15, 2)])
    ring = square(0, 0, 8).difference(square(0, 0, 2)).union(spokes)
    found = held(board(OUTLINE, zones=(pour("F.Cu", ring, net="A"),)))
    assert found.pour_contacts_mm == pytest.approx((0.3,) * 4, abs=0.01)
    assert not found.pour_solid


def test_a_plated_hole_and_thermal_holes_hold() -> None:
    """A plated pad is held by its own barrel, a large land by the holes drawn in it as pads of their own."""
    hole = replace(land("2", square(0, 0, 0.5), net="A"), kind="through-hole", drill_mm=0.3, hole=square(0, 0, 0.3))
    assert held(board(OUTLINE), hole).barrel_mm2 == pytest.approx(0.0216, rel=0.01)
    assert held(board(OUTLINE), LAND, hole).barrel_mm2 == pytest.approx(0.0216, rel=0.01)


def test_lands_of_the_part_that_touch_are_named() -> None:
    """Two lands that overlap hold each other."""
    assert held(board(OUTLINE), LAND, land("2", square(0.9, 0, 1.0), net="A")).joined_lands == ("2",)


def test_a_part_on_the_bottom_is_read_on_its_layer() -> None:
    """For a land on the bottom the bottom's copper counts."""
    below = land("1", square(0, 0, 1.0), net="A", layer="B.Cu")
    plain = board(OUTLINE, tracks=(track((0, 0), (5, 0), layer="B.Cu"), track((0, 0), (0, 5))))
    (found,) = anchors(plain, [below], "bottom")
    assert [trace.direction_deg for trace in found.traces] == [0.0]
