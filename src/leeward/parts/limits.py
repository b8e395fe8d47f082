"""What the body of a part may reach, and how fast.

Packages by J-STD-020D tables 4-1 and 4-2, other parts by the table of body limits in `data/limits.toml`.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Literal

from leeward.constants import number, table
from leeward.known import Known
from leeward.parts.families import Family
from leeward.parts.records import Alloy
from leeward.parts.resins import resins

FragileClass = Literal["A", "B", "C", "D", "E"]
OF_PLASTIC = frozenset({"connector", "header plastic"})  # limits that are the house's for a resin not known


@dataclass(frozen=True, slots=True)
class BodyLimit:
    """A limit of the body with its own uncertainty, the house's sensitivity class and the fastest ramp."""

    limit_c: Known[float]
    spread_c: float  # one standard deviation
    fragile_class: FragileClass
    max_ramp_c_s: float | None


def classification_c(thickness_mm: float, volume_mm3: float, alloy: Alloy) -> float:
    """Return the classification temperature Tc in C of a package by J-STD-020D table 4-1 (SnPb) or 4-2.

    Thickness and volume are the body's, without leads and balls. A thickness of exactly 2.5 mm belongs to the
    middle row of table 4-2 and to the lower row of table 4-1, a volume of exactly 350 mm3 to the next column.
    """
    rows = table("limits")["classification"][alloy]
    row = _band(thickness_mm, rows["thickness_mm"])
    column = _band(volume_mm3, rows["volume_mm3"])
    return float(rows["value"][row][column])


@lru_cache(maxsize=10_000)  # a board holds the same part often
def limit(
    family: Family,
    body_mm: tuple[float, float],
    thickness_mm: float,
    alloy: Alloy,
    *,
    surface_mount: bool,
    resin: Known[str] | None = None,
) -> BodyLimit:
    """Return what the body of a part of this family and size may reach; `resin` is its housing's, where it is known."""
    entry = _entry(family, surface_mount=surface_mount)
    ramp = _max_ramp_c_s(family, body_mm)
    if resin is not None and is_of_plastic(family, surface_mount=surface_mount):
        return _by_resin(resin, ramp)
    if entry == "classification":
        return _classified(family, body_mm, thickness_mm, alloy, ramp)
    row = table("limits")["body"][entry]
    known = Known(_value(row, max(body_mm)), row["source"], row["confidence"])
    return BodyLimit(known, float(row["spread_c"]), _class(family.fragile_class or row["class"]), ramp)


def is_of_plastic(family: Family, *, surface_mount: bool) -> bool:
    """Say whether parts of a family are limited by the resin of a housing."""
    return _entry(family, surface_mount=surface_mount) in OF_PLASTIC


def _entry(family: Family, *, surface_mount: bool) -> str:
    return family.limit if surface_mount else family.limit_through_hole


def _classified(
    family: Family, body_mm: tuple[float, float], thickness_mm: float, alloy: Alloy, ramp: float | None
) -> BodyLimit:
    rows = table("limits")["classification"][alloy]
    volume_mm3 = body_mm[0] * body_mm[1] * thickness_mm
    source = f"{rows['source']} for {thickness_mm:.2f} mm and {volume_mm3:.0f} mm3"
    known = Known(classification_c(thickness_mm, volume_mm3, alloy), source, rows["confidence"])
    fragile = "C" if is_large_ceramic(family, body_mm) else family.fragile_class or "A"
    return BodyLimit(known, float(rows["spread_c"]), _class(fragile), ramp)


def _by_resin(resin: Known[str], ramp: float | None) -> BodyLimit:
    row = resins()[resin.value]
    known = Known(float(row["value"]), f"{resin.source}: {row['source']}", row["confidence"])
    return BodyLimit(known, float(row["spread_c"]), _class(row["class"]), ramp)


def _band(value: float, thresholds: Sequence[Mapping[str, Any]]) -> int:
    """Return how many thresholds a value has passed; rounded, so that a sum of decimals can meet one."""
    rounded = round(value, 6)
    return sum(
        rounded > threshold["above"] or (threshold["itself"] and rounded == threshold["above"])
        for threshold in thresholds
    )


def _value(row: Mapping[str, Any], longer_side_mm: float) -> float:
    if "value" in row:
        return float(row["value"])
    steps = row["steps"]
    return float(next((value for up_to, value in steps if longer_side_mm <= up_to), steps[-1][1]))


def _max_ramp_c_s(family: Family, body_mm: tuple[float, float]) -> float | None:
    if family.ramp == "ceramic capacitor":
        size = "large" if is_large_ceramic(family, body_mm) else "small"
        return number("limits", "ramp", f"{size} ceramic capacitor")
    if family.ramp is not None:
        return number("limits", "ramp", family.ramp)
    return number("limits", "ramp", "moulded package") if family.limit == "classification" else None


def is_large_ceramic(family: Family, body_mm: tuple[float, float]) -> bool:
    """Say whether a part is a ceramic capacitor of EIA 1210 or larger."""
    width = number("limits", "large_ceramic", "width_mm")
    return family.ramp == "ceramic capacitor" and min(body_mm) >= width


def _class(letter: str) -> FragileClass:
    for known in ("A", "B", "C", "D", "E"):
        if letter == known:
            return known
    raise ValueError(f"no sensitivity class {letter!r}")
