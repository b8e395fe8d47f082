"""What lifts a molten part, and how little may pull before that.

The figures of twelve packages were worked by the same formulas as the program's, on lands of the usual sizes: they
guard against slips, they are no reference.
"""

from dataclasses import replace
from math import ceil
from pathlib import Path

import pytest

from builders import case, part
from leeward.bench.read import read_bench
from leeward.bench.records import Cup
from leeward.heat.bodies import soldered_pads
from leeward.known import Known
from leeward.parts.identify import identify
from leeward.parts.records import Part
from leeward.review.anchors import Anchors
from leeward.review.lift import (
    cup_force_n,
    largest_cup_mm,
    least_cup_mm,
    lift,
    needed_vacuum_kpa,
    why_bare_top,
)
from leeward.review.pads import lifting_force_n, pads, surface_tension_n
from leeward.review.records import Case, Laminate
from needs import kicad_footprints
from parts.library import footprints_as_board

STANDARD = Laminate(Known(140.0, "test", "low"), Known(305.0, "test", "low"), told=True)
VACUUM_KPA = 30.0
# Footprint of KiCad's library, surface tension of its joints in N, smallest cup in whole mm.
PACKAGES = {
    "Package_SO:SOIC-8_3.9x4.9mm_P1.27mm": (0.020, 2),
    "Package_QFP:LQFP-48_7x7mm_P0.5mm": (0.082, 3),
    "Package_QFP:LQFP-100_14x14mm_P0.5mm": (0.18, 5),
    "Package_QFP:LQFP-144_20x20mm_P0.5mm": (0.25, 6),
    "Package_QFP:PQFP-208_28x28mm_P0.5mm": (0.36, 7),
    "Package_LCC:PLCC-32_11.4x14.0mm_P1.27mm": (0.064, 3),
    "Package_LCC:PLCC-44_16.6x16.6mm_P1.27mm": (0.097, 4),
    "Package_LCC:PLCC-68_24.2x24.2mm_P1.27mm": (0.15, 5),
    "Package_LCC:PLCC-84_29.3x29.3mm_P1.27mm": (0.19, 6),
    "Package_BGA:BGA-256_17.0x17.0mm_Layout16x16_P1.0mm_Ball0.5mm_Pad0.4mm_NSMD": (0.17, 5),
    "Package_BGA:BGA-676_27.0x27.0mm_Layout26x26_P1.0mm_Ball0.6mm_Pad0.5mm_NSMD": (0.51, 8),
    "Package_BGA:BGA-1156_35.0x35.0mm_Layout34x34_P1.0mm": (0.87, 10),
}


@pytest.fixture(scope="module", name="packages")
def read_packages(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Part]:
    """Return the packages as parts, by footprint."""
    files: list[Path] = []
    for name in PACKAGES:
        library, _, own = name.partition(":")
        files.append(kicad_footprints() / f"{library}.pretty" / f"{own}.kicad_mod")
    found = identify(footprints_as_board(files, tmp_path_factory.mktemp("packages")))
    return {entry.footprint.library_id: entry for entry in found.by_id.values()}


@pytest.mark.kicad
@pytest.mark.parametrize("name", PACKAGES)
def test_surface_tension_and_cup_of_a_package(packages: dict[str, Part], name: str) -> None:
    """Surface tension times wetted edge within 10 %, and the smallest cup of whole millimetres that lifts it."""
    tension, cup_mm = PACKAGES[name]
    package = packages[name]
    own = soldered_pads(package)
    assert surface_tension_n(own, "top") == pytest.approx(tension, rel=0.1)
    assert ceil(least_cup_mm(lifting_force_n(package, own), VACUUM_KPA)) == cup_mm


@pytest.mark.parametrize(("diameter_mm", "newtons"), [(3, 0.21), (4, 0.38), (5, 0.59), (6, 0.85), (8, 1.5), (10, 2.4)])
def test_a_cup_holds_pressure_times_area(diameter_mm: float, newtons: float) -> None:
    """At 30 kPa without loss; 0.6 of that is held on a warm, rough body."""
    assert cup_force_n(VACUUM_KPA, diameter_mm) == pytest.approx(0.6 * newtons, rel=0.02)


def test_cup_and_vacuum_are_two_sides_of_one_force() -> None:
    """The smallest cup needs just the vacuum that it was sized at."""
    assert needed_vacuum_kpa(0.3, least_cup_mm(0.3, VACUUM_KPA)) == pytest.approx(VACUUM_KPA)


