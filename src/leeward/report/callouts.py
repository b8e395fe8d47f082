"""Callouts: numbered marks with a few words in columns left and right of a view, each led to what it is about.

Each goes to the side that it is nearer to, as long as that column is not full; in a column they stand in the order
of what they lead to, moved apart, and two whose leaders cross are exchanged.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from itertools import combinations
from math import ceil

from leeward.report.drawing import Anchor, Area, Frame, Item, Line, Point, Words
from leeward.report.lettering import spread
from leeward.report.marks import mark, outline
from leeward.review.records import Priority

PITCH_MM = 6.4  # on paper, as all that follows
COLUMN_MM = 29.0
MARK_MM = 4.4
INSET_MM = 2.0  # between a column and the view
WORD_MM, SMALL_MM = 1.75, 1.5
END_MM = 0.45


@dataclass(frozen=True, slots=True)
class Callout:
    """What is called out: its number, its level, two lines of words and the place that it leads to."""

    number: int
    level: Priority
    head: str
    words: str
    at: Point
    key: str


@dataclass(frozen=True, slots=True)
class Placed:
    """A callout with the place of its mark, and which way its words run from there (-1 left, 1 right)."""

    callout: Callout
    mark: Point
    way: int


def rows_needed(count: int) -> int:
    """Return how many rows the fuller of the two columns has."""
    return ceil(count / 2)


def place(callouts: Sequence[Callout], view: Frame, paper_mm: float) -> list[Placed]:
    """Return each callout beside a view whose height has room for them; `paper_mm` is one on paper, in its mm."""
    left, right = _columns(callouts, view)
    inset = (INSET_MM + MARK_MM / 2) * paper_mm
    return [*_column(left, view, view[0] - inset, -1, paper_mm), *_column(right, view, view[2] + inset, 1, paper_mm)]


def drawn(placed: Placed, paper_mm: float) -> tuple[Item, ...]:
    """Return a callout's leader, its end, its mark and its words, all under its key."""
    callout, (x, y), way = placed.callout, placed.mark, placed.way
    beside = x + way * (MARK_MM / 2 + 1.0) * paper_mm
    anchor: Anchor = "start" if way > 0 else "end"
    return (
        leader(placed, paper_mm),
        Area((outline("low", *callout.at, END_MM * paper_mm),), "leader-end", callout.key),
        *mark(callout.level, str(callout.number), x, y, MARK_MM * paper_mm, callout.key),
        Words(callout.head, (beside, y - 0.35 * paper_mm), WORD_MM * paper_mm, "word-bold", anchor, key=callout.key),
        Words(callout.words, (beside, y + 2.2 * paper_mm), SMALL_MM * paper_mm, "word", anchor, key=callout.key),
    )


def leader(placed: Placed, paper_mm: float) -> Line:
    """Return the line from a callout's mark to what it is about."""
    x, y = placed.mark
    return Line(((x - placed.way * MARK_MM / 2 * paper_mm, y), placed.callout.at), "leader", key=placed.callout.key)


def _columns(callouts: Sequence[Callout], view: Frame) -> tuple[list[Callout], list[Callout]]:
    """Share callouts between left and right by where they lead, neither column longer than it must be."""
    middle, most = (view[0] + view[2]) / 2, rows_needed(len(callouts))
    by_x = sorted(callouts, key=lambda callout: (callout.at[0], callout.number))
    nearer_left = sum(callout.at[0] < middle for callout in by_x)
    cut = min(max(nearer_left, len(by_x) - most), most)
    return by_x[:cut], by_x[cut:]


def _column(callouts: list[Callout], view: Frame, x: float, way: int, paper_mm: float) -> list[Placed]:
    ordered = sorted(callouts, key=lambda callout: (callout.at[1], callout.number))
    half = PITCH_MM / 2 * paper_mm
    ys = spread([callout.at[1] for callout in ordered], 2 * half, view[1] + half, view[3] - half)
    return _uncrossed([Placed(callout, (x, y), way) for callout, y in zip(ordered, ys, strict=True)])


def _uncrossed(column: list[Placed]) -> list[Placed]:
    """Exchange the places of callouts whose leaders cross; each exchange shortens the leaders, so it ends."""
    found = list(column)
    crossing = True
    while crossing:
        crossing = False
        for i, j in combinations(range(len(found)), 2):
            if _cross(found[i], found[j]):
                first, second = found[i], found[j]
                found[i], found[j] = replace(first, callout=second.callout), replace(second, callout=first.callout)
                crossing = True
    return found


def _cross(one: Placed, other: Placed) -> bool:
    """Return whether the leaders of two callouts run through each other."""
    a, b, c, d = one.mark, one.callout.at, other.mark, other.callout.at
    return _turn(a, b, c) * _turn(a, b, d) < 0 and _turn(c, d, a) * _turn(c, d, b) < 0


def _turn(a: Point, b: Point, c: Point) -> float:
    """Return twice the signed area of a triangle: its sign says on which side of the line a-b c lies."""
    return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])
