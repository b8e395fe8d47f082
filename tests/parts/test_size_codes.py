"""Size codes of wound inductors."""

import pytest

from leeward.parts.identify import identify
from leeward.parts.size_codes import height_by_size_code
from parts.drawn import board, box, chip


@pytest.mark.parametrize(
    ("name", "body_mm", "height_mm"),
    [
        ("L_Odd_XY6045TA", (6.0, 6.0), 4.5),  # 6.0 mm square, 4.5 mm high
        ("L_Odd_XY4020", (4.1, 4.0), 2.0),
        ("L_Odd-XY1060", (10.0, 10.2), 6.0),  # 10 mm odd
        ("L_Odd_XY0630LR", (7.0, 6.6), 3.0),  # 6 mm odd
        ("L_Odd_XY10145", (10.1, 10.1), 4.5),  # 10.1 mm
        ("L_Odd_CD6D28_7.25x6.5mm", (7.25, 6.5), 2.8),
        ("L_Odd_XY6045", (8.0, 8.0), None),  # no side of this body
        ("L_Odd_XY3030", (3.0, 3.0), None),  # square: the height may be left out
        ("L_Odd_XY2520", (2.5, 2.0), None),  # both sides of the body
        ("L_Odd_XY1175", (11.6, 7.2), None),
        ("L_Odd_XY1005", (10.0, 10.0), None),  # 0.5 mm would be flat as paper: 5 mm here
        ("L_Odd-2525", (6.3, 6.3), None),  # hundredths of an inch
        ("L_1210_3225Metric", (3.2, 2.5), None),
        ("L_12x12mm", (12.0, 12.0), None),
    ],
)
def test_codes_of_side_and_height(name: str, body_mm: tuple[float, float], height_mm: float | None) -> None:
    """A code counts where one side of the body bears it out and the height it gives is that of an inductor."""
    found = height_by_size_code(name, body_mm)
    assert (None if found is None else found.value) == height_mm


@pytest.mark.parametrize(
    ("library_id", "confidence", "height_mm"),
    [("Inductor_SMD:L_Odd_XY6045", "medium", 4.5), ("Inductor_SMD:L_Odd_XYZ", "low", 3.5), ("odd:XY6045", "low", 2.0)],
)
def test_only_wound_inductors_have_size_codes(library_id: str, confidence: str, height_mm: float) -> None:
    """Digits in other parts' names are no heights; an inductor without a code stays a guess."""
    (part,) = identify(board(chip(library_id, 6.6, ref="U1", fab=box(6.0, 6.0)))).by_id.values()
    assert (part.height_mm.value, part.height_mm.confidence) == (height_mm, confidence)