def on_bench(*cups: Cup, target: Part | None = None) -> Case:
    """Return the invented case with cups on its bench."""
    drawn = case(target)
    return replace(drawn, bench=replace(read_bench(), cups=cups))


def test_the_smallest_cup_that_lifts_is_taken() -> None:
    """It takes 0.7 mm here and the top has room for 1.2 mm: of the cups that lift and fit, the smallest."""
    cups = tuple(Cup(f"cup-{size:g}", size, 300.0) for size in (1.2, 1.1, 0.5, 4.0))
    found = lift(on_bench(*cups), STANDARD)
    assert found.least_cup_mm == pytest.approx(0.678, abs=0.001)
    assert found.largest_cup_mm == pytest.approx(1.2)
    assert found.cup is not None
    assert (found.cup.id, found.why_no_cup) == ("cup-1.1", "")
    assert found.vacuum_kpa == pytest.approx(30.0 * (found.least_cup_mm / 1.1) ** 2)


@pytest.mark.parametrize(
    ("cups", "why"),
    [
        ((), "the bench has no cups"),
        ((Cup("cup-4", 4.0, 300.0),), "the bench has none between 0.7 and 1.2 mm"),
        ((Cup("cup-1", 1.0, 200.0),), "none of that size on the bench bears the 241 C of its top"),
    ],
)
def test_why_no_cup_serves(cups: tuple[Cup, ...], why: str) -> None:
    """No cup, none of the size, none that bears the heat: each is said."""
    found = lift(on_bench(*cups), STANDARD)
    assert (found.cup, found.why_no_cup, found.vacuum_kpa) == (None, why, None)


def test_a_part_too_heavy_for_its_top_takes_no_cup() -> None:
    """Where the least cup is larger than the top has room for, tweezers are left."""
    heavy = replace(part("U1"), mass_mg=Known(3000.0, "test", "high"))
    assert lift(on_bench(Cup("cup-1", 1.0, 300.0), target=heavy), STANDARD).why_no_cup.startswith("it takes ")


@pytest.mark.parametrize(
    ("changes", "why"),
    [
        ({"hazards": ("port",)}, "its top has an open port"),
        ({"hazards": ("electrolytic",)}, "its top has a vent"),
        ({"family": Known("crystal", "test", "high")}, "its top is a lid"),
        ({"family": Known("LED package", "test", "high")}, "its top is a lens or a window"),
        ({"lead_style": Known("connector", "test", "high")}, "its top is not flat"),
        ({}, ""),
    ],
)
def test_tops_that_take_no_cup(changes: dict[str, object], why: str) -> None:
    """A port, a vent, a lid, a lens, a connector: each bars the cup; a plain moulded body takes one."""
    assert why_bare_top(replace(part("U1"), **changes)) == why  # type: ignore[arg-type]  # fields of the record


def test_a_cup_covers_little_of_the_top() -> None:
    """Common practice: no more than 0.6 of the smallest flat side."""
    assert largest_cup_mm(part("U1")) == pytest.approx(1.2)


def test_what_is_allowed_is_the_weakest_single_land() -> None:
    """Of lands 0.3 and 0.6 mm wide it is the narrow one's pry at 0.2 N/mm, about 0.06 N, never the sum of both."""
    target = part("U1")
    wide, second = target.footprint.pads
    narrow = replace(second, copper=second.copper.buffer(-0.15, join_style="mitre"))
    slim = replace(target, footprint=replace(target.footprint, pads=(wide, narrow)))
    found = lift(case(slim), STANDARD)
    assert found.weakest_pad == "2"
    assert found.allowed_n == pytest.approx(0.3 * 1.4 * 0.8 * 0.15, rel=0.02)  # the site was reworked once


def test_no_more_is_allowed_than_any_land_of_the_list_bears() -> None:
    """Where long heat spoils the foil, what is allowed comes down to what the lands' own list says of the weakest."""
    soft = replace(STANDARD, glass_transition_c=Known(120.0, "test", "low"))
    solved = case(part("U1"))
    listed = pads(solved, soft, [Anchors(), Anchors()])
    assert all(land.spoiled for land in listed)
    assert lift(solved, soft).allowed_n == pytest.approx(min(land.capability_n for land in listed))
    assert lift(solved, soft).allowed_n < lift(solved, STANDARD).allowed_n


def test_a_heavy_lift_is_told_not_to_protect() -> None:
    """Where the pull of the lift passes what one land bears, no cup force protects."""
    assert lift(case(), STANDARD).cup_protects
    heavy = replace(part("U1"), mass_mg=Known(30000.0, "test", "high"))
    assert not lift(case(heavy), STANDARD).cup_protects
