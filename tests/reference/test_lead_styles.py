"""Lead styles and masses against what others publish.

Lead styles: KiCad's footprint library (Debian package kicad-footprints), where the folder and the outline's name
say how the leads are formed; J-leads are those of JEDEC MS-018 (PLCC), MO-065 (SOJ) and TSOC. Masses: makers'
data, named beside each figure.
"""

import re
from functools import cache
from pathlib import Path

import pytest

from leeward.parts.identify import identify
from leeward.parts.records import Part
from needs import kicad_footprints
from parts.drawn import board, box, quad, two_rows
from parts.library import library_as_board

# What a library's outlines are: the first pattern found in the footprint's name decides.
TRUTH: dict[str, tuple[tuple[str, str], ...]] = {
    "Package_QFP": (("", "gull-wing"),),
    "Package_SO": (("^SOJ", "j-lead"), ("PowerPAK", "bottom-terminated"), ("", "gull-wing")),
    "Package_SO_J-Lead": (("", "j-lead"),),
    "Package_DFN_QFN": (("", "bottom-terminated"),),
    "Package_SON": (("", "bottom-terminated"),),
    "Package_LGA": (("", "bottom-terminated"),),
    "Package_BGA": (("", "ball-grid"),),
    "Package_CSP": (("LFCSP", "bottom-terminated"), ("", "ball-grid")),
    "Package_LCC": (("Socket", "socket"), ("^PLCC", "j-lead")),
    "Package_DIP": (("Socket", "socket"), ("SMD|SMDIP|LSOP", "gull-wing"), ("", "through-hole")),
    "Package_DirectFET": (("", "bottom-terminated"),),
    "Package_TO_SOT_SMD": (
        ("PowerPAK|PQFN|TDSON|^SOT-88[36]|^SOT-1123|^SOT-133", "bottom-terminated"),
        ("^TO-|TO-220|SOT-223|SOT-89|LFPAK|HSOF|HDSOP|ATPAK|HRP|NDW|NDQ|NDY|PowerMacro", "tab"),
        ("^T?SOT-23|^SC-|^SOT-(143|323|343|353|363|416|5|6|7|9)|SuperSOT|SOF|TSFP|ECH8", "gull-wing"),
    ),
    "Package_TO_SOT_THT": (("", "through-hole"),),
    "Resistor_SMD": (("", "end-cap"),),
    "Capacitor_SMD": (("_Elec_", "can"), (r"^C_\d{4}", "end-cap")),
    "Capacitor_Tantalum_SMD": (("", "inward-l"),),
    "LED_SMD": ((r"^LED_\d{4}_", "end-cap"), ("PLCC", "inward-l")),
    "Diode_SMD": (
        ("RM10", "through-hole"),
        (r"^D_\d{4,5}_|MELF", "end-cap"),
        ("^D_SM[ABCF]|SMP$", "inward-l"),
        ("DFN|DSN|QFN", "bottom-terminated"),
        ("^D_SOD|^D_SOT|^D_SC-|Bridge", "gull-wing"),
    ),
    "Crystal": (("SMD", "bottom-terminated"), ("^Crystal_HC.*_(Vertical|Horizontal)$", "through-hole")),
}


@cache
def parts_of(library: Path, directory: Path) -> tuple[Part, ...]:
    """Return every footprint of a library as a part."""
    return tuple(identify(library_as_board(library, directory)).by_id.values())


def truth(library: str, name: str) -> str | None:
    """Return the lead style by library and name, None for names that the table says nothing of."""
    return next((style for pattern, style in TRUTH[library] if re.search(pattern, name)), None)


@pytest.fixture(scope="module")
def judged(tmp_path_factory: pytest.TempPathFactory) -> dict[str, list[tuple[str, str, Part]]]:
    """Per library: name, true lead style and part of every footprint of which the truth is known."""
    directory = tmp_path_factory.mktemp("libraries")
    found: dict[str, list[tuple[str, str, Part]]] = {}
    for library in TRUTH:
        parts = parts_of(kicad_footprints() / f"{library}.pretty", directory)
        named = ((part.footprint.library_id.partition(":")[2], part) for part in parts)
        found[library] = [(name, style, part) for name, part in named if (style := truth(library, name)) is not None]
    return found


@pytest.mark.kicad
def test_lead_styles_of_the_library(judged: dict[str, list[tuple[str, str, Part]]]) -> None:
    """At least 97 % of some two thousand outlines of KiCad's library get their true lead style."""
    everything = [(library, *entry) for library, entries in judged.items() for entry in entries]
    misses = [
        f"{library}:{name} is {style}, taken for {part.lead_style.value} ({part.family.value})"
        for library, name, style, part in everything
        if part.lead_style.value != style
    ]
    assert len(everything) > 1900
    assert len(misses) <= 0.03 * len(everything), "\n".join(misses)


