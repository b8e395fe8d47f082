"""A log laid beside the stages of a run: samples brought together, spikes and dead probes taken out."""

from dataclasses import dataclass, replace

import numpy as np

from leeward.calibrate.log import Log
from leeward.constants import number
from leeward.errors import InputError, Place
from leeward.heat.grid import Floats
from leeward.heat.records import Bools, Ints

SCATTER = 1.4826  # from the median of distances to a standard deviation, of normal scatter
BEGINNING_S = 5.0
ONSET_C = 5.0


@dataclass(frozen=True, slots=True)
class Observed:
    """Samples within the run, (m,) each, ordered by channel and time: channel, time from the first stage, reading."""

    channel: Ints
    time_s: Floats
    celsius: Floats
    notes: tuple[str, ...]

    def kept(self, keep: Bools) -> "Observed":
        """Return the samples that are kept."""
        return replace(self, channel=self.channel[keep], time_s=self.time_s[keep], celsius=self.celsius[keep])

    def of(self, channel: int) -> Bools:
        """Return which samples are a channel's."""
        return np.asarray(self.channel == channel)

    @property
    def every_s(self) -> float:
        """The time from one sample of a channel to the next, the median."""
        return float(np.median(np.diff(self.time_s)[np.diff(self.channel) == 0]))


def observe(log: Log, start_s: float | None, run_s: float) -> Observed:
    """Return the samples between the first stage's start and the last one's end.

    Raises InputError where too few samples lie within the run, or nothing in it gets warm.
    """
    time_s = log.time_s - (0.0 if start_s is None else start_s - log.first_s)
    within = (time_s >= -1e-9) & (time_s <= run_s)
    width_s = max(1.0, run_s / number("calibrate", "fit", "most_samples"))
    parts, notes = [], []
    for i, name in enumerate(log.names):
        good = within & np.isfinite(log.celsius[:, i])
        times, values = time_s[good], log.celsius[good, i]
        spiky = _spikes(values)
        if spiky.any():
            notes.append(f"{name}: spikes left out: {int(spiky.sum())}")
        parts.append(_together(times[~spiky], values[~spiky], width_s))
    channel = np.repeat(np.arange(len(parts)), [times.size for times, _ in parts])
    seen = Observed(
        channel,
        np.concatenate([times for times, _ in parts]),
        np.concatenate([values for _, values in parts]),
        tuple(notes),
    )
    _check(seen, log, run_s)
    return seen


def _check(seen: Observed, log: Log, run_s: float) -> None:
    rise = number("calibrate", "screen", "least_rise_c")
    if seen.time_s.size < 10:
        raise InputError(
            f"{seen.time_s.size} samples lie within the {run_s:g} s of the stages",
            do="check start and the stages' seconds in the run file",
            place=Place(log.file),
        )
    if max(np.ptp(seen.celsius[seen.of(i)]) for i in np.unique(seen.channel)) < rise:
        raise InputError(
            f"no channel rises by {rise:g} C: this log shows no run",
            do="check start in the run file",
            place=Place(log.file),
        )


def beginning_c(seen: Observed) -> float:
    """Return what the channels read first, the median, NaN where nothing was read near the first stage's start."""
    _, first = np.unique(seen.channel, return_index=True)
    early = first[seen.time_s[first] <= BEGINNING_S]
    return float(np.median(seen.celsius[early])) if early.size else np.nan


def check_beginning(seen: Observed, room_c: float, file: str) -> None:
    """Raise InputError where the run does not begin with a board at room temperature, naming the unit it may be in."""
    begins = beginning_c(seen)
    near = number("calibrate", "screen", "cold_start_c")
    if not np.isfinite(begins) or abs(begins - room_c) <= near:
        return
    for unit, value in (("Fahrenheit", (begins - 32) / 1.8), ("Kelvin", begins - 273.15)):
        if abs(value - room_c) <= near:
            raise InputError(
                f"the readings begin at {begins:.0f} where the room is at {room_c:.0f} C: they look like {unit}",
                do=f'put the unit into the log\'s header, as in "T1 [{unit[0]}]"',
                place=Place(file),
            )
    raise InputError(
        f"the readings begin at {begins:.0f} C where the room is at {room_c:.0f} C",
        do="begin with a cold board, and give start and ambient_c in the run file as they were",
        place=Place(file),
    )


