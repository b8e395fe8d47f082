"""Logs as loggers write them, and logs that are no logs."""

import time
import tracemalloc
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from leeward.calibrate.lines import MOST_LINES, read_lines
from leeward.calibrate.log import read_log
from leeward.errors import InputError

TIMES = range(0, 40, 2)


def row(second: int) -> tuple[float, float]:
    """Return the readings of a second."""
    return 22.0 + second, 22.5 + 0.5 * second


@pytest.fixture
def written(tmp_path: Path) -> Callable[[str], str]:
    """Return a function that writes a log and returns its path."""

    def write(text: str, encoding: str = "utf-8") -> str:
        path = tmp_path / "run.csv"
        path.write_bytes(text.encode(encoding))
        return str(path)

    return write


def table(head: str, line: str, *, comma: bool = False, end: str = "\n") -> str:
    """Return a log: `head`, then `line` for every time with {t}, {a}, {b} filled in."""
    rows = [line.format(t=t, a=row(t)[0], b=row(t)[1], clock=f"23:59:{30 + t:02d}") for t in TIMES if t < 30]
    body = end.join(row_.replace(".", ",") if comma else row_ for row_ in rows)
    return head + end + body + end


FORMS = {
    "commas": table("time,T1,T2", "{t},{a},{b}"),
    "semicolons and decimal commas": table("Zeit [s];T1 [°C];T2 [°C]", "{t};{a};{b}", comma=True),
    "tabs and carriage returns": table("Elapsed\tT1\tT2", "{t}\t{a}\t{b}", end="\r\n"),
    "quoted": table('"time","T1","T2"', '"{t}","{a}","{b}"'),
    "blanks": table("t T1 T2", "{t}  {a}   {b}"),
    "words above and units below": "Logger 9\nstarted;by;hand\n" + table("Time;T1;T2\ns;°C;°C", "{t};{a};{b}"),
    "old line ends": table("time,T1,T2", "{t},{a},{b}", end="\r"),
    "last delimiter": table("time;T1;T2;", "{t};{a};{b};"),
    "channels named by numbers": table("time;1;2;T1;T2", "{t};9;9;{a};{b}"),
    "date and time": table("Date;Time;T1;T2", "2026-03-02;{clock};{a};{b}"),
    "more columns": table("No;time;Note;T2;T1", "7;{t};warm;{b};{a}"),
}


@pytest.mark.parametrize("form", list(FORMS))
@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "latin-1"])
def test_the_usual_forms_say_the_same(form: str, encoding: str, written: Callable[..., str]) -> None:
    """Delimiters, decimal commas, quotes, units, words above the table and encodings make no difference."""
    log = read_log(written(FORMS[form], encoding), ["T1", "T2"])
    assert log.time_s.tolist() == [t for t in TIMES if t < 30]
    assert log.celsius[:, 0] == pytest.approx([row(t)[0] for t in TIMES if t < 30])
    assert log.celsius[:, 1] == pytest.approx([row(t)[1] for t in TIMES if t < 30])


def test_fahrenheit_in_the_header_is_turned_and_told(written: Callable[..., str]) -> None:
    """A column in F by its heading becomes C, with a note; a column in C stays."""
    log = read_log(written(table("time,T1 [F],T2 [C]", "{t},{a},{b}")), ["T1", "T2"])
    assert log.celsius[0, 0] == pytest.approx((22.0 - 32) / 1.8)
    assert log.celsius[0, 1] == 22.5
    assert "T1: read in F, turned into C" in log.notes


def test_the_run_file_may_say_the_unit_that_the_log_does_not(written: Callable[..., str]) -> None:
    """Without a unit in the log the one given holds; a unit in the log wins over it."""
    log = read_log(written(table("time,T1,T2 [C]", "{t},{a},{b}")), ["T1", "T2"], "F")
    assert log.celsius[0] == pytest.approx([(22.0 - 32) / 1.8, 22.5])


def test_a_clock_goes_on_past_midnight(written: Callable[..., str]) -> None:
    """Clock times become seconds from the first, across midnight too."""
    lines = [f"2026-03-02 23:59:5{i},25,25" for i in range(10)] + [f"2026-03-03 00:00:0{i},25,25" for i in range(10)]
    log = read_log(written("Date/Time,T1,T2\n" + "\n".join(lines)), ["T1"])
    assert log.time_s.tolist() == list(range(20))
    assert log.first_s == 86390.0


@pytest.mark.parametrize(("heading", "scale"), [("time [ms]", 1000), ("time [min]", 1 / 60), ("time [s]", 1)])
def test_times_are_read_in_their_unit(heading: str, scale: float, written: Callable[..., str]) -> None:
    """Milliseconds and minutes by the heading become seconds."""
    lines = [f"{2 * i * scale:.9f},25" for i in range(12)]
    log = read_log(written(f"{heading},T1\n" + "\n".join(lines)), ["T1"])
    assert log.time_s == pytest.approx([2.0 * i for i in range(12)], abs=1e-5)


