"""A log laid beside the stages of its run."""

import numpy as np
import pytest

from leeward.calibrate.log import Log
from leeward.calibrate.observed import Observed, check_beginning, check_onset, dead, observe, swapped, white_c
from leeward.errors import InputError
from leeward.heat.grid import Floats


def course(seconds: int = 200, *, lead_s: int = 0, room_c: float = 24.0) -> Floats:
    """Return a reading at every second: the room, then a rise by 120 C."""
    time_s = np.maximum(np.arange(seconds + lead_s) - lead_s, 0.0)
    return np.asarray(room_c + 120 * (1 - np.exp(-time_s / 50)))


def log(*columns: Floats, first_s: float = 0.0) -> Log:
    """Return a log of these channels, once a second."""
    values = np.column_stack(columns)
    names = tuple(f"T{i}" for i in range(len(columns)))
    return Log("run.csv", "a" * 64, names, np.arange(len(values), dtype=float), values, first_s, ())


def test_the_run_begins_where_the_run_file_says() -> None:
    """Samples before the first stage and after the last are left out, and times count from the start."""
    seen = observe(log(course(300, lead_s=40), first_s=1000.0), 1040.0, 150.0)
    assert seen.time_s.min() == pytest.approx(0.0, abs=1.0)
    assert seen.time_s.max() == pytest.approx(150.0, abs=1.0)
    assert seen.celsius[0] == pytest.approx(24.0, abs=3.0)


def test_many_samples_are_brought_together() -> None:
    """Ten samples a second become one mean for each stretch of time, no more than 400 of them."""
    time_s = np.arange(0, 200, 0.1)
    noisy = 24 + time_s / 2 + np.random.default_rng(0).normal(0, 1.0, time_s.size)
    seen = observe(Log("run.csv", "a" * 64, ("T0",), time_s, noisy[:, None], 0.0, ()), None, 200.0)
    assert seen.time_s.size == 200
    assert seen.celsius == pytest.approx(24 + seen.time_s / 2, abs=1.5)
    assert np.std(seen.celsius - 24 - seen.time_s / 2) == pytest.approx(1 / np.sqrt(10), rel=0.3)


def test_spikes_are_left_out_and_told() -> None:
    """Single readings far from those about them go, a fast but steady rise stays."""
    values = course()
    values[[30, 90, 91]] += 40
    seen = observe(log(values), None, 190.0)
    assert seen.notes == ("T0: spikes left out: 3",)
    assert seen.celsius == pytest.approx(np.interp(seen.time_s, np.arange(200), course()), abs=1e-6)


def test_a_log_without_a_run_is_refused() -> None:
    """Where nothing rises, or nothing was read during the stages, there is one line that says so."""
    with pytest.raises(InputError, match="no channel rises by 20 C"):
        observe(log(np.full(200, 24.0)), None, 150.0)
    with pytest.raises(InputError, match="0 samples lie within the 150 s of the stages"):
        observe(log(course()), -5000.0, 150.0)


@pytest.mark.parametrize(("turned", "told"), [(lambda c: c * 1.8 + 32, "Fahrenheit"), (lambda c: c + 273.15, "Kelvin")])
def test_another_unit_is_seen_by_the_cold_board(turned: "np.ufunc", told: str) -> None:
    """Readings that begin at 75 or 297 where the room is at 24 C are told to look like F or K."""
    seen = observe(log(turned(course())), None, 190.0)
    with pytest.raises(InputError, match=f"they look like {told}"):
        check_beginning(seen, 24.0, "run.csv")


def test_a_warm_beginning_is_refused_and_a_cold_one_passes() -> None:
    """A board that is warm from an earlier run does not begin as the model does."""
    check_beginning(observe(log(course()), None, 190.0), 21.0, "run.csv")
    with pytest.raises(InputError, match="begin with a cold board"):
        check_beginning(observe(log(course(room_c=45.0)), None, 190.0), 24.0, "run.csv")


def test_a_start_that_was_not_given_is_missed() -> None:
    """A log that idles for a minute before the heat is told to need its start; one that begins on time passes."""
    expected = np.column_stack([course(400)])
    check_onset(observe(log(course()), None, 190.0), expected, start_given=False, file="run.csv")
    late = observe(log(course(lead_s=60)), None, 240.0)
    with pytest.raises(InputError, match=r"rise 5\d s later than its first sample \(no start is given\) would say"):
        check_onset(late, expected, start_given=False, file="run.csv")


def test_dead_channels_are_those_that_show_nothing_of_the_rise() -> None:
    """A channel that stays at room temperature or says nothing is dead; one that is only cooler is not."""
    values = [course(), np.full(200, 24.3), 24 + (course() - 24) / 3, np.full(200, np.nan)]
    seen = observe(log(*values), None, 190.0)
    assert dead(seen, np.column_stack([course(400)] * 4)) == (1, 3)


def test_swapping_changes_the_readings_over_and_keeps_the_order() -> None:
    """After a swap each of the two channels has the other's readings, ordered by channel and time."""
    seen = observe(log(course(), course() + 30), None, 190.0)
    other = swapped(seen, 0, 1)
    assert other.celsius[other.of(0)].tolist() == seen.celsius[seen.of(1)].tolist()
    assert np.all(np.diff(other.channel) >= 0)
    assert isinstance(other, Observed)


def test_noise_is_told_from_the_course_under_it() -> None:
    """The scatter of single samples is found whatever the course is."""
    noise = np.random.default_rng(5).normal(0, 0.5, 2000)
    assert white_c(noise + 100 * np.sin(np.arange(2000) / 100)) == pytest.approx(0.5, rel=0.1)
    assert white_c(np.arange(2.0)) == 0.0
