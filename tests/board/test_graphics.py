"""Drawn shapes against the formulas of plane geometry: rounded boxes, curves, and layers of either spelling."""

from math import pi

import numpy as np
import pytest
import shapely

from leeward.board.arcs import ERROR_MM, bezier
from leeward.board.graphics import graphic
from leeward.board.sexpr import parse


@pytest.mark.parametrize(
    ("radius", "width", "height", "area"),
    [
        (1, 6, 4, 24 - (4 - pi)),
        (2, 6, 4, 8 + pi * 4),  # a slot
        (5, 4, 4, pi * 4),  # a radius beyond half the side makes a circle
        (0, 6, 4, 24),
    ],
)
@pytest.mark.parametrize("head", ["gr_rect", "fp_rect"])
@pytest.mark.parametrize("flipped", [False, True])
def test_rounded_boxes(head: str, flipped: bool, radius: float, width: float, height: float, area: float) -> None:
    """A box with a corner radius (KiCad 10 on) loses its corners, whichever corner is written first."""
    ends = [f"3 2) (end {3 + width} {2 + height}", f"{3 + width} {2 + height}) (end 3 2"]
    text = f"({head} (start {ends[flipped]}) (radius {radius}) (stroke (width 0)) (fill yes) (layer F.Cu))"
    found = graphic(parse(text, "f")).area()
    assert found.area == pytest.approx(area, rel=2e-3)
    assert found.bounds == pytest.approx((3, 2, 3 + width, 2 + height))


@pytest.mark.parametrize("scale", [0.01, 1.0, 30.0])
def test_curves_are_followed_as_closely_as_arcs(scale: float) -> None:
    """The chords of a curve stay within the reader's accuracy of it, however large it is drawn."""
    control = np.array([(0, 0), (0, 5), (5, 5), (5, 0)], dtype=float) * scale
    t = np.linspace(0, 1, 20001)[:, None]
    exact = 3 * (1 - t) ** 2 * t * control[1] + 3 * (1 - t) * t**2 * control[2] + t**3 * control[3]
    found = shapely.linestrings(bezier(control))
    assert np.max(shapely.distance(shapely.points(exact), found)) <= ERROR_MM
    assert len(bezier(control)) < 1200


def test_a_straight_curve_is_one_chord() -> None:
    """Evenly spaced control points in line need no chords in between."""
    assert len(bezier(np.array([(0, 0), (1, 0), (2, 0), (3, 0)], dtype=float))) == 2


@pytest.mark.parametrize("layer", ['(layer "F.Cu")', '(layers "F.Cu" "F.Mask")'])
def test_a_shape_that_opens_the_mask_lies_on_its_copper(layer: str) -> None:
    """From KiCad 9 on a shape may name its copper layer and the mask that it opens."""
    text = f"(gr_line (start 0 0) (end 1 0) {layer} (width 1))"
    assert graphic(parse(text, "f")).layer == "F.Cu"
