"""Lead styles and masses against what others publish.

Lead styles: KiCad's footprint library (Debian package kicad-footprints 6.0.11), where the folder and the outline's
name say how the leads are formed; J-leads are those of JEDEC MS-018 (PLCC), MO-065 (SOJ) and TSOC. Masses: makers'
data, named beside each figure.
"""

from collections import Counter
from collections.abc import Iterable, Mapping
from pathlib import Path

import pytest

from leeward.parts.frame import box_in_part_frame
from leeward.parts.identify import identify
from leeward.parts.lands import lands, lead_style_by_lands
from leeward.parts.records import LeadStyle, Part
from needs import kicad_footprints
from parts.drawn import board, box, quad, two_rows
from parts.library import library_as_board, named, surface_mount_parts
from parts.library_truth import Row, row_of

# Where lands and the drawn body alone can tell: packages with leads in rows or balls, and chips. They cannot tell a
# leadless package from a connector, a module or a crystal, nor two narrow lands apart.
TOLD_BY_GEOMETRY = {
    "quad gull-wing",
    "two-row gull-wing",
    "small gull-wing",
    "gull-wing dual in-line",
    "J-lead",
    "bottom-terminated",
    "metal-can flip transistor",
    "ball grid",
    "wafer-level balls",
    "chip",
}


def truth(part: Part) -> Row:
    """Return what the tests know of a part of the library; every part must be known."""
    row = row_of(part.footprint.library_id)
    assert row is not None, part.footprint.library_id
    return row


def by_geometry(part: Part) -> LeadStyle | None:
    """Return the lead style by lands and fab drawing alone: neither name, library, reference nor family is asked."""
    fab = part.footprint.fab
    if fab is None or fab.is_empty:
        return None
    return lead_style_by_lands(lands(part.footprint), box_in_part_frame(fab, part.footprint))


def confusion(judged: Iterable[tuple[Row, str | None]]) -> str:
    """Return a table of kinds by what they were taken for, one kind a line."""
    counts: dict[str, Counter[str]] = {}
    for row, style in judged:
        counts.setdefault(row.kind, Counter())[str(style)] += 1
    return "\n".join(
        f"{kind:<28}{', '.join(f'{style} {count}' for style, count in counter.most_common())}"
        for kind, counter in sorted(counts.items())
    )


def misses(styles: Mapping[str, tuple[Row, str | None]]) -> list[str]:
    """Return a line for every part that was taken for something else than it is."""
    return [
        f"{name} is {' or '.join(sorted(row.styles))}, taken for {style}"
        for name, (row, style) in styles.items()
        if style not in row.styles
    ]


@pytest.mark.kicad
def test_lead_styles_of_the_library() -> None:
    """By name and geometry 99.5 % of the library's surface-mount outlines get their true lead style."""
    styles = {part.footprint.library_id: (truth(part), part.lead_style.value) for part in surface_mount_parts()}
    print(confusion(styles.values()))  # noqa: T201  # the table is what the test is for; pytest shows it with -s or on failure
    wrong = misses(styles)
    assert len(styles) > 5300
    assert len(wrong) <= 0.005 * len(styles), "\n".join(wrong)


@pytest.mark.kicad
def test_lead_styles_by_geometry_alone() -> None:
    """By lands and fab drawing alone 97 % of packages and chips are right; over everything it is about a third."""
    styles = {part.footprint.library_id: (truth(part), by_geometry(part)) for part in surface_mount_parts()}
    judged = {name: entry for name, entry in styles.items() if entry[0].kind in TOLD_BY_GEOMETRY}
    print(confusion(styles.values()))  # noqa: T201  # as above
    print(f"over everything {1 - len(misses(styles)) / len(styles):.1%} of {len(styles)}")  # noqa: T201  # as above
    wrong = misses(judged)
    assert len(judged) > 1600
    assert len(wrong) <= 0.03 * len(judged), "\n".join(wrong)


@pytest.mark.kicad
@pytest.mark.parametrize("style", ["gull-wing", "j-lead", "bottom-terminated", "ball-grid", "tab", "inward-l", "can"])
def test_no_lead_style_is_bought_with_another(style: str) -> None:
    """Each lead style by itself is found, and rightly claimed, in at least 95 of 100 outlines of one sure style."""
    sure = [(part, row) for part in surface_mount_parts() if len((row := truth(part)).styles) == 1]
    true = [part.lead_style.value == style for part, row in sure if style in row.styles]
    claimed = [style in row.styles for part, row in sure if part.lead_style.value == style]
    assert sum(true) >= 0.95 * len(true) > 0
    assert sum(claimed) >= 0.95 * len(claimed) > 0


@pytest.mark.kicad
def test_a_contradicting_second_opinion_is_rare_and_said() -> None:
    """Lands contradict the name in at most 3 % of packages, and then the part says what they look like."""
    packages = [part for part in surface_mount_parts() if named(part)[0].startswith("Package_")]
    doubted = [part for part in packages if "look like" in part.lead_style.source]
    assert len(packages) > 1600
    assert 0 < len(doubted) <= 0.03 * len(packages)
    assert all(part.lead_style.confidence == "low" for part in doubted)


@pytest.mark.kicad
@pytest.mark.parametrize("library", ["Package_DIP", "Package_TO_SOT_THT"])
def test_leaded_outlines(library: str, tmp_path: Path) -> None:
    """Outlines soldered through holes are so taken, sockets as sockets."""
    drawn = library_as_board(kicad_footprints() / f"{library}.pretty", tmp_path)
    parts = [part for part in identify(drawn).by_id.values() if "smd" not in part.footprint.attributes]
    assert len(parts) > 100
    for part in parts:
        socket = "Socket" in part.footprint.library_id
        assert part.lead_style.value == ("socket" if socket else "through-hole"), part.footprint.library_id


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
def test_plcc_bodies(name: str, body_mm: float, span_mm: float) -> None:
    """Old drawings, which show the lands' extent, and new ones give MS-018's body and lead span (from memory)."""
    part = next(part for part in surface_mount_parts() if named(part) == ("Package_LCC", name))
    assert part.body_mm.value == pytest.approx((body_mm, body_mm), abs=0.15)
    assert part.lead_span_mm == pytest.approx((span_mm, span_mm), abs=0.15)


@pytest.mark.kicad
@pytest.mark.parametrize(
    ("library", "name", "span_mm"),
    [
        ("Package_QFP", "LQFP-100_14x14mm_P0.5mm", (16.0, 16.0)),  # MS-026, from memory
        ("Package_QFP", "PQFP-100_14x20mm_P0.65mm", (17.2, 23.2)),  # MS-022 variation GC-1, from memory
        ("Package_SO", "SOP-4_4.4x2.6mm_P1.27mm", (7.0, 2.6)),  # mini-flat optocouplers, from memory
        ("Package_SO", "SOIC-8_3.9x4.9mm_P1.27mm", (6.0, 4.9)),  # RJF0409JSP datasheet p. 7: 5.8-6.2 mm
        ("Package_SO", "SOIC-16W_7.5x10.3mm_P1.27mm", (10.3, 10.3)),  # MS-013, from memory
        ("Package_SO", "TSSOP-20_4.4x6.5mm_P0.65mm", (6.4, 6.5)),  # MO-153, from memory
    ],
)
def test_gull_wing_spans(library: str, name: str, span_mm: tuple[float, float]) -> None:
    """The lead span is the outline's and up to 0.2 mm of tolerance."""
    part = next(part for part in surface_mount_parts() if named(part) == (library, name))
    assert part.lead_span_mm == pytest.approx(span_mm, abs=0.2)


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