@pytest.mark.kicad
@pytest.mark.parametrize("style", ["gull-wing", "j-lead", "bottom-terminated", "ball-grid", "tab", "inward-l"])
def test_no_lead_style_is_bought_with_another(style: str, judged: dict[str, list[tuple[str, str, Part]]]) -> None:
    """Each lead style by itself is found, and rightly claimed, in at least 95 of 100 outlines."""
    everything = [entry for entries in judged.values() for entry in entries]
    true = [part for _, truly, part in everything if truly == style]
    claimed = [truly for _, truly, part in everything if part.lead_style.value == style]
    assert sum(part.lead_style.value == style for part in true) >= 0.95 * len(true) > 0
    assert sum(truly == style for truly in claimed) >= 0.95 * len(claimed) > 0


@pytest.mark.kicad
@pytest.mark.parametrize(
    ("name", "body_mm", "span_mm"),
    [
        ("PLCC-20", 8.97, 9.9),
        ("PLCC-28", 11.5, 12.4),
        ("PLCC-44", 16.59, 17.53),
        ("PLCC-44_16.6x16.6mm_P1.27mm", 16.59, 17.53),
        ("PLCC-52", 19.1, 20.1),
        ("PLCC-68", 24.23, 25.15),
        ("PLCC-84", 29.3, 30.2),
    ],
)
def test_plcc_bodies(name: str, body_mm: float, span_mm: float, judged: dict[str, list[tuple[str, str, Part]]]) -> None:
    """Old drawings, which show the lands' extent, and new ones give MS-018's body and lead span (from memory)."""
    part = next(part for found, _, part in judged["Package_LCC"] if found == name)
    assert part.body_mm.value == pytest.approx((body_mm, body_mm), abs=0.15)
    assert part.lead_span_mm == pytest.approx((span_mm, span_mm), abs=0.15)


@pytest.mark.kicad
@pytest.mark.parametrize(
    ("library", "name", "span_mm"),
    [
        ("Package_QFP", "LQFP-100_14x14mm_P0.5mm", (16.0, 16.0)),  # MS-026, from memory
        ("Package_QFP", "PQFP-100_14x20mm_P0.65mm", (16.8, 22.8)),  # R5F3651 datasheet p. 110
        ("Package_SO", "SOIC-8_3.9x4.9mm_P1.27mm", (6.0, 4.9)),  # RJF0409JSP datasheet p. 7: 5.8-6.2 mm
        ("Package_SO", "SOIC-16W_7.5x10.3mm_P1.27mm", (10.3, 10.3)),  # MS-013, from memory
        ("Package_SO", "TSSOP-20_4.4x6.5mm_P0.65mm", (6.4, 6.5)),  # MO-153, from memory
    ],
)
def test_gull_wing_spans(
    library: str, name: str, span_mm: tuple[float, float], judged: dict[str, list[tuple[str, str, Part]]]
) -> None:
    """The lead span estimated from the lands is within 0.4 mm of the outline's."""
    part = next(part for found, _, part in judged[library] if found == name)
    assert part.lead_span_mm == pytest.approx(span_mm, abs=0.4)


MASSES = {
    "LQFP-128 14x20x1.4": (
        quad(
            "Package_QFP:LQFP-128_14x20mm_P0.5mm",
            per_side=(38, 26),
            pitch=0.5,
            row=(7.7, 10.7),
            land=(1.5, 0.3),
            fab=box(14, 20),
        ),
        900.0,  # R5F3651 datasheet p. 110
    ),
    "QFP-100 14x20x2.8": (
        quad(
            "Package_QFP:PQFP-100_14x20mm_P0.65mm",
            per_side=(30, 20),
            pitch=0.65,
            row=(8.15, 11.15),
            land=(1.3, 0.35),
            fab=box(14, 20),
        ),
        1800.0,  # R5F3651 datasheet p. 110
    ),
    "TQFP-144 16x16x1.0": (
        quad(
            "Package_QFP:TQFP-144_16x16mm_P0.4mm",
            per_side=(36, 36),
            pitch=0.4,
            row=(8.7, 8.7),
            land=(1.5, 0.22),
            fab=box(16, 16),
        ),
        600.0,  # DF2117 datasheet p. 947
    ),
    "QFN-28 5x5x0.75": (
        quad(
            "Package_DFN_QFN:QFN-28-1EP_5x5mm_P0.5mm_EP3.1x3.1mm",
            per_side=(7, 7),
            pitch=0.5,
            row=(2.45, 2.45),
            land=(0.8, 0.25),
            fab=box(5, 5),
            exposed_mm=3.1,
        ),
        50.0,  # R5F211B4 datasheet p. 47
    ),
    "SOP-8": (
        two_rows(
            "Package_SO:SOIC-8_3.9x4.9mm_P1.27mm",
            leads=8,
            pitch=1.27,
            row=2.475,
            land=(1.95, 0.6),
            fab=box(3.9, 4.9),
        ),
        85.0,  # RJF0409JSP datasheet p. 7
    ),
}


@pytest.mark.parametrize("outline", MASSES)
def test_masses_against_makers(outline: str) -> None:
    """The mass estimated for an outline is within 20 % of what its maker states."""
    drawn, maker_mg = MASSES[outline]
    (part,) = identify(board(drawn)).by_id.values()
    assert part.mass_mg.value == pytest.approx(maker_mg, rel=0.2)
