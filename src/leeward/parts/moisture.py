"""Moisture: which bake J-STD-033 asks for before a package passes 200 C. The tables are in `data/moisture.toml`."""

import re
from dataclasses import dataclass
from typing import get_args

from leeward.constants import number, table
from leeward.parts.families import families
from leeward.parts.records import FloorLife, LeadStyle, Msl, Part

LEVEL = re.compile(r"^(?:(?:msl|level|moisture sensitivity level)[\s:=-]*)?([1-6]a?)(?:\b|$)", re.IGNORECASE)
PACKAGES: frozenset[LeadStyle] = frozenset({"gull-wing", "j-lead", "bottom-terminated", "ball-grid", "tab"})


@dataclass(frozen=True, slots=True)
class Bake:
    """How long a loose package is baked: hours by temperature in C, hottest first."""

    hours_at: tuple[tuple[int, float], ...]
    source: str


def msl_in_text(text: str) -> Msl | None:
    """Return the moisture level that a text states ("3", "MSL 2a", "Level-3-260C-168h"), None where it states none."""
    found = LEVEL.match(text.strip())
    level = found[1].lower() if found else ""
    return next((known for known in get_args(Msl) if known == level), None)


def may_hold_moisture(part: Part) -> bool:
    """Say whether a part's moisture level matters: it states one above 1, or is a package that may have one."""
    if part.msl is not None:
        return part.msl.value != "1"
    family = families().get(part.family.value)
    limit = "classification" if family is None else family.limit
    moulded = limit == "classification" and part.lead_style.value in PACKAGES
    also = limit in table("moisture")["also_sensitive"]["value"]
    by_family = part.family.value in table("moisture")["also_sensitive_family"]["value"]
    return part.surface_mount and (moulded or also or by_family)


def floor_life(level: Msl) -> str:
    """Return how long a package of a level may lie open, in words (J-STD-033 table 5-1)."""
    return str(table("moisture")["floor_life"]["value"][level])


def bake(part: Part) -> Bake | None:
    """Return the bake that J-STD-033 table 4-1 asks for a loose part.

    None where it needs none (level 1, or within its floor life), where its level is not known, and where the table
    has no row for it (level 6, bodies over 4.5 mm). Floor life counts as long exceeded where nobody says. The height
    over the board stands for the body's thickness, so that the bake is rather too long.
    """
    if part.msl is None or part.msl.value == "1" or part.floor_life == "within":
        return None
    large = table("moisture")["large_ball_grid"]
    if part.lead_style.value == "ball-grid" and max(part.body_mm.value) > large["side_mm"]:
        return Bake(((int(large["bake_c"]), float(large["bake_h"])),), str(large["source"]))
    return _by_thickness(part.height_mm.value, part.msl.value, part.floor_life or "late")


def _by_thickness(thickness_mm: float, level: Msl, exceeded: FloorLife) -> Bake | None:
    bakes = table("moisture")["bake"]
    row = next((band.get(level) for band in bakes["band"] if thickness_mm <= band["up_to_mm"]), None)
    if row is None:
        return None
    column = 0 if exceeded == "late" else 1
    return Bake(tuple((int(celsius), float(hours[column])) for celsius, hours in row.items()), str(bakes["source"]))


def rework_limit_c() -> float:
    """Return the temperature that no body of an unbaked board may pass (J-STD-033 clause 6)."""
    return number("moisture", "rework_limit_c")
