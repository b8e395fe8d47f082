"""Moisture levels, floor life and bake times against J-STD-033."""

from dataclasses import replace

import pytest

from builders import part
from leeward.known import Known
from leeward.parts.moisture import bake, floor_life, may_hold_moisture, rework_limit_c
from leeward.parts.records import FloorLife, LeadStyle, Msl, Part


def moist(
    level: Msl | None,
    *,
    thick_mm: float = 1.4,
    exceeded: FloorLife | None = None,
    style: LeadStyle = "gull-wing",
    side_mm: float = 3.0,
) -> Part:
    """Return a package of a moisture level."""
    known = None if level is None else Known(level, "sheet", "high")
    return replace(
        part("U1", lead_style=style, family="ball grid array" if style == "ball-grid" else "two-row gull-wing"),
        msl=known,
        floor_life=exceeded,
        height_mm=Known(thick_mm, "sheet", "high"),
        body_mm=Known((side_mm, side_mm), "sheet", "high"),
    )


# J-STD-033 (B.1 to D) table 4-1, from memory; hours at 125 C, 90 C and 40 C. The rows up to 1.4 and 2.0 mm at 125 C
# stand in public copies of the table too (eesemi.com/baketables.htm).
@pytest.mark.parametrize(
    ("level", "thick_mm", "exceeded", "hours"),
    [
        ("2a", 1.4, "late", (7, 23, 9 * 24)),
        ("3", 1.0, "late", (9, 33, 13 * 24)),
        ("3", 1.4, "short", (7, 23, 9 * 24)),
        ("5a", 1.2, "late", (16, 54, 22 * 24)),
        ("3", 1.6, "late", (27, 4 * 24, 37 * 24)),
        ("4", 2.0, "short", (20, 3 * 24, 28 * 24)),
        ("5a", 2.0, "late", (48, 8 * 24, 79 * 24)),
        ("3", 3.5, "late", (48, 10 * 24, 79 * 24)),
    ],
)
def test_bake_times(level: Msl, thick_mm: float, exceeded: FloorLife, hours: tuple[float, ...]) -> None:
    """Level, thickness and how long the floor life is exceeded give the table's hours."""
    told = bake(moist(level, thick_mm=thick_mm, exceeded=exceeded))
    assert told is not None
    assert told.hours_at == tuple(zip((125, 90, 40), hours, strict=True))
    assert told.source.startswith("J-STD-033 table 4-1")


def test_floor_life_unknown_counts_as_long_exceeded() -> None:
    """Where nobody says how long a part lay open the longer bake is told."""
    assert bake(moist("3")) == bake(moist("3", exceeded="late")) != bake(moist("3", exceeded="short"))


def test_large_ball_grids_have_their_own_row() -> None:
    """A ball grid array over 17 mm bakes 96 h at 125 C (J-STD-033 table 4-1, from memory), one of 17 mm does not."""
    large = bake(moist("3", style="ball-grid", side_mm=19.0))
    assert large is not None
    assert large.hours_at == ((125, 96.0),)
    usual = bake(moist("3", style="ball-grid", side_mm=17.0))
    assert usual is not None
    assert usual.hours_at[0] == (125, 9.0)


@pytest.mark.parametrize(
    "dry", [moist("1"), moist("3", exceeded="within"), moist(None), moist("6"), moist("3", thick_mm=5.0)]
)
def test_no_bake_of_the_table(dry: Part) -> None:
    """Level 1, parts within their floor life, unknown levels, level 6 and bodies off the table give no hours."""
    assert bake(dry) is None


def test_floor_lives() -> None:
    """Open time by level (J-STD-033 table 5-1, at 30 C and 60 % RH)."""
    lives = ("unlimited", "1 year", "4 weeks", "168 h", "72 h", "48 h", "24 h")
    levels: tuple[Msl, ...] = ("1", "2", "2a", "3", "4", "5", "5a")
    assert tuple(floor_life(level) for level in levels) == lives
    assert rework_limit_c() == 200.0  # J-STD-033 clause 6


def test_who_may_hold_moisture() -> None:
    """Moulded packages and LEDs of unknown level may, chips and level 1 may not, whoever states another level does."""
    assert may_hold_moisture(moist(None))
    assert may_hold_moisture(part("D1", lead_style="end-cap", family="chip LED"))
    assert not may_hold_moisture(moist("1"))
    chip = part("C1", lead_style="end-cap", family="chip capacitor")
    assert not may_hold_moisture(chip)
    assert not may_hold_moisture(part("Y1", lead_style="bottom-terminated", family="crystal"))
    assert not may_hold_moisture(part("C2", lead_style="inward-l", family="tantalum capacitor"))
    assert may_hold_moisture(part("C3", lead_style="inward-l", family="polymer tantalum capacitor"))
    assert may_hold_moisture(replace(chip, msl=Known("3", "sheet", "high")))
