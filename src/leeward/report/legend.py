"""The strip below a drawing: what its inks mean, and a bar of ten millimetres."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

from leeward.report.drawing import Area, Drawing, Item, Line, Words
from leeward.report.lettering import width_mm
from leeward.report.marks import outline

WORD_MM = 1.5  # on paper, as all that follows
ROW_MM = 4.2
SWATCH_MM = (3.4, 2.4)
GAP_MM = 1.8
BAR_MM = 10.0  # of the board's


@dataclass(frozen=True, slots=True)
class Entry:
    """An ink and what it means, shown in the shape that it has in the drawing, with 0 to 2 ways of hatching."""

    ink: str
    words: str
    shape: Literal["box", "stroke", "triangle", "hexagon", "ring"] = "box"
    hatches: int = 0
    hatch_ink: str = "risk-line"


def with_legend(drawing: Drawing, entries: Sequence[Entry], seen: str) -> Drawing:
    """Return a drawing with a strip below it: `seen` (from where), a bar, and the entries."""
    x0, y0, x1, bottom = drawing.frame_mm
    mm = 1 / drawing.scale
    x, y = x0 + mm, bottom + ROW_MM * mm
    items = list(_bar(seen, x, y, mm))
    x += BAR_MM + (width_mm(_bar_words(seen), WORD_MM) + 2 * GAP_MM) * mm
    for entry in entries:
        wide = (SWATCH_MM[0] + 1.2 + width_mm(entry.words, WORD_MM)) * mm
        if x + wide > x1:
            x, y = x0 + mm, y + ROW_MM * mm
        items += _entry(entry, x, y, mm)
        x += wide + GAP_MM * mm
    return replace(drawing, frame_mm=(x0, y0, x1, y + 2 * mm), items=(*drawing.items, *items))


def _entry(entry: Entry, x: float, y: float, mm: float) -> list[Item]:
    wide, tall = (side * mm for side in SWATCH_MM)
    top = y - (WORD_MM * mm + tall) / 2
    rising = [Line(((x + tall * i / 2, top + tall), (x + tall * (i / 2 + 1), top)), entry.hatch_ink) for i in (0, 1)]
    falling = [Line(((x + tall * i / 2, top), (x + tall * (i / 2 + 1), top + tall)), entry.hatch_ink) for i in (0, 1)]
    strokes = [*rising, *falling][: 2 * entry.hatches]
    words = Words(entry.words, (x + wide + 1.2 * mm, y), WORD_MM * mm, "word", "start")
    return [*_swatch(entry, x, top, wide, tall), *strokes, words]


def _swatch(entry: Entry, x: float, top: float, wide: float, tall: float) -> list[Item]:
    bottom, right, middle, half = top + tall, x + wide, (x + wide / 2, top + tall / 2), tall / 2
    if entry.shape == "stroke":
        return [Line(((x, middle[1]), (right, middle[1])), entry.ink)]
    if entry.shape == "triangle":
        return [Area((((middle[0], top), (middle[0] + half, bottom), (middle[0] - half, bottom)),), entry.ink)]
    if entry.shape == "hexagon":
        return [Area((outline("own", *middle, half),), entry.ink)]
    if entry.shape == "ring":
        level = Line(((middle[0] - half, middle[1]), (middle[0] + half, middle[1])), entry.ink)
        upright = Line(((middle[0], top), (middle[0], bottom)), entry.ink)
        return [Area((outline("low", *middle, half),), entry.ink), level, upright]
    return [Area((((x, top), (right, top), (right, bottom), (x, bottom)),), entry.ink)]


def _bar(seen: str, x: float, y: float, mm: float) -> tuple[Item, ...]:
    tick, middle = 1.0 * mm, y - WORD_MM * mm / 2
    stroke = ((x, middle - tick), (x, middle), (x + BAR_MM, middle), (x + BAR_MM, middle - tick))
    words = Words(_bar_words(seen), (x + BAR_MM + 1.2 * mm, y), WORD_MM * mm, "word", "start")
    return Line(stroke, "outline"), words


def _bar_words(seen: str) -> str:
    return f"{BAR_MM:g} mm, {seen}"
