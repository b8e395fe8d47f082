"""How much room words take, and where there is room for them: boxes that must not overlap. Lengths mm."""

from collections.abc import Iterable
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from leeward.report.drawing import Frame, Line, Words
from leeward.report.inks import INKS

CAPITAL = 0.716  # height of a capital over the size of the letter, Helvetica and its kin
DESCENT = 0.21  # how far letters reach below their base line, over the size


@dataclass(slots=True)
class Room:
    """The boxes that are taken, (n, 4) float: min x, min y, max x, max y."""

    taken: list[Frame] = field(default_factory=list)
    _array: NDArray[np.float64] = field(default_factory=lambda: np.empty((0, 4)))

    def take(self, *boxes: Frame) -> None:
        """Let nothing else stand in these boxes."""
        self.taken += boxes

    def free(self, box: Frame) -> bool:
        """Return whether a box overlaps none that is taken."""
        if len(self._array) != len(self.taken):
            self._array = np.array(self.taken).reshape(-1, 4)
        x0, y0, x1, y1 = box
        boxes = self._array
        return not bool(((boxes[:, 0] < x1) & (boxes[:, 2] > x0) & (boxes[:, 1] < y1) & (boxes[:, 3] > y0)).any())


def width_mm(text: str, height_mm: float, *, bold: bool = False) -> float:
    """Return how long words of a capital's height are, in Helvetica or its like."""
    from reportlab.pdfbase.pdfmetrics import stringWidth  # noqa: PLC0415  # slow to import, and text needs none of it

    return float(stringWidth(text, "Helvetica-Bold" if bold else "Helvetica", height_mm / CAPITAL))


def box_of(words: Words) -> Frame:
    """Return the box round words that stand level or upright."""
    width = width_mm(words.text, words.height_mm, bold=INKS[words.ink].bold)
    start = {"start": 0.0, "middle": -width / 2, "end": -width}[words.anchor]
    deep = words.height_mm / CAPITAL * DESCENT
    x, y = words.at
    if words.angle_deg % 180 == 90:
        return (x - words.height_mm, y - start - width, x + deep, y - start)
    return (x + start, y - words.height_mm, x + start + width, y + deep)


def boxes_along(line: Line, step_mm: float) -> Iterable[Frame]:
    """Yield small boxes that together cover a line."""
    for (x0, y0), (x1, y1) in zip(line.points[:-1], line.points[1:], strict=True):
        count = max(1, int(np.hypot(x1 - x0, y1 - y0) / step_mm))
        xs, ys = np.linspace(x0, x1, count + 1), np.linspace(y0, y1, count + 1)
        for i in range(count):
            yield (
                float(min(xs[i], xs[i + 1])),
                float(min(ys[i], ys[i + 1])),
                float(max(xs[i], xs[i + 1])),
                float(max(ys[i], ys[i + 1])),
            )


def spread(wanted: list[float], pitch: float, low: float, high: float) -> list[float]:
    """Return places in rising order, `pitch` apart at least and within limits, as near as can be to those wanted.

    `wanted` rises; where the limits leave no room for the pitch the places are evenly apart. Least squares by pooling
    neighbours that collide.
    """
    if not wanted:
        return []
    pitch = min(pitch, (high - low) / max(len(wanted) - 1, 1))
    pools: list[tuple[float, int]] = []  # mean of (wanted - index * pitch), count
    for i, place in enumerate(wanted):
        mean, count = place - i * pitch, 1
        while pools and pools[-1][0] > mean:
            before, many = pools.pop()
            mean, count = (before * many + mean * count) / (many + count), many + count
        pools.append((mean, count))
    last = high - (len(wanted) - 1) * pitch
    flat = [min(max(mean, low), last) for mean, count in pools for _ in range(count)]
    return [mean + i * pitch for i, mean in enumerate(flat)]
