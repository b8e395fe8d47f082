"""Bodies over KiCad's whole footprint library, against what the footprints draw and their names say."""

import re

import pytest

from leeward.parts.frame import box_in_part_frame, size
from leeward.parts.records import Part
from parts.library import named, surface_mount_parts

SIZE = re.compile(r"(?<![A-Za-z0-9.])B?(\d+(?:\.\d+)?)x(\d+(?:\.\d+)?)(?:x\d+(?:\.\d+)?)?mm")
NOT_THE_BODY = re.compile(r"_(Pad|EP|Mask)[\d.]+x[\d.]+mm")
WITHIN_MM = 0.2
MARK_MM = 1.0  # a fab drawing under this in both directions, in a footprint larger than that, is a mark

# Drawings and names that mislead, with the body along x and y: what is drawn holds the leads (MS-018 and MO-069
# bodies, from memory), or is drawn narrower than the lands allow, or the name is turned or counts the leads in.
TRAPS = {
    "Package_LCC:PLCC-20": (8.97, 8.97),
    "Package_LCC:PLCC-28": (11.5, 11.5),
    "Package_LCC:PLCC-44": (16.59, 16.59),
    "Package_LCC:PLCC-52": (19.1, 19.1),
    "Package_LCC:PLCC-68": (24.23, 24.23),
    "Package_LCC:PLCC-84": (29.3, 29.3),
    "Package_QFP:PQFP-132_24x24mm_P0.635mm_i386": (24.0, 24.0),  # bumpers and lead tips drawn
    "Package_SO:SO-20_12.8x7.5mm_P1.27mm": (7.5, 12.8),  # MS-013; drawn 4.4 wide, and turned in the name
    "Package_SO:SO-6L_10x3.84mm_P1.27mm": (7.5, 3.84),  # the 10 in the name is over leads
}


def drawn_mm(part: Part) -> tuple[float, float] | None:
    """Return the size of the fab drawing, None where there is none or it is a mark."""
    fab = part.footprint.fab
    if fab is None or fab.is_empty:
        return None
    found = size(box_in_part_frame(fab, part.footprint))
    return None if max(found) < MARK_MM < max(part.lead_span_mm) else found


def named_mm(part: Part) -> tuple[float, float] | None:
    """Return the size that the name gives for the body."""
    found = SIZE.search(NOT_THE_BODY.sub("", named(part)[1]))
    return None if found is None else (float(found[1]), float(found[2]))


def apart_mm(one: tuple[float, float], other: tuple[float, float] | None) -> float:
    """Return by how much two sizes differ, whichever way they lie."""
    return float("inf") if other is None else max(abs(a - b) for a, b in zip(sorted(one), sorted(other), strict=True))


@pytest.mark.kicad
def test_bodies_are_as_drawn_or_named() -> None:
    """99 % of all bodies are within 0.2 mm of the fab drawing or the name; tab packages by the side across their leads.

    The fab drawing of a tab package shows its leads, so along them it is no ruler of the body.
    """
    parts = [
        part
        for part in surface_mount_parts()
        if not part.body.is_empty and part.footprint.library_id not in TRAPS and (drawn_mm(part) or named_mm(part))
    ]
    wrong = []
    for part in parts:
        own, drawn = part.body_mm.value, drawn_mm(part)
        apart = min(apart_mm(own, drawn), apart_mm(own, named_mm(part)))
        if part.lead_style.value == "tab" and drawn is not None:
            apart = min(apart, *(abs(a - b) for a, b in zip(own, drawn, strict=True)))
        if apart > WITHIN_MM:
            wrong.append(f"{part.footprint.library_id} {own}, drawn {drawn}, named {named_mm(part)}")
    assert len(parts) > 5300
    assert len(wrong) <= 0.01 * len(parts), "\n".join(wrong)


@pytest.mark.kicad
@pytest.mark.parametrize("library_id", TRAPS)
def test_traps_are_seen_through(library_id: str) -> None:
    """Where drawing or name mislead, the body is still within 0.2 mm, and its source is not believed fully."""
    part = next(part for part in surface_mount_parts() if part.footprint.library_id == library_id)
    assert part.body_mm.value == pytest.approx(TRAPS[library_id], abs=WITHIN_MM)
    assert part.body_mm.confidence != "high"


@pytest.mark.kicad
def test_a_name_and_a_drawing_that_hold_the_leads() -> None:
    """PSOP-44 is named and drawn over its leads: the body comes from the courtyard and lands, narrower than both."""
    part = next(p for p in surface_mount_parts() if named(p) == ("Package_SO", "PSOP-44_16.9x27.17mm_P1.27mm"))
    assert part.outline_source.value == "courtyard"
    assert part.body_mm.value[0] < 16.0
    assert part.lead_span_mm[0] == pytest.approx(16.9, abs=0.3)
