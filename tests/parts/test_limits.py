"""Limits of bodies that are no packages, ramps and sensitivity classes."""

import pytest

from leeward.parts.families import families
from leeward.parts.limits import limit


@pytest.mark.parametrize(
    ("diameter_mm", "limit_c"), [(4.0, 250), (6.6, 250), (8.3, 240), (10.3, 235), (12.9, 230), (16.6, 230)]
)
def test_electrolytic_cans_by_diameter(diameter_mm: float, limit_c: float) -> None:
    """Larger cans endure less: an electrolytic maker's reflow table (kjelec.cn/en/showpro.asp?id=132)."""
    found = limit(families()["aluminium can capacitor"], (diameter_mm, diameter_mm), 6, "SAC305", surface_mount=True)
    assert (found.limit_c.value, found.fragile_class) == (limit_c, "C")


@pytest.mark.parametrize(
    ("body_mm", "ramp_c_s", "fragile_class"),
    [((1.0, 0.5), 4.0, "A"), ((3.2, 1.6), 4.0, "A"), ((3.2, 2.5), 2.0, "C"), ((5.7, 5.0), 2.0, "C")],
)
def test_ceramic_capacitors_are_held_to_a_ramp(
    body_mm: tuple[float, float], ramp_c_s: float, fragile_class: str
) -> None:
    """At most 4 C/s, and 2 C/s from EIA 1210 up (TDK and Presidio soldering pages)."""
    found = limit(families()["chip capacitor"], body_mm, 1.0, "SAC305", surface_mount=True)
    assert (found.max_ramp_c_s, found.fragile_class) == (ramp_c_s, fragile_class)


def test_packages_are_held_to_the_standard_ramp() -> None:
    """J-STD-020D table 5-2: at most 3 C/s from liquidus to peak."""
    found = limit(families()["quad gull-wing"], (14, 14), 1.4, "SAC305", surface_mount=True)
    assert found.max_ramp_c_s == 3.0
    assert "J-STD-020D table 4-2" in found.limit_c.source


@pytest.mark.parametrize(
    ("family", "surface_mount", "limit_c", "fragile_class"),
    [
        ("coin cell holder", True, 85, "E"),
        ("supercapacitor", True, 85, "E"),
        ("display", True, 80, "E"),
        ("relay", False, 110, "D"),
        ("relay", True, 240, "C"),
        ("connector", True, 245, "C"),
        ("connector", False, 200, "D"),
        ("pin header", True, 200, "D"),
        ("leaded film capacitor", False, 110, "D"),
        ("MEMS microphone", True, 260, "C"),
        ("crystal", True, 245, "B"),
        ("polymer can capacitor", True, 250, "C"),
    ],
)
def test_other_families(family: str, surface_mount: bool, limit_c: float, fragile_class: str) -> None:
    """Families outside the package tables get their own limit and class, leaded variants their own."""
    found = limit(families()[family], (5, 5), 2, "SAC305", surface_mount=surface_mount)
    assert (found.limit_c.value, found.fragile_class) == (limit_c, fragile_class)
