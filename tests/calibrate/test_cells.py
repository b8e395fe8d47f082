"""What the cells of a log say."""

import math

import pytest

from leeward.calibrate.cells import celsius, clock_s, degrees, figure, named, unit


@pytest.mark.parametrize(
    ("cell", "value"),
    [
        ("25.3", 25.3), ("25,3", 25.3), ("-4", -4.0), ("+1e2", 100.0), (" 77.5 °F ", 77.5), ("77,5C", 77.5),
        (".5", 0.5),
    ],
)  # fmt: skip
def test_numbers_are_read_with_point_comma_and_unit(cell: str, value: float) -> None:
    """A number may have a comma for the point and its unit behind it."""
    assert figure(cell) == pytest.approx(value)


@pytest.mark.parametrize("cell", ["", "OPEN", "---", "nan", "inf", "1.2.3", "12:03", "1,234.5"])
def test_what_is_no_number_is_missing(cell: str) -> None:
    """Words, blanks, infinities and numbers of two readings are no reading."""
    assert math.isnan(figure(cell))


@pytest.mark.parametrize(
    ("cell", "seconds"),
    [
        ("12:03:05", 43385.0), ("12:03:05.25", 43385.25), ("12:03:05,5", 43385.5), ("2026-03-02 00:00:10", 10.0),
        ("2026-03-02T01:00:00Z", 3600.0), ("3/2/2026 1:00:05 PM", 46805.0), ("12:00:01 am", 1.0), ("03:20", 200.0),
    ],
)  # fmt: skip
def test_clock_times_are_read_behind_any_date(cell: str, seconds: float) -> None:
    """A clock time is found behind a date, with a half of the day, and as minutes and seconds alone."""
    assert clock_s(cell) == pytest.approx(seconds)


def test_a_number_is_no_clock_time() -> None:
    """Without a colon there is no clock time."""
    assert math.isnan(clock_s("43385"))


@pytest.mark.parametrize(
    ("heading", "name", "of"),
    [
        ("T1 [°C]", "T1", "C"), ("T1 (F)", "T1", "F"), ("Time [s]", "Time", "s"), ("Probe (left)", "Probe (left)", ""),
        ("T1", "T1", ""), ("[C]", "[C]", ""), ("Elapsed (min)", "Elapsed", "min"),
    ],
)  # fmt: skip
def test_headings_carry_a_unit_in_brackets(heading: str, name: str, of: str) -> None:
    """What stands in brackets is a unit only if it is one."""
    found, told = named(heading)
    assert (found, unit(told)) == (name, of)


def test_units_turn_into_celsius() -> None:
    """212 F and 373.15 K are 100 C; the sign behind a number tells which."""
    assert celsius(212.0, "F") == pytest.approx(100.0)
    assert celsius(373.15, "K") == pytest.approx(100.0)
    assert celsius(100.0, "C") == 100.0
    assert (degrees("212 °F"), degrees("100"), degrees("20,5C")) == ("F", "", "C")
