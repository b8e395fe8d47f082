"""Read what a thermocouple logger wrote: a time column, one column a channel, and whatever lies between.

Delimiter, decimal comma, clock times and units are found out. Samples that are missing, readings of an open probe
and lines that are no samples are left out, counted and told.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from difflib import get_close_matches

import numpy as np

from leeward.calibrate.cells import DAY_S, SECONDS, celsius, clock_s, degrees, figure, named, unit
from leeward.calibrate.lines import Lines, read_lines
from leeward.calibrate.table import Table, find_table
from leeward.errors import InputError, Place
from leeward.heat.grid import Floats

TIME_NAMES = (
    "time", "elapsed", "elapsed time", "seconds", "sec", "s", "t", "timestamp", "clock", "date/time", "datetime",
    "date time",
)  # fmt: skip
LEAST_C, MOST_C = -30.0, 480.0  # readings outside are those of an open or shorted probe
LEAST_SAMPLES = 10
MILLISECONDS_FROM = 1e11  # a time stamp past this counts milliseconds


@dataclass(frozen=True, slots=True)
class Log:
    """Samples of the channels asked for, in order of time. Time (n,) s from the first; (n, k) C, NaN where missing."""

    file: str
    sha256: str
    names: tuple[str, ...]
    time_s: Floats
    celsius: Floats
    first_s: float  # what the time of the first sample said, in seconds (of the day, for a clock)
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Stamps:
    """What the time column says: (n,) s, NaN where nothing; and how it was read."""

    seconds: Floats
    notes: tuple[str, ...]


def read_log(path: str, channels: Sequence[str], degrees_of: str | None = None) -> Log:
    """Return the samples of the named channels; `degrees_of` (C, F or K) holds where the log itself does not say.

    Raises InputError where the log cannot be read, has no header or no time column, lacks a channel, or holds too
    few samples.
    """
    lines = read_lines(path)
    table = find_table(lines, path)
    at = _time_column(table)
    columns = [_column_of(name, table, at, path) for name in channels]
    stamps = _stamps(table, at, path)
    units = [_degrees(table, column) or degrees_of or "C" for column in columns]
    read = [[celsius(figure(row[column]), of) for row in table.rows] for column, of in zip(columns, units, strict=True)]
    values = np.array(read, dtype=float).reshape(len(columns), -1).T
    values, told = _in_range(values, channels)
    order = np.argsort(stamps.seconds, kind="stable")
    kept = order[np.isfinite(stamps.seconds[order]) & np.isfinite(values[order]).any(axis=1)]
    time_s, values = stamps.seconds[kept], values[kept]
    _check_samples(time_s, path)
    notes = (
        *_line_notes(lines, table),
        *stamps.notes,
        *_disorder(stamps.seconds),
        *(f"{name}: read in {of}, turned into C" for name, of in zip(channels, units, strict=True) if of != "C"),
        *told,
    )
    return Log(path, lines.sha256, tuple(channels), time_s - time_s[0], values, float(time_s[0]), notes)


def _time_column(table: Table) -> int:
    """Return the column of time: by its name, by its unit, else the first."""
    names = [named(heading) for heading in table.headings]
    by_name = [i for i, (name, _) in enumerate(names) if name.casefold() in TIME_NAMES]
    by_unit = [i for i, (_, of) in enumerate(names) if (of or table.units[i]).casefold() in (*SECONDS, "clock")]
    return next(iter([*by_name, *by_unit]), 0)


def _column_of(channel: str, table: Table, time_at: int, path: str) -> int:
    """Return the column of a channel, by its whole heading or by its name without the unit."""
    wanted = channel.strip().casefold()
    for i, heading in enumerate(table.headings):
        if i != time_at and wanted in (heading.casefold(), named(heading)[0].casefold()):
            return i
    others = [named(heading)[0] for i, heading in enumerate(table.headings) if i != time_at]
    near = get_close_matches(channel, others, n=1)
    have = f"nearest: {near[0]}" if near else f"the log has {', '.join(others[:8])}"
    raise InputError(
        f"no channel {channel} in the log", do=f"name its columns as the log does ({have})", place=Place(path)
    )


def _degrees(table: Table, column: int) -> str:
    """Return C, F or K as heading, unit row or cells say, "" where none does."""
    told = unit(named(table.headings[column])[1]) or table.units[column]
    return told or next((of for row in table.rows[:LEAST_SAMPLES] if (of := degrees(row[column]))), "")


def _stamps(table: Table, at: int, path: str) -> _Stamps:
    cells = [row[at] for row in table.rows]
    by_clock = ":" in cells[0]
    raw = np.array([clock_s(cell) if by_clock else figure(cell) for cell in cells])
    known = raw[np.isfinite(raw)]
    if known.size == 0 or (known.size > 1 and np.ptp(known) == 0):
        raise InputError(
            f"the column {table.headings[at]} tells no time that goes on",
            do="log the time of each sample, in seconds or as a clock",
            place=Place(path),
        )
    if by_clock:
        past_midnight = np.zeros(raw.size)
        past_midnight[np.isfinite(raw)] = np.cumsum(np.diff(known, prepend=known[0]) < -DAY_S / 2) * DAY_S
        return _Stamps(raw + past_midnight, ("times are read as a clock",))
    of = named(table.headings[at])[1].casefold() or table.units[at]
    scale = SECONDS.get(of, 1e-3 if known[0] > MILLISECONDS_FROM else 1.0)
    return _Stamps(raw * scale, () if scale == 1.0 else (f"times are read in units of {scale:g} s",))


def _in_range(values: Floats, names: Sequence[str]) -> tuple[Floats, tuple[str, ...]]:
    """Return readings with those of an open probe taken out, and what is missing of each channel."""
    open_probe = (values < LEAST_C) | (values > MOST_C)
    missing = np.isnan(values)
    notes = []
    for name, gaps, wild in zip(names, missing.sum(axis=0), open_probe.sum(axis=0), strict=True):
        if gaps:
            notes.append(f"{name}: {gaps} of {len(values)} samples are missing")
        if wild:
            notes.append(
                f"{name}: {wild} of {len(values)} readings are outside {LEAST_C:g} to {MOST_C:g} C and left out"
            )
    return np.where(open_probe, np.nan, values), tuple(notes)


def _check_samples(time_s: Floats, path: str) -> None:
    if time_s.size < LEAST_SAMPLES:
        raise InputError(
            f"{time_s.size} samples of the channels named can be read, and a fit needs {LEAST_SAMPLES}",
            do="log the whole run, every second or so",
            place=Place(path),
        )


def _line_notes(lines: Lines, table: Table) -> tuple[str, ...]:
    notes = []
    if lines.stride > 1:
        notes.append(f"{lines.count} lines; every {lines.stride}th was read")
    if table.junk:
        several = "line is no sample and was" if len(table.junk) == 1 else "lines are no samples and were"
        notes.append(f"{len(table.junk)} {several} passed over, first line {table.junk[0]}")
    return tuple(notes)


def _disorder(seconds: Floats) -> tuple[str, ...]:
    back = int(np.sum(np.diff(seconds[np.isfinite(seconds)]) < 0))
    return (f"samples out of order: {back}; they were put in order by time",) if back else ()