def check_onset(seen: Observed, expected: Floats, start_given: bool, file: str) -> None:
    """Raise InputError where the readings rise much later or earlier than expected, (n, k) C at every second."""
    seconds = np.arange(len(expected), dtype=float)
    onsets = [
        (_onset_s(seen.time_s[seen.of(i)], seen.celsius[seen.of(i)]), _onset_s(seconds, expected[:, i]))
        for i in np.unique(seen.channel)
    ]
    late = [read_s - wanted_s for read_s, wanted_s in onsets if read_s is not None and wanted_s is not None]
    if not late or abs(np.median(late)) <= number("calibrate", "screen", "late_s"):
        return
    said = "start in the run file says" if start_given else "its first sample (no start is given) would say"
    raise InputError(
        f"the readings rise {abs(np.median(late)):.0f} s {'later' if np.median(late) > 0 else 'earlier'} than {said}",
        do="give start: what the log's time said as the first stage began",
        place=Place(file),
    )


def dead(seen: Observed, expected: Floats) -> tuple[int, ...]:
    """Return the channels that show next to nothing of the rise expected, (n, k) C at every second."""
    found = []
    for i in range(expected.shape[1]):
        at = np.clip(np.round(seen.time_s[seen.of(i)]).astype(int), 0, len(expected) - 1)
        if at.size < 10:
            found.append(i)
            continue
        wanted = float(np.ptp(expected[at, i]))
        shown = float(np.subtract(*np.percentile(seen.celsius[seen.of(i)], [98, 2])))
        if shown < max(number("calibrate", "screen", "dead_share") * wanted, 2.0):
            found.append(i)
    return tuple(found)


def swapped(seen: Observed, a: int, b: int) -> Observed:
    """Return the samples with the readings of two channels changed over."""
    channel: Ints = np.where(seen.channel == a, b, np.where(seen.channel == b, a, seen.channel))
    order = np.lexsort([seen.time_s, channel])
    return replace(seen, channel=channel[order], time_s=seen.time_s[order], celsius=seen.celsius[order])


def _onset_s(times: Floats, values: Floats) -> float | None:
    """Return when values first stand ONSET_C above their beginning, None where they do not."""
    above = np.flatnonzero(values >= np.median(values[:5]) + ONSET_C) if values.size >= 10 else np.empty(0, dtype=int)
    return float(times[above[0]]) if above.size else None


def _spikes(values: Floats) -> Bools:
    """Return which values stand far from the middle of the five round them."""
    if values.size < 7:
        return np.zeros(values.size, dtype=bool)
    padded = np.pad(values, 2, mode="edge")
    middle = np.median(np.lib.stride_tricks.sliding_window_view(padded, 5), axis=1)
    off = np.abs(values - middle)
    bound = max(number("calibrate", "screen", "spike_c"), 6 * SCATTER * float(np.median(off)))
    spiky: Bools = off > bound
    return spiky


def white_c(values: Floats) -> float:
    """Return the scatter of single samples, from second differences, which a smooth course does not feel."""
    curved = np.diff(values, 2)
    return SCATTER * float(np.median(np.abs(curved - np.median(curved)))) / np.sqrt(6) if curved.size else 0.0


def _together(times: Floats, values: Floats, width_s: float) -> tuple[Floats, Floats]:
    """Return the means over equal stretches of time."""
    if times.size == 0:
        return times, values
    _, bin_of = np.unique(np.floor(times / width_s), return_inverse=True)
    count = np.bincount(bin_of)
    return np.bincount(bin_of, times) / count, np.bincount(bin_of, values) / count
