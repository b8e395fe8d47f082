"""Areas of rings that cross or touch themselves or each other."""

import numpy as np
import pytest
import shapely

from leeward.board.mended import joined


def test_only_what_touches_is_put_together() -> None:
    """Two overlapping squares and one apart are two polygons of their common area; a hole is kept."""
    ring = shapely.box(10, 0, 14, 4).difference(shapely.box(11, 1, 13, 3))
    found = joined(np.array([shapely.box(0, 0, 2, 2), shapely.box(1, 1, 3, 3), ring]))
    assert found.is_valid
    assert len(found.geoms) == 2
    assert found.area == pytest.approx(7.0 + 12.0)


@pytest.mark.parametrize("areas", [[], [shapely.Polygon()], [shapely.Polygon(), shapely.Polygon()]])
def test_nothing_joins_to_nothing(areas: list[shapely.Polygon]) -> None:
    """No polygons, or polygons without area, give an empty area and no error."""
    assert joined(np.array(areas, dtype=object)).is_empty
