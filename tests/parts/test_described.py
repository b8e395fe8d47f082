"""Heights in descriptions."""

from dataclasses import replace

import pytest

from leeward.parts.described import height_in_description
from leeward.parts.identify import identify
from parts.drawn import board, box, two_rows

BODY_MM = (4.0, 4.0)


@pytest.mark.parametrize(
    ("text", "height_mm"),
    [
        ("smd shielded power inductor 4x4x3mm", 3.0),
        ("8-Pin ePad 4mm x 4mm MLF - 4x4x0.85 mm Body (see datasheet)", 0.85 + 0.2),  # a body stands on its stand-off
        ("length*width*height=4.2*3.9*6.4mm^3", 6.4),
        ("Inductor, h=4.5mm", 4.5),
        ("Choke, SMD, 10.4x10.4mm 4.8mm height", 4.8),
        ("Subminiature switch 1.35mm High", 1.35),
        ("inductor 8x8x3mm", None),  # of another body
        ("FPC connector, 1.0mm pitch, 1.0mm height", None),  # the pitch, written twice
        ("LED display, 25 mm digit height 25 mm", None),
        ("see http://maker.example/4x4x3mm h=4.5mm", 4.5),
        ("LQFP, 4x4mm body", None),
        ("", None),
    ],
)
def test_heights_in_descriptions(text: str, height_mm: float | None) -> None:
    """Three sizes count if two are the body's; a height outright counts unless it is a pitch or a digit's."""
    found = height_in_description(text, BODY_MM, standoff_mm=0.2)
    assert (None if found is None else found.height_mm.value) == (
        None if height_mm is None else pytest.approx(height_mm)
    )


@pytest.mark.parametrize(
    ("name", "description", "height_mm", "source"),
    [
        ("SOIC-8_3.9x4.9mm", "8-lead, 3.9x4.9x1.1 mm", 1.1, "description"),
        ("SOIC-8_3.9x4.9x1.5mm", "8-lead, 3.9x4.9x1.1 mm", 1.5, "height in the name"),
        ("SOIC-8_3.9x4.9mm", "8-lead small outline", 1.75, "MS-012"),
    ],
)
def test_a_description_stands_between_a_stated_height_and_the_outline(
    name: str, description: str, height_mm: float, source: str
) -> None:
    """A number in the name beats the description, the description beats what is usual for the outline."""
    drawn = two_rows(name, leads=8, pitch=1.27, row=2.475, land=(1.95, 0.6), fab=box(3.9, 4.9))
    (part,) = identify(board(replace(drawn, description=description))).by_id.values()
    assert part.height_mm.value == height_mm
    assert source in part.height_mm.source
