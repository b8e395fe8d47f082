"""Parts under shield cans."""

from dataclasses import replace

import shapely

from builders import part
from leeward.known import Known
from leeward.parts.cans import with_cans
from leeward.parts.records import Part


def can(ref: str, side_mm: float, x_mm: float = 20.0) -> Part:
    """Return a shield can round a place on y = 20."""
    half = side_mm / 2
    body = shapely.box(x_mm - half, 20 - half, x_mm + half, 20 + half)
    return replace(part(ref, x_mm, lead_style="hardware", family="shield can"), body=body, leads=body)


def under(*parts: Part) -> dict[str, str | None]:
    """Return what stands under what, by reference."""
    return {each.ref: each.under for each in with_cans(parts)}


def test_parts_within_a_can_stand_under_it() -> None:
    """Of a part inside, one across the edge, one outside and one on the other side only the first is under the can."""
    inside, across, outside = part("U1", 20), part("U2", 26), part("U3", 40)
    below = part("U4", 20, side="bottom")
    found = under(can("SH1", 12), inside, across, outside, below)
    assert found == {"SH1": None, "U1": "id-SH1", "U2": None, "U3": None, "U4": None}


def test_the_smallest_can_counts_and_cans_are_not_under_cans() -> None:
    """A lid over a smaller can: the part is under the smaller, the smaller under none."""
    assert under(can("SH1", 20), can("SH2", 8), part("U1")) == {"SH1": None, "SH2": None, "U1": "id-SH2"}


def test_a_frame_counts_with_what_it_encloses() -> None:
    """A can that is drawn as a bare frame stands over what is inside the frame."""
    frame = shapely.box(14, 14, 26, 26).difference(shapely.box(15, 15, 25, 25))
    assert under(replace(can("SH1", 12), body=frame), part("U1"))["U1"] == "id-SH1"


def test_what_is_not_fitted_is_neither_over_nor_under() -> None:
    """A can that is not fitted covers nothing, and a part that is not fitted is not covered."""
    nothing = shapely.Polygon()
    assert under(replace(can("SH1", 12), body=nothing), part("U1"))["U1"] is None
    assert under(can("SH1", 12), replace(part("U1"), body=nothing))["U1"] is None


def test_other_families_cover_nothing() -> None:
    """A large module over a part is no can."""
    module = replace(can("U9", 12), family=Known("module", "name", "high"))
    assert under(module, part("U1"))["U1"] is None
