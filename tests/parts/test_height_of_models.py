"""Heights and lead spans against the boxes of KiCad's own 3D models, which identification does not read here."""

import re
import statistics

import pytest

from leeward.parts.lands import lands
from leeward.parts.records import Part
from parts.library import named
from parts.model_boxes import (
    CONNECTORS,
    PACKAGES,
    ModelBox,
    is_held_out,
    outside_boxes,
    parts_with_models,
    sample_boxes,
    sampled,
)
from parts.published_spans import outside_its_outline

# Names that state a height: three sizes, H, a can, an EIA case.
STATES_A_HEIGHT = re.compile(r"\d+x[\d.]+x[\d.]+mm|_H[\d.]+|_Elec_|EIA-?\d{4}-\d\d")
PACKAGES_AND_LEADED = re.compile(r"Package_|(Resistor|Capacitor|Inductor|Diode|LED)_|Crystal")
SPANNED = ("Package_QFP", "Package_SO", "Package_LCC")
EVERYTHING = pytest.param(False, marks=pytest.mark.outside_boards, id="all")
SAMPLE = pytest.param(True, id="sample")


def boxes(*, sample: bool) -> dict[str, ModelBox]:
    """Return the committed sample, or the boxes of half of all models."""
    return sample_boxes() if sample else outside_boxes()


def misjudged_mm(libraries: re.Pattern[str], *, sample: bool, leaded: bool = False) -> list[float]:
    """Return by how much the heights of held-out parts of some libraries are off, least first."""
    tops = {key: box[1][2] for key, box in boxes(sample=sample).items()}
    return sorted(
        abs(part.height_mm.value - tops[key])
        for key, part in parts_with_models(sample=sample)
        if is_held_out(key)
        and libraries.match(named(part)[0])
        and (leaded or part.surface_mount)
        and not STATES_A_HEIGHT.search(named(part)[1])
    )


@pytest.mark.kicad
@pytest.mark.parametrize("sample", [SAMPLE, EVERYTHING])
def test_package_heights(sample: bool) -> None:
    """Heights of packages, chips and crystals are off by at most 0.15 mm in the median, 0.6 mm in nine of ten."""
    off = misjudged_mm(PACKAGES, sample=sample)
    assert len(off) > (100 if sample else 250)
    assert statistics.median(off) <= 0.15
    assert statistics.quantiles(off, n=10)[8] <= 0.6


@pytest.mark.outside_boards
@pytest.mark.kicad
def test_heights_of_leaded_parts_too() -> None:
    """Over all packages, chips, coils and crystals, leaded or not: 0.15 mm in the median, 0.6 mm in nine of ten."""
    off = misjudged_mm(PACKAGES_AND_LEADED, sample=False, leaded=True)
    assert len(off) > 500
    assert statistics.median(off) <= 0.15
    assert statistics.quantiles(off, n=10)[8] <= 0.6


@pytest.mark.kicad
@pytest.mark.parametrize("sample", [SAMPLE, EVERYTHING])
def test_connector_heights(sample: bool) -> None:
    """Heights of connectors are off by at most 2 mm in three of four."""
    off = misjudged_mm(CONNECTORS, sample=sample, leaded=True)
    assert len(off) > (140 if sample else 700)
    assert statistics.quantiles(off, n=4)[2] <= 2.0


@pytest.mark.kicad
@pytest.mark.parametrize("sample", [SAMPLE, EVERYTHING])
def test_no_height_falls_short_unsaid(sample: bool) -> None:
    """No part of any library, leaded ones too, is more than 1 mm taller than said unless that is of low confidence."""
    tops = {key: box[1][2] for key, box in boxes(sample=sample).items()}
    parts = parts_with_models(sample=sample)
    short = [
        f"{part.footprint.library_id}: {part.height_mm.value:g} against {tops[key]:g} mm ({part.height_mm.source})"
        for key, part in parts
        if tops[key] - part.height_mm.value > 1.0 and part.height_mm.confidence != "low"
    ]
    assert len(parts) > (250 if sample else 3000)
    assert not short, "\n".join(short)


@pytest.mark.kicad
@pytest.mark.parametrize("sample", [SAMPLE, EVERYTHING])
def test_lead_spans(sample: bool) -> None:
    """Lead spans are within 0.3 mm of the models' plan in 95 of 100 whose model keeps to its published outline.

    One model in five does not: thin quads drawn 9.32 or 12.4 mm over leads where MS-026 has 9 or 12 mm, small
    outlines 5.4 mm where MS-012 has 5.8 to 6.2 mm. Over all models, those too, four in five are within 0.3 mm and nine
    in ten within 0.5 mm.
    """
    spanned = [
        (part, plan_mm(boxes(sample=sample)[key]))
        for key, part in parts_with_models(sample=sample)
        if named(part)[0] in SPANNED and part.rows
    ]
    judged = [(part, plan) for part, plan in spanned if not strays(part, plan)]
    wrong = [
        f"{part.footprint.library_id} by {off_mm(part, plan):.2f} mm"
        for part, plan in judged
        if off_mm(part, plan) > 0.3
    ]
    everything = [off_mm(part, plan) for part, plan in spanned]
    assert len(judged) > (20 if sample else 110)
    assert len(wrong) <= 0.05 * len(judged), "\n".join(wrong)
    assert sum(off <= 0.3 for off in everything) >= 0.8 * len(everything)
    assert sum(off <= 0.5 for off in everything) >= 0.9 * len(everything)


def plan_mm(box: ModelBox) -> tuple[float, float]:
    """Return the extents of a model's box in plan."""
    return box[1][0] - box[0][0], box[1][1] - box[0][1]


def off_mm(part: Part, plan: tuple[float, float]) -> float:
    """Return by how much the lead span is off along the worse axis, to a hundredth."""
    return round(max(abs(own - model) for own, model in zip(part.lead_span_mm, plan, strict=True)), 2)


def strays(part: Part, plan: tuple[float, float]) -> list[str]:
    """Return the published outlines that a model does not keep to, along each axis that has rows."""
    axes = [axis for axis in (0, 1) if lands(part.footprint).axes[axis]]
    found = [outside_its_outline(named(part)[1], part.body_mm.value[axis], plan[axis]) for axis in axes]
    return [outline for outline in found if outline]


@pytest.mark.outside_boards
def test_the_sample_is_chosen_by_its_rule() -> None:
    """The committed boxes are those of the rule, no better ones, and as measured."""
    assert sample_boxes() == sampled(outside_boxes())
