"""Each piece laid flat: where to cut and where to fold. Length along x, width along y, from (0, 0), mm."""

from collections.abc import Sequence

from leeward.constants import number
from leeward.shields.barriers import FOOT_MM
from leeward.shields.fence import NOTCH_ROOM_MM, Cut, Run, corners_mm
from leeward.shields.records import Pattern, Points

OVERLAP_MM = 5.0  # a fence's ends lap over each other so far; house rule


def rectangle(x0: float, y0: float, x1: float, y1: float) -> Points:
    """Return the corners of a rectangle."""
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)


def flat_tape(
    length_mm: float, width_mm: float, dams: tuple[bool, bool, bool, bool], windows: Sequence[tuple[Points, bool]]
) -> Pattern:
    """Return a strip or sheet; `dams` are its first, near, last and far edges, folded up towards the nozzle.

    A window is its rectangle and whether its rim is folded up as a dam: then the cut runs inside the rim, and the
    corners are slit.
    """
    dam = number("covers", "cut", "dam_mm")
    first, near, last, far = dams
    folds: list[Points] = []
    if first:
        folds.append(((dam, 0.0), (dam, width_mm)))
    if last:
        folds.append(((length_mm - dam, 0.0), (length_mm - dam, width_mm)))
    if near:
        folds.append(((0.0, dam), (length_mm, dam)))
    if far:
        folds.append(((0.0, width_mm - dam), (length_mm, width_mm - dam)))
    cuts, slits = [], []
    for window, has_rim in windows:
        (x0, y0), (x1, y1) = window[0], window[2]
        rim = has_rim and min(x1 - x0, y1 - y0) > 2 * dam
        inner = rectangle(x0 + dam, y0 + dam, x1 - dam, y1 - dam) if rim else window
        cuts.append(inner)
        if rim:
            slits += [(outer, corner) for outer, corner in zip(window, inner, strict=True)]
            folds += [(a, b) for a, b in zip(window, (*window[1:], window[0]), strict=True)]
    return Pattern((rectangle(0.0, 0.0, length_mm, width_mm),), tuple(cuts), tuple(slits), tuple(folds))


def lid(length_mm: float, width_mm: float, height_mm: float) -> Pattern:
    """Return a box without a bottom: a cross with four walls and a foot to each."""
    foot = FOOT_MM["lid"]
    up = height_mm + foot
    x0, x1, y0, y1 = up, up + length_mm, up, up + width_mm
    whole_x, whole_y = length_mm + 2 * up, width_mm + 2 * up
    outline = (
        (x0, 0.0), (x1, 0.0), (x1, y0), (whole_x, y0), (whole_x, y1), (x1, y1),
        (x1, whole_y), (x0, whole_y), (x0, y1), (0.0, y1), (0.0, y0), (x0, y0),
    )  # fmt: skip
    top = rectangle(x0, y0, x1, y1)
    walls = tuple(zip(top, (*top[1:], top[0]), strict=True))
    feet = (
        ((x0, foot), (x1, foot)),
        ((whole_x - foot, y0), (whole_x - foot, y1)),
        ((x0, whole_y - foot), (x1, whole_y - foot)),
        ((foot, y0), (foot, y1)),
    )
    return Pattern((outline,), (), (), (*walls, *feet))


def tent(length_mm: float, width_mm: float, height_mm: float) -> Pattern:
    """Return a band that bridges a part: a foot and a leg at either end."""
    foot = FOOT_MM["tent"]
    up = height_mm + foot
    whole = length_mm + 2 * up
    folds = tuple(((x, 0.0), (x, width_mm)) for x in (foot, up, whole - up, whole - foot))
    return Pattern((rectangle(0.0, 0.0, whole, width_mm),), (), (), folds)


def blanket(length_mm: float, width_mm: float) -> Pattern:
    """Return a plain rectangle."""
    return Pattern((rectangle(0.0, 0.0, length_mm, width_mm),), (), (), ())


def fence(run: Run) -> Pattern:
    """Return the bands of a fence, each with a foot to fold out, folded across at the corners.

    Low bodies are notched out of the lower edge, the foot with them. A ring's ends lap over.
    """
    foot, width = number("covers", "fence", "foot_mm"), fence_width_mm()
    bands = [(a, b + OVERLAP_MM if run.is_ring else b) for a, b in run.bands]
    low = [(a, b, foot + height + NOTCH_ROOM_MM) for a, b, height in run.notches]
    corners = [x for x in corners_mm(run) if any(a < x < b for a, b in bands)]
    feet = [span for band in bands for span in _between(band, low)]
    return Pattern(
        outlines=tuple(_band(band, width, low) for band in bands),
        windows=(),
        slits=tuple(((x, 0.0), (x, foot)) for x in corners if any(a < x < b for a, b in feet)),
        folds=(
            *(((a, foot), (b, foot)) for a, b in feet),
            *(((x, max((deep for a, b, deep in low if a <= x <= b), default=foot)), (x, width)) for x in corners),
        ),
    )


def fence_width_mm() -> float:
    """Return the width of the band that a fence is folded from."""
    return number("covers", "fence", "foot_mm") + number("covers", "fence", "height_mm")


def _band(band: tuple[float, float], width: float, notches: Sequence[Cut]) -> Points:
    """Return a band with notches in its lower edge, each (from, to, depth)."""
    start, end = band
    outline: list[tuple[float, float]] = [(start, 0.0)]
    for a, b, deep in notches:
        if a < end and b > start:
            a, b = max(a, start), min(b, end)  # noqa: PLW2901  # the notch as far as it lies in the band
            outline += [(a, 0.0), (a, deep), (b, deep), (b, 0.0)]
    outline += [(end, 0.0), (end, width), (start, width)]
    return tuple(dict.fromkeys(outline))


def _between(band: tuple[float, float], notches: Sequence[Cut]) -> list[tuple[float, float]]:
    """Return what of a band has a foot."""
    start, end = band
    ends = [start, *(min(max(x, start), end) for a, b, _ in notches for x in (a, b)), end]
    return [(a, b) for a, b in zip(ends[::2], ends[1::2], strict=True) if b > a]
