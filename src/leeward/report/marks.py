"""Numbered marks, the same in drawings and lists: of risk a diamond is high, a square medium, a disc low.

What the operator puts on is a hexagon.
"""

from collections.abc import Mapping
from math import cos, pi, sin
from typing import Literal

from leeward.report.drawing import Area, Drawing, Item, Ring, Words
from leeward.report.lettering import width_mm
from leeward.review.records import Priority

Kind = Priority | Literal["own"]
CORNERS: Mapping[Kind, tuple[int, float, float]] = {  # how many, the first one's angle, reach over half the size
    "high": (4, 0.0, 1.18),
    "medium": (4, pi / 4, 1.2),
    "low": (24, 0.0, 1.0),
    "own": (6, 0.0, 1.1),
}
FILL = 0.52  # the most that a number takes of its mark


def mark(level: Kind, text: str, x_mm: float, y_mm: float, size_mm: float, key: str = "") -> tuple[Item, ...]:
    """Return a mark with its number (or a letter) about a place."""
    height = size_mm * FILL * 0.85
    height = min(height, height * size_mm * FILL * 1.4 / max(width_mm(text, height, bold=True), 1e-9))
    return (
        Area((outline(level, x_mm, y_mm, size_mm / 2),), f"mark-{level}", key),
        Words(text, (x_mm, y_mm + height / 2), height, f"mark-{level}-word", key=key),
    )


def outline(level: Kind, x_mm: float, y_mm: float, half_mm: float) -> Ring:
    """Return a mark's outline."""
    count, first, reach = CORNERS[level]
    angles = [first + 2 * pi * i / count for i in range(count)]
    return tuple((x_mm + reach * half_mm * cos(a), y_mm + reach * half_mm * sin(a)) for a in angles)


def alone(level: Kind, text: str) -> Drawing:
    """Return a mark as a drawing of its own, for lists."""
    return Drawing(f"{text}, {level}", (-3.0, -3.0, 3.0, 3.0), mark(level, text, 0.0, 0.0, 4.6))