def test_gaps_open_probes_and_junk_are_left_out_and_told(written: Callable[..., str]) -> None:
    """Missing samples, readings of an open probe, comments and torn lines are counted, and the rest is used."""
    lines = [f"{t},{25 + t},30" for t in range(20)]
    lines[3], lines[5] = "3,,30", "5,1372.0,30"
    lines.insert(8, "# door opened")
    lines.append("20,45")
    log = read_log(written("time,T1,T2\n" + "\n".join(lines)), ["T1", "T2"])
    assert np.flatnonzero(np.isnan(log.celsius[:, 0])).tolist() == [3, 5]
    assert not np.isnan(log.celsius[:, 1]).any()
    assert log.time_s.size == 20
    told = " | ".join(log.notes)
    assert "2 lines are no samples and were passed over, first line 10" in told
    assert "T1: 1 of 20 samples are missing" in told
    assert "T1: 1 of 20 readings are outside -30 to 480 C and left out" in told


def test_samples_out_of_order_are_put_in_order(written: Callable[..., str]) -> None:
    """A time that goes back is sorted and told."""
    lines = [f"{t},{25 + t}" for t in (0, 1, 2, 4, 3, 5, 6, 7, 8, 9, 10)]
    log = read_log(written("time,T1\n" + "\n".join(lines)), ["T1"])
    assert log.time_s.tolist() == list(range(11))
    assert log.celsius[:, 0].tolist() == [25.0 + t for t in range(11)]
    assert "samples out of order: 1; they were put in order by time" in log.notes


HOSTILE = {
    "empty": ("", "the log is empty"),
    "blank lines": ("\n\n \n", "the log is empty"),
    "words alone": ("a tale\nof no\nnumbers\n", "no rows of samples in the first 3 lines"),
    "no header": ("\n".join(f"{t},25,26" for t in range(20)), "no header names the 3 columns"),
    "decimal commas between commas": (
        "time,T1\n" + "\n".join(f"{t},0,25,5" for t in range(20)),
        "no header names the 4 columns",
    ),
    "one sample": ("time,T1\n0,25\n", "1 samples of the channels named can be read, and a fit needs 10"),
    "no reading at all": ("time,T1,T2\n" + "\n".join(f"{t},nan,25" for t in range(20)), "0 samples of the channels"),
    "no such channel": ("time,TC1,T2\n" + "\n".join(f"{t},25,26" for t in range(20)), "no channel T1 in the log"),
    "a time that stands": ("time,T1\n" + "\n".join("5,25" for _ in range(20)), "tells no time that goes on"),
    "a line without an end": ("time,T1\n" + "7" * 200_000, "a line without an end"),
    "bytes": ("\x00\x01\x02" * 100, "no rows of samples"),
}


@pytest.mark.parametrize("form", list(HOSTILE))
def test_what_is_no_log_is_refused_in_one_line(form: str, written: Callable[..., str]) -> None:
    """Each hostile log is one clear line that names the file."""
    text, told = HOSTILE[form]
    path = written(text)
    with pytest.raises(InputError, match=told) as refused:
        read_log(path, ["T1"])
    assert str(refused.value).startswith(path)
    assert "\n" not in str(refused.value)


def test_a_channel_that_is_missing_is_named_with_the_nearest(written: Callable[..., str]) -> None:
    """A misspelt channel is told with the one that was meant."""
    with pytest.raises(InputError, match=r"no channel Probe 1 .*nearest: Probe1"):
        read_log(written(table("time,Probe1,T2", "{t},{a},{b}")), ["Probe 1"])


@pytest.mark.parametrize("path", ["none.csv", "."])
def test_what_cannot_be_opened_is_refused(path: str, tmp_path: Path) -> None:
    """A missing file and a folder are one line each."""
    with pytest.raises(InputError, match="cannot read the log"):
        read_log(str(tmp_path / path), ["T1"])


def test_a_very_long_log_is_thinned_evenly_in_little_memory(tmp_path: Path) -> None:
    """Of a million lines so many are read as are of use, spread over the whole, within seconds and 100 MiB."""
    path = tmp_path / "long.csv"
    with path.open("w") as file:
        file.write("time,T1\n")
        file.writelines(f"{i / 1000:.3f},{20 + i / 5000:.2f}\n" for i in range(1_000_000))
    tracemalloc.start()
    started = time.monotonic()
    log = read_log(str(path), ["T1"])
    seconds, peak = time.monotonic() - started, tracemalloc.get_traced_memory()[1]
    tracemalloc.stop()
    assert MOST_LINES / 2 < log.time_s.size < 1.1 * MOST_LINES
    assert log.time_s[-1] == pytest.approx(999.98, abs=0.05)
    assert np.diff(log.time_s).max() < 0.03
    assert "1000001 lines; every 26th was read" in log.notes
    assert peak < 100 * 2**20
    assert seconds < 20  # a guard: it takes under one on an idle machine


def test_lines_are_numbered_as_in_the_file(tmp_path: Path) -> None:
    """Every line that is kept carries its own number, whatever the block it lay in."""
    path = tmp_path / "numbers.txt"
    path.write_text("\n".join(str(i) for i in range(1, 700_001)))
    lines = read_lines(str(path))
    assert lines.count == 700_000
    assert lines.stride == 18
    assert all(text == str(number) for number, text in lines.text)
