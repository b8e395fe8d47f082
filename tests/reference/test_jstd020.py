"""Classification temperatures against J-STD-020D tables 4-1 (SnPb eutectic) and 4-2 (Pb-free).

Thickness and volume are those of common outlines' bodies, leads and balls excluded, as the standard asks.
"""

import pytest

from leeward.parts.limits import classification_c
from parts.library import named, surface_mount_parts

# J-STD-020D tables 4-1 and 4-2: body thickness mm, volume mm3, Tc Pb-free, Tc SnPb.
BODIES = {
    "SOIC-8": (1.45, 28, 260, 235),
    "SOIC-16W": (2.35, 182, 260, 235),
    "SOIC-28W": (2.35, 315, 260, 235),
    "LQFP-100 14x14": (1.4, 274, 260, 235),
    "LQFP-144 20x20": (1.4, 560, 260, 220),
    "PQFP-100 14x20": (2.8, 784, 245, 220),
    "PLCC-20": (3.8, 306, 250, 220),
    "PLCC-28": (3.8, 503, 245, 220),
    "PLCC-32": (2.8, 447, 245, 220),
    "PLCC-44": (3.8, 1047, 245, 220),
    "PLCC-52": (3.8, 1394, 245, 220),
    "PLCC-68": (3.8, 2225, 245, 220),
    "PLCC-84": (3.8, 3262, 245, 220),
    "SOJ-36 400 mil": (2.6, 621, 245, 220),
    "QFN-48 7x7": (0.85, 42, 260, 235),
    "BGA-256 17x17": (1.2, 347, 260, 235),
    "BGA 27x27": (1.7, 1239, 250, 220),
    "BGA 35x35": (2.6, 3185, 245, 220),
    "TO-252": (2.3, 93, 260, 235),
    "TO-263": (4.4, 405, 245, 220),
}


@pytest.mark.parametrize("outline", BODIES)
def test_common_bodies_get_their_classification_temperature(outline: str) -> None:
    """Every outline's body gets the temperature of its cell in both tables."""
    thickness_mm, volume_mm3, lead_free_c, tin_lead_c = BODIES[outline]
    assert classification_c(thickness_mm, volume_mm3, "SAC305") == lead_free_c
    assert classification_c(thickness_mm, volume_mm3, "Sn63Pb37") == tin_lead_c


# Outlines of KiCad's library for bodies of the table, whose thickness and volume the program has to find out itself.
DRAWN = {
    "SOIC-8_3.9x4.9mm_P1.27mm": "SOIC-8",
    "SOIC-16W_7.5x10.3mm_P1.27mm": "SOIC-16W",
    "SOIC-28W_7.5x17.9mm_P1.27mm": "SOIC-28W",
    "LQFP-100_14x14mm_P0.5mm": "LQFP-100 14x14",
    "LQFP-144_20x20mm_P0.5mm": "LQFP-144 20x20",
    "PQFP-100_14x20mm_P0.65mm": "PQFP-100 14x20",
    "PLCC-20": "PLCC-20",
    "PLCC-28": "PLCC-28",
    "PLCC-32_11.4x14.0mm_P1.27mm": "PLCC-32",
    "PLCC-44": "PLCC-44",
    "PLCC-44_16.6x16.6mm_P1.27mm": "PLCC-44",
    "PLCC-52": "PLCC-52",
    "PLCC-68": "PLCC-68",
    "PLCC-84": "PLCC-84",
    "SOJ-36_10.16x23.49mm_P1.27mm": "SOJ-36 400 mil",
    "QFN-48-1EP_7x7mm_P0.5mm_EP5.3x5.3mm": "QFN-48 7x7",
    "BGA-256_17.0x17.0mm_Layout16x16_P1.0mm_Ball0.5mm_Pad0.4mm_NSMD": "BGA-256 17x17",
    "BGA-676_27.0x27.0mm_Layout26x26_P1.0mm_Ball0.6mm_Pad0.5mm_NSMD": "BGA 27x27",
    "BGA-1156_35.0x35.0mm_Layout34x34_P1.0mm": "BGA 35x35",
    "TO-252-2": "TO-252",
    "TO-263-2": "TO-263",
}


@pytest.mark.kicad
@pytest.mark.parametrize("name", DRAWN)
def test_drawn_bodies_get_their_classification_temperature(name: str) -> None:
    """What is found out of an outline of the library, body and height, leads to the cell of table 4-2."""
    part = next(part for part in surface_mount_parts() if named(part)[1] == name)
    assert part.limit_c.value == BODIES[DRAWN[name]][2]
    assert "J-STD-020D table 4-2" in part.limit_c.source


@pytest.mark.parametrize(
    ("thickness_mm", "volume_mm3", "expected_c"),
    [
        (1.59, 5000, 260),
        (1.6, 349.9, 260),
        (1.6, 350, 250),
        (1.6, 2000, 250),
        (1.6, 2000.1, 245),
        (2.5, 349.9, 260),
        (2.5, 350, 250),
        (2.51, 349.9, 250),
        (2.51, 350, 245),
    ],
)
def test_borders_of_table_4_2(thickness_mm: float, volume_mm3: float, expected_c: float) -> None:
    """Table 4-2: 1.6 and 2.5 mm belong to the middle row, 350 and 2000 mm3 to the middle column."""
    assert classification_c(thickness_mm, volume_mm3, "SAC305") == expected_c


@pytest.mark.parametrize(
    ("thickness_mm", "volume_mm3", "expected_c"),
    [(2.49, 349.9, 235), (2.49, 350, 220), (2.5, 349.9, 220), (2.5, 350, 220)],
)
def test_borders_of_table_4_1(thickness_mm: float, volume_mm3: float, expected_c: float) -> None:
    """Table 4-1: 2.5 mm belongs to the lower row, 350 mm3 to the right-hand column."""
    assert classification_c(thickness_mm, volume_mm3, "Sn63Pb37") == expected_c


def test_a_sum_of_decimals_meets_its_border() -> None:
    """A thickness got by subtraction (1.7 - 0.1 mm, a little under 1.6 in binary) is taken as 1.6 mm."""
    assert 1.7 - 0.1 < 1.6
    assert classification_c(1.7 - 0.1, 400, "SAC305") == 250
