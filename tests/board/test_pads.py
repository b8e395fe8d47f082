"""Pad shapes against the formulas of plane geometry."""

from math import pi

import pytest
import shapely

from leeward.board.names import Names
from leeward.board.nodes import UnreadableError
from leeward.board.pads import Defaults, pad
from leeward.board.records import Pad
from leeward.board.sexpr import parse

NAMES = Names(("F.Cu", "In1.Cu", "B.Cu"), {}, {"F.Cu": "F.Cu", "In1.Cu": "In1.Cu", "B.Cu": "B.Cu"}, {})
CIRCLE_DEFICIT = 0.003  # what chords 0.001 mm inside cut off a circle of 0.5 mm radius is 0.26 % of it


def made(inside: str, place: tuple[float, float, float] = (0.0, 0.0, 0.0), layers: str = '"F.Cu"') -> Pad:
    """Return a pad from kind, shape and the rest, in a footprint at `place`."""
    return pad(parse(f'(pad "1" {inside} (layers {layers}))', "f"), place, Defaults(), NAMES)


BOTH_CORNERS = "(roundrect_rratio 0.25) (chamfer_ratio 0.2) (chamfer top_left bottom_right)"
DRAWN_SQUARE = "(primitives (gr_poly (pts (xy 0 0) (xy 2 0) (xy 2 2) (xy 0 2)) (width 0)))"


@pytest.mark.parametrize(
    ("inside", "area"),
    [
        ("smd rect (at 0 0) (size 2 1)", 2.0),
        ("smd circle (at 0 0) (size 1 1)", pi / 4),
        ("smd oval (at 0 0) (size 3 1)", 2 + pi / 4),
        ("smd oval (at 0 0) (size 1 3)", 2 + pi / 4),
        ("smd oval (at 0 0) (size 1 1)", pi / 4),
        ("smd roundrect (at 0 0) (size 2 1) (roundrect_rratio 0.25)", 2 - (4 - pi) * 0.25**2),
        ("smd roundrect (at 0 0) (size 2 1) (roundrect_rratio 0.5)", 1 + pi / 4),
        ("smd roundrect (at 0 0) (size 2 1) (roundrect_rratio 0)", 2.0),
        ("smd roundrect (at 0 0) (size 2 1) (roundrect_rratio 0) (chamfer_ratio 0.2) (chamfer top_left)", 1.98),
        (f"smd roundrect (at 0 0) (size 2 1) {BOTH_CORNERS}", 2 - 2 * 0.02 - 2 * (1 - pi / 4) * 0.25**2),
        ("smd trapezoid (at 0 0) (size 2 1) (rect_delta 0.4 0)", 2.0),
        ("smd trapezoid (at 0 0) (size 2 1) (rect_delta 0 0.4)", 2.0),
        ("smd custom (at 0 0) (size 1 1) (options (anchor rect)) (primitives)", 1.0),
        (f"smd custom (at 0 0) (size 0.1 0.1) (options (anchor circle)) {DRAWN_SQUARE}", 4 + 0.75 * pi * 0.05**2),
    ],
)
@pytest.mark.parametrize("angle", [0, 45, 90])
def test_areas(inside: str, area: float, angle: float) -> None:
    """Each shape has the area of its formula, less the chords, at any angle."""
    found = made(inside.replace("(at 0 0)", f"(at 0 0 {angle})")).area_mm2
    assert area * (1 - CIRCLE_DEFICIT) <= found <= area * (1 + 1e-6)


def test_place_turns_with_the_footprint_and_angle_does_not() -> None:
    """A pad's place turns with its footprint, its angle is already the board's."""
    found = made("smd rect (at 1 0 90) (size 2 1)", (10.0, 5.0, 90.0))
    assert (found.x_mm, found.y_mm) == pytest.approx((10, 4))
    assert found.copper.bounds == pytest.approx((9.5, 3, 10.5, 5))


def test_an_offset_moves_the_copper_and_not_the_hole() -> None:
    """The pad stands at its hole; the land lies off it, turned with the pad."""
    found = made("thru_hole rect (at 0 0 90) (size 2 1) (drill 0.5 (offset 0.5 0))", layers='"*.Cu"')
    assert found.hole is not None
    assert found.copper.bounds == pytest.approx((-0.5, -1.5, 0.5, 0.5))
    assert found.hole.centroid.coords[0] == pytest.approx((0, 0))
    assert found.drill_mm == 0.5


def test_an_oval_drill_keeps_its_extent_along_the_pads_x() -> None:
    """Turned by 90 degrees, a slot of 0.6 by 1.2 lies along x and still reports 0.6."""
    found = made("thru_hole oval (at 0 0 90) (size 1 2) (drill oval 0.6 1.2)", layers='"*.Cu"')
    assert found.hole is not None
    assert found.hole.bounds == pytest.approx((-0.6, -0.3, 0.6, 0.3))
    assert found.drill_mm == 0.6


@pytest.mark.parametrize(
    ("corner", "x", "y"),
    [("top_left", -1, -0.5), ("top_right", 1, -0.5), ("bottom_left", -1, 0.5), ("bottom_right", 1, 0.5)],
)
def test_the_named_corner_is_cut(corner: str, x: float, y: float) -> None:
    """Of four corners the named one is gone and the others stay."""
    found = made(f"smd roundrect (at 0 0) (size 2 1) (roundrect_rratio 0) (chamfer_ratio 0.2) (chamfer {corner})")
    corners = shapely.points([(-1, -0.5), (1, -0.5), (-1, 0.5), (1, 0.5)])
    gone = [point for point in corners if not found.copper.intersects(point)]
    assert [(point.x, point.y) for point in gone] == [(x, y)]


def test_layers_decide_copper_paste_and_mask() -> None:
    """Wildcards cover all or the outer layers, and a pad of paste alone has no copper."""
    assert made("smd rect (at 0 0) (size 1 1)", layers='"*.Cu" "*.Mask"').layers == NAMES.copper
    assert made("smd rect (at 0 0) (size 1 1)", layers='"F&B.Cu"').layers == ("F.Cu", "B.Cu")
    paste = made("smd rect (at 0 0) (size 1 1)", layers='"B.Paste"')
    assert (paste.layers, paste.area_mm2, paste.has_paste, paste.has_mask_opening) == ((), 0.0, True, False)
    assert made("smd rect (at 0 0) (size 1 1)", layers='"F.Cu" "*.Mask"').has_mask_opening


def test_the_zone_connection_is_the_pads_own_or_the_footprints() -> None:
    """KiCad's numbers 0 to 3 become words; without one the footprint's holds."""
    words = [made(f"smd rect (at 0 0) (size 1 1) (zone_connect {digit})").zone_connection for digit in range(4)]
    assert words == ["none", "thermal", "solid", "thermal-through-hole-only"]
    assert made("smd rect (at 0 0) (size 1 1)").zone_connection == "inherited"


def test_a_custom_pad_without_size_is_unreadable() -> None:
    """The anchor's size is needed and not guessed."""
    with pytest.raises(UnreadableError, match="no size"):
        made("smd custom (at 0 0) (primitives)")
