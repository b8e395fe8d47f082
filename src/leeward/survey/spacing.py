"""Distances between parts that someone asks for, by named profile from the data file `spacing`."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Any

from shapely import STRtree

from leeward.constants import table
from leeward.known import Confidence
from leeward.parts.records import Part

ANY = "any"
TOUCHING_MM = 1e-6


@dataclass(frozen=True, slots=True)
class SpacingRow:
    """The distance that a kind of part asks of another; kinds are lead styles, families or "any"."""

    of: tuple[str, ...]
    to: tuple[str, ...]
    least_mm: float | None  # None: the height of the part of the first kind
    up_to_mm: float | None  # only between bodies no longer than that


@dataclass(frozen=True, slots=True)
class Profile:
    """A named set of distances."""

    name: str
    title: str
    source: str
    confidence: Confidence
    rows: tuple[SpacingRow, ...]


@dataclass(frozen=True, slots=True)
class TooClose:
    """Two parts that stand nearer than a profile asks; the first is the one that asks."""

    part: Part
    other: Part
    gap_mm: float
    asked_mm: float


@cache
def profiles() -> Mapping[str, Profile]:
    """Return the profiles by name; the first is the default, which asks for no distance."""
    return {name: _profile(name, entry) for name, entry in table("spacing")["profile"].items()}


def too_close(profile: Profile, parts: Sequence[Part]) -> tuple[TooClose, ...]:
    """Return the pairs of parts on one side that stand nearer than the profile asks, those that lack most first."""
    if not profile.rows or not parts:
        return ()
    widest = max(_widest_mm(row, parts) for row in profile.rows)
    tree = STRtree([part.leads for part in parts])
    first, second = tree.query([part.leads for part in parts], predicate="dwithin", distance=widest)
    pairs = [(parts[i], parts[j]) for i, j in zip(first[first < second], second[first < second], strict=True)]
    found = [_judged(profile, a, b) for a, b in pairs if _on_one_board_side(a, b)]
    short = [entry for entry in found if entry is not None]
    return tuple(sorted(short, key=lambda entry: (entry.gap_mm - entry.asked_mm, entry.part.id, entry.other.id)))


def asked_mm(profile: Profile, part: Part, other: Part) -> float:
    """Return the distance that a part asks of another, 0 where no row speaks of the two."""
    rows = [row for row in profile.rows if _speaks_of(row, part, other)]
    special = [row for row in rows if not _is_general(row)]
    return max((_distance_mm(row, part) for row in special or rows), default=0.0)


def _profile(name: str, entry: Mapping[str, Any]) -> Profile:
    rows = tuple(
        SpacingRow(tuple(row["of"]), tuple(row["to"]), row.get("least_mm"), row.get("up_to_mm"))
        for row in entry.get("rule", ())
    )
    return Profile(name, entry["title"], entry["source"], entry["confidence"], rows)


def _widest_mm(row: SpacingRow, parts: Sequence[Part]) -> float:
    if row.least_mm is not None:
        return row.least_mm
    return max((part.height_mm.value for part in parts if _is_of(row.of, part)), default=0.0)


def _judged(profile: Profile, a: Part, b: Part) -> TooClose | None:
    """Return the pair with the part that asks for more first, None where they stand far enough apart."""
    of_a, of_b = asked_mm(profile, a, b), asked_mm(profile, b, a)
    part, other = (a, b) if of_a >= of_b else (b, a)
    gap, asked = float(a.leads.distance(b.leads)), max(of_a, of_b)
    return TooClose(part, other, gap, asked) if gap < asked - TOUCHING_MM else None


def _on_one_board_side(a: Part, b: Part) -> bool:
    one, two = a.footprint, b.footprint
    return one.side == two.side and one.board_index == two.board_index


def _speaks_of(row: SpacingRow, part: Part, other: Part) -> bool:
    short = row.up_to_mm is None or max(*part.body_mm.value, *other.body_mm.value) <= row.up_to_mm
    return short and _is_of(row.of, part) and _is_of(row.to, other)


def _is_of(kinds: Sequence[str], part: Part) -> bool:
    return ANY in kinds or part.lead_style.value in kinds or part.family.value in kinds


def _is_general(row: SpacingRow) -> bool:
    return ANY in row.of and ANY in row.to


def _distance_mm(row: SpacingRow, part: Part) -> float:
    return part.height_mm.value if row.least_mm is None else row.least_mm
