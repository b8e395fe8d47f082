"""Tests of leeward.report.as_json."""

import json
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from builders import review, sequence
from leeward.report.as_json import decimals, plain, rounded, to_json
from leeward.report.documents import ArrivesByDocument, ThermocoupleDocument
from leeward.report.review_documents import review_document


@pytest.mark.parametrize(
    ("name", "places"),
    [
        ("gap_mm", 4),
        ("area_mm2", 4),
        ("peak_c", 1),
        ("c", 1),
        ("seconds_to_liquidus", 1),
        ("seconds", 1),
        ("max_ramp_c_s", 2),
        ("time_s", 1),
        ("flow_l_min", 2),
        ("direction_deg", 3),
        ("probability_over", 3),
        ("polygons", 4),
        ("F.Cu", None),
    ],
)
def test_a_name_tells_its_decimals(name: str, places: int | None) -> None:
    """Units at the end of a name decide the decimals, as the document's description promises."""
    assert decimals(name) == places


def test_figures_are_rounded_by_their_names() -> None:
    """A place in mm keeps four decimals; a share, which names no unit, keeps three."""
    assert plain(ThermocoupleDocument(1.23456789, -0.00001, "top", "U1", "last"))["x_mm"] == 1.2346
    assert plain(ArrivesByDocument(0.33333, 0.66667)) == {"air": 0.333, "copper": 0.667}


def test_a_layer_takes_the_decimals_of_the_mapping_it_stands_in() -> None:
    """Areas by layer name are areas: the layer's name tells no unit."""
    document = review_document(review().case.board, [], sequence())
    assert plain(document)["board"]["zone_area_mm2"] == {"F.Cu": 150.0}


@pytest.mark.parametrize("figure", [math.nan, math.inf, -math.inf])
def test_what_is_no_number_is_null(figure: float) -> None:
    """Neither NaN nor infinity reaches a document."""
    assert rounded(figure, 3) is None


@given(st.floats(min_value=-0.04999, max_value=0.0))
def test_there_is_no_minus_zero(figure: float) -> None:
    """Whatever rounds to zero from below is written without a sign."""
    assert math.copysign(1.0, rounded(figure, 1) or 0.0) == 1.0
    assert "-0" not in to_json({"peak_c": figure})


@given(st.floats(allow_nan=False, allow_infinity=False, min_value=-1e6, max_value=1e6), st.integers(0, 5))
def test_rounding_moves_a_figure_by_half_a_place_at_most(figure: float, places: int) -> None:
    """Rounding never moves a figure by more than half of the last place, within the floats' own step."""
    found = rounded(figure, places)
    assert found is not None
    assert abs(found - figure) <= 0.5 * 10.0**-places + 1e-9


def test_what_is_no_document_is_refused() -> None:
    """An object without a place in a document raises instead of being written by its name."""
    with pytest.raises(TypeError, match="object has no place"):
        plain({"thing": object()})


def test_the_same_reviews_give_the_same_text() -> None:
    """Two documents of the same records are equal byte for byte, end in a line break and hold no NaN."""
    first, second = (to_json(review_document(review().case.board, [review()], sequence(review()))) for _ in range(2))
    assert first == second
    assert first.endswith("}\n")
    assert json.loads(first, parse_constant=pytest.fail)["schema"] == "leeward.review/1"
