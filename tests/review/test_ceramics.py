"""Large ceramic capacitors in the review."""

from dataclasses import replace

import pytest

from builders import case, neighbour, part
from leeward.known import Known
from leeward.review.cautions import cautions
from leeward.review.ceramics import hurried
from leeward.review.records import Neighbour


def ceramic(ref: str, body_mm: tuple[float, float], ramp_c_s: float | None, most_c_s: float = 2.0) -> Neighbour:
    """Return a ceramic capacitor that warms at a given rate."""
    drawn = part(ref, lead_style="end-cap", family="chip capacitor")
    drawn = replace(drawn, body_mm=Known(body_mm, "fab drawing", "high"), max_ramp_c_s=most_c_s)
    return replace(neighbour(drawn), max_ramp_c_s=ramp_c_s)


@pytest.mark.parametrize(
    "unhurt",
    [
        ceramic("C1", (3.2, 2.5), 1.9),
        ceramic("C1", (3.2, 2.5), None),
        ceramic("C1", (3.2, 1.6), 3.9, most_c_s=4.0),
        replace(neighbour(part("U2")), max_ramp_c_s=9.0),
    ],
)
def test_who_is_not_warned_of(unhurt: Neighbour) -> None:
    """Slow ceramics, small ones within their own limit, those nothing is known of, and packages make no caution."""
    assert list(hurried([unhurt])) == []


def test_large_ceramics_warmed_in_haste_are_named() -> None:
    """EIA 1210 and larger over 2 C/s are named, the fastest first, with the makers' limits (ECJ-HVB1C475K p. 16)."""
    near = (ceramic("C7", (3.2, 2.5), 2.5), ceramic("C2", (5.7, 5.0), 5.81))
    (caution,) = hurried(near)
    assert "C2 (5.8 C/s), C7 (2.5 C/s)" in caution
    assert "2 C/s, and steps of 130 C at most" in caution
    assert caution in cautions(case(part("U1")), near)
