"""The board's thickness as sheets: one at each copper layer, more inside a thick dielectric.

A sheet stands for the material nearer to it than to its neighbours. The outermost sheets lie on the board's
faces, so that air acts on the temperature of the surface itself.
"""

import math
from dataclasses import dataclass

from leeward.board.records import Stackup
from leeward.constants import number


@dataclass(frozen=True, slots=True)
class Sheet:
    """One level of the model. `laminate_mm` is the dielectric that counts with it, half of each neighbour gap."""

    layer: str | None  # the copper layer's name, None inside a dielectric
    copper_mm: float
    laminate_mm: float


@dataclass(frozen=True, slots=True)
class Stack:
    """Sheets from the top down and the dielectric between them, one gap fewer than sheets."""

    sheets: tuple[Sheet, ...]
    gaps_mm: tuple[float, ...]

    def index_of(self, layer: str) -> int:
        """Return the sheet of a copper layer."""
        return next(i for i, sheet in enumerate(self.sheets) if sheet.layer == layer)


def slice_stack(stackup: Stackup, thickest_mm: float | None = None) -> Stack:
    """Return the sheets of a stackup, no gap thicker than `thickest_mm` (the data file's when None)."""
    thickest = number("heat", "grid", "thickest_slice_mm") if thickest_mm is None else thickest_mm
    names: list[str | None] = []
    copper: list[float] = []
    gaps: list[float] = []
    pending = 0.0
    for layer in stackup.layers:
        if layer.kind == "dielectric":
            pending += layer.thickness_mm
        elif layer.kind == "copper":
            if names:
                parts = max(1, math.ceil(pending / thickest - 1e-9))
                gaps += [max(pending, 1e-3) / parts] * parts
                names += [None] * (parts - 1)
                copper += [0.0] * (parts - 1)
            names.append(layer.name)
            copper.append(layer.thickness_mm)
            pending = 0.0
    padded = [0.0, *gaps, 0.0]
    laminate = [(above + below) / 2 for above, below in zip(padded, padded[1:], strict=False)]
    sheets = tuple(Sheet(*entry) for entry in zip(names, copper, laminate, strict=True))
    return Stack(sheets, tuple(gaps))
