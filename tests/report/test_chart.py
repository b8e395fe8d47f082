"""Temperatures over time as a drawing."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from builders import case, review
from leeward.report.chart import BOTTOM_MM, LEFT_MM, RIGHT_MM, TOP_MM, chart
from leeward.report.drawing import Drawing, Line, Words
from leeward.report.lettering import box_of
from leeward.review.records import Review


def texts(drawing: Drawing) -> list[str]:
    """Return the words of a drawing."""
    return [item.text for item in drawing.items if isinstance(item, Words)]


def test_a_curve_is_where_its_temperatures_are() -> None:
    """The invented history rises from 25 to 225 C in 400 s; on axes to 400 C and 400 s that is a straight line."""
    (curve,) = [item for item in chart(review()).items if item.ink == "joint-1" and len(item_points(item)) > 0][:1]
    (x0, y0), (x1, y1) = item_points(curve)[0], item_points(curve)[-1]
    tall = BOTTOM_MM - TOP_MM
    assert (x0, x1) == pytest.approx((LEFT_MM, RIGHT_MM))
    assert y0 == pytest.approx(BOTTOM_MM - tall * 25 / 400)
    assert y1 == pytest.approx(BOTTOM_MM - tall * 225 / 400)


def item_points(item: object) -> tuple[tuple[float, float], ...]:
    """Return the points of a line."""
    return item.points if isinstance(item, Line) else ()


def test_stages_settings_and_the_last_joint_are_told() -> None:
    """Names and lengths of the stages, the settings, the liquidus and the moment of melt stand as words."""
    told = " | ".join(texts(chart(review())))
    for words in ("preheat, 100 s", "reflow, 60 s", "SAC305 liquid from 217 C", "air 350 C", "last joint, pad 1"):
        assert words in told
    assert "liquid 47 s into reflow (likely 37 to 63 s)" in told
    assert "coldest joint: 225 C" in told


def test_a_joint_that_stays_solid_has_no_moment_of_melt() -> None:
    """Where the last joint does not melt the chart claims no time."""
    solid = review(
        replace(
            case(),
            heat=replace(
                case().heat, joints=tuple(replace(joint, seconds_to_liquidus=None) for joint in case().heat.joints)
            ),
        )
    )
    assert not [text for text in texts(chart(solid)) if "into reflow" in text]


def test_a_short_stage_keeps_its_words_to_itself() -> None:
    """Of a stage that is too narrow for its name nothing is written, so that no words overlap."""
    heat = replace(case().heat, stage_ends_s={"preheat": 190.0, "soak": 196.0, "reflow": 220.0, "cool": 400.0})
    drawing = chart(review(replace(case(), heat=heat)))
    assert not [text for text in texts(drawing) if text.startswith("soak")]
    assert_apart(drawing)


def test_nothing_overlaps() -> None:
    """No two words of the chart overlap, and all stand in its frame."""
    assert_apart(chart(review()))


def assert_apart(drawing: Drawing) -> None:
    """Check that no two words overlap and none leaves the frame."""
    boxes = [shapely.box(*box_of(item)).buffer(-0.05) for item in drawing.items if isinstance(item, Words)]
    tree = shapely.STRtree(boxes)
    first, second = tree.query(boxes, predicate="intersects")
    assert np.array_equal(first, second)
    assert all(shapely.box(*drawing.frame_mm).contains(box) for box in boxes)


def test_curves_are_told_apart_without_colour() -> None:
    """Each curve has an ink of its own, and its stroke stands beside its name, the hottest first."""
    judged: Review = review()
    drawing = chart(judged)
    named = [text for text in texts(drawing) if text.endswith(" C") and ": " in text]
    assert named == ["coldest joint: 225 C"]
