"""Calibrations put into bench files."""

from dataclasses import replace

import pytest

from leeward.bench.read import default_text, parse
from leeward.bench.records import Calibration, FittedFactor
from leeward.bench.write import with_calibration
from leeward.errors import InputError

ONE = Calibration(
    nozzle="quad-14x14",
    date="2026-03-02",
    logs=("a" * 64,),
    board="b" * 64,
    factors=(FittedFactor("air_h", 1.25, 0.05), FittedFactor("reach", 0.9, 0.1), FittedFactor("flow", 1.0, 0.1)),
    correlation=((0.5,), (0.125, -0.25)),
    misfit_c=1.5,
    left_out=0.0125,
    probe_lag_s=2.0,
)
MINE = default_text().replace('name = "default bench"', 'name = "back room"  # by the window')


def test_what_is_written_reads_back_as_it_was() -> None:
    """A bench file with a calibration holds that calibration, and everything else as before."""
    bench = parse(with_calibration(MINE, ONE, "bench.toml"), "bench.toml")
    assert bench.calibrations == (ONE,)
    assert bench.calibration_of("quad-14x14") == ONE
    assert bench.calibration_of("quad-16x16") is None
    assert replace(bench, calibrations=()) == parse(MINE, "bench.toml")


def test_the_rest_of_the_file_stays_as_the_user_wrote_it() -> None:
    """The text before the calibration is the user's own, comments and all; writing twice changes nothing."""
    once = with_calibration(MINE, ONE, "bench.toml")
    assert once.startswith(MINE)
    assert with_calibration(once, ONE, "bench.toml") == once


def test_a_newer_calibration_takes_the_place_of_the_older() -> None:
    """One nozzle has one calibration; those of other nozzles stay."""
    other = replace(ONE, nozzle="bore-4", date="2026-03-01")
    text = with_calibration(with_calibration(MINE, ONE, "bench.toml"), other, "bench.toml")
    newer = replace(ONE, date="2026-04-01", misfit_c=0.5)
    bench = parse(with_calibration(text, newer, "bench.toml"), "bench.toml")
    assert {(entry.nozzle, entry.date) for entry in bench.calibrations} == {
        ("bore-4", "2026-03-01"),
        ("quad-14x14", "2026-04-01"),
    }


def test_a_file_without_a_last_line_end_is_no_trouble() -> None:
    """The calibration begins on a line of its own."""
    text = with_calibration(MINE.rstrip(), ONE, "bench.toml")
    assert parse(text, "bench.toml").calibrations == (ONE,)


def test_calibrations_given_in_one_line_are_kept() -> None:
    """An array of inline tables, which is the same in TOML, takes the new one too."""
    inline = (
        'calibrations = [{nozzle = "bore-4", date = "d", logs = ["' + "c" * 64 + '"], board = "' + "b" * 64
        + '", factors = [{name = "air_h", value = 1.0, spread = 0.1}], correlation = [], misfit_c = 1.0, '
        'left_out = 0.01, probe_lag_s = 1.0}]\n'
    )  # fmt: skip
    bench = parse(with_calibration(inline + MINE, ONE, "bench.toml"), "bench.toml")
    assert sorted(entry.nozzle for entry in bench.calibrations) == ["bore-4", "quad-14x14"]


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        ('nozzle = "quad-14x14"', 'nozzle = "quad-99x99"', "a calibration is of quad-99x99, which is no nozzle"),
        ("value = 1.25", "value = -1.25", r"calibrations\.0\.factors\.0\.value"),
        ('name = "air_h"', 'name = "luck"', r"calibrations\.0\.factors\.0\.name"),
        ('name = "reach"', 'name = "air_h"', "a factor is named twice"),
        ("    [0.5],\n", "", "correlation has a row for each factor after the first"),
        ('logs = ["' + "a" * 64, 'logs = ["' + "a" * 63, r"calibrations\.0\.logs\.0"),
    ],
)
def test_a_calibration_that_was_tampered_with_is_refused(old: str, new: str, told: str) -> None:
    """Wrong names, figures, hashes and correlations are one line each that names the entry."""
    text = with_calibration(MINE, ONE, "bench.toml")
    assert old in text
    with pytest.raises(InputError, match=told):
        parse(text[: len(MINE)] + text[len(MINE) :].replace(old, new, 1), "bench.toml")


def test_two_calibrations_of_one_nozzle_are_refused() -> None:
    """Which of two holds cannot be told."""
    text = with_calibration(MINE, ONE, "bench.toml")
    with pytest.raises(InputError, match="quad-14x14 has two calibrations"):
        parse(text + "\n" + text[len(MINE) :], "bench.toml")


def test_text_that_is_no_toml_is_refused() -> None:
    """The writer says what is wrong as the reader does."""
    with pytest.raises(InputError, match=r"bench\.toml: not TOML"):
        with_calibration("name = = 1", ONE, "bench.toml")
