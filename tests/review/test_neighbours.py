"""What a neighbour is told of beside its heat."""

from dataclasses import replace

import pytest
import shapely

from cases import crowded
from leeward.review.neighbours import neighbours
from leeward.review.records import Case


def under_the_wall(case: Case, standoff_mm: float) -> bool:
    """Return whether C1 of a case is said to pass under a wall that stands over its middle at some height."""
    body = case.parts.by_id["id-C1"].body
    middle = body.centroid
    wall = shapely.box(middle.x - 0.2, middle.y - 5, middle.x + 0.2, middle.y + 5)
    fit = replace(case.loads.fit, outside=wall, aperture=shapely.box(0, 0, 0.1, 0.1), standoff_mm=standoff_mm)
    found = neighbours(replace(case, loads=replace(case.loads, fit=fit)))
    return next(entry for entry in found if entry.part.ref == "C1").passes_under_wall


@pytest.mark.parametrize(("over_mm", "passes"), [(-0.1, False), (0.0, True), (0.5, True)])
def test_who_is_no_taller_than_the_stand_off_passes_under_the_wall(over_mm: float, passes: bool) -> None:
    """A body under the wall passes it where the wall stands as high over the board or higher, and not 0.1 mm lower."""
    case = crowded()
    tall_mm = case.parts.by_id["id-C1"].height_mm.value
    assert under_the_wall(case, tall_mm + over_mm) == passes


def test_shares_of_the_heat_and_margins_add_up() -> None:
    """Air and copper bring all of it; the margin is the lesser of the body's and the joint's."""
    for entry in neighbours(crowded()):
        assert entry.by_air + entry.by_copper == pytest.approx(1.0)
        assert entry.body_peak_c is not None
        own = entry.part.limit_c.value - entry.body_peak_c
        joint = own if entry.joint_peak_c is None else entry.joint_limit_c - entry.joint_peak_c
        assert entry.margin_c == pytest.approx(min(own, joint))
