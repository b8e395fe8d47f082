"""The parts' own nodes."""

from dataclasses import replace

import pytest
import shapely

from leeward.board.records import Pad
from leeward.heat import bodies
from thermal_boards import footprint, land, part, quad, square

FOOT = land("1", shapely.box(0, 0, 1.5, 0.3))  # a land of 0.5 mm pitch


def test_a_gull_wing_lead_is_a_bar_of_copper_alloy() -> None:
    """K w t / l of C194 (260 W/mK), 0.225 x 0.15 mm, 1.6 mm long: 182 K/W; a J-lead of 0.6 mm land 120 K/W."""
    assert 1 / bodies.lead_conductance_w_k("gull-wing", FOOT) == pytest.approx(182.3, rel=1e-3)
    j_land = land("1", shapely.box(0, 0, 2.0, 0.6))
    assert 1 / bodies.lead_conductance_w_k("j-lead", j_land) == pytest.approx(119.7, rel=1e-3)


def test_a_face_joint_conducts_by_its_area() -> None:
    """A no-lead land of 0.45 mm2 at 3000 W/m2K passes 1.35 mW/K, a land twice as large twice that."""
    assert bodies.lead_conductance_w_k("bottom-terminated", FOOT) == pytest.approx(1.35e-3)
    double = land("1", shapely.box(0, 0, 1.5, 0.6))
    assert bodies.lead_conductance_w_k("bottom-terminated", double) == pytest.approx(2.7e-3)


def test_the_short_side_of_a_turned_land() -> None:
    """A land turned by 30 degrees is still 0.3 mm wide."""
    turned = shapely.affinity.rotate(FOOT.copper, 30)
    assert bodies.short_side_mm(turned) == pytest.approx(0.3)


def test_air_sees_both_faces_of_a_gull_wing_and_one_of_a_j_lead() -> None:
    """Open lead surface: 2 x 0.225 x 1.6 mm2 of a gull-wing, 1 x 0.225 x 3.5 of a J-lead, none of a ball."""
    assert bodies.lead_area_mm2("gull-wing", FOOT) == pytest.approx(0.72)
    assert bodies.lead_area_mm2("j-lead", FOOT) == pytest.approx(0.7875)
    assert bodies.lead_area_mm2("ball-grid", FOOT) == 0.0


def test_the_top_of_a_thick_body_lags() -> None:
    """Half of a 14 x 14 x 1.6 mm body of 0.8 W/mK passes 0.8 x 196 / 0.8 mm = 0.196 W/K."""
    assert bodies.half_body_conductance_w_k(quad("U1", 0, 0, 14.0)) == pytest.approx(0.196)


def test_large_bodies_are_looked_at_in_nine_places() -> None:
    """A chip is looked at in its middle, a quad in nine places that lie inside it."""
    assert len(bodies.sample_points(square(0, 0, 1.0))) == 1
    body = quad("U1", 0, 0, 14.0).body
    points = bodies.sample_points(body)
    assert len(points) == 9
    assert shapely.contains_xy(body, points[:, 0], points[:, 1]).all()


@pytest.mark.parametrize(
    ("width_mm", "height_mm", "large"), [(5.0, 0.8, True), (3.0, 3.0, True), (3.0, 1.0, False), (4.9, 1.5, False)]
)
def test_wide_and_thick_bodies_are_large(width_mm: float, height_mm: float, large: bool) -> None:
    """From 5 mm across, or from 1.6 mm tall (Biot number 0.1 at 100 W/m2K, 0.8 W/mK), a body is more than one node."""
    body = square(0, 0, width_mm)
    assert bodies.is_large(part(footprint("U1", (), body), body, height_mm=height_mm)) == large


def test_marks_hold_no_joint() -> None:
    """Without net and paste a land is a mark; a pin without connection and a pad under paste apertures are joints."""
    pasted = replace(land("1", square(0, 0, 0.5)), has_paste=True, net="A")
    unconnected = replace(land("2", square(1, 0, 0.5)), has_paste=True, net="")
    mark = replace(land("X", square(5, 5, 0.3)), has_paste=False, net="")
    exposed = replace(land("3", square(0, 5, 3.0)), has_paste=False, net="")
    aperture = replace(exposed, number="", copper=shapely.Polygon(), layers=(), has_paste=True)
    body = square(0, 2, 8.0)

    def joints(*pads: Pad) -> list[str]:
        return [pad.number for pad in bodies.soldered_pads(part(footprint("U1", pads, body), body))]

    assert joints(pasted, unconnected, mark, exposed, aperture) == ["1", "2", "3"]
    assert joints(mark, exposed) == ["X", "3"], "a footprint without any paste is soldered by hand"
