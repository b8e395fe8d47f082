"""Learn a nozzle's factors from a run: lay the log beside the model, fit, find the probes that tell nothing, tell all."""

from dataclasses import dataclass
from itertools import combinations
from typing import Literal

import numpy as np

from leeward.calibrate import fit as fitting
from leeward.calibrate.fit import Fit, Lines, Prior
from leeward.calibrate.lag import lagged
from leeward.calibrate.log import Log
from leeward.calibrate.observed import (
    SCATTER,
    Observed,
    check_beginning,
    check_onset,
    dead,
    observe,
    white_c,
)
from leeward.calibrate.rig import Rig, shown, shown_in_full
from leeward.constants import number
from leeward.errors import InputError, Place
from leeward.heat.boxed import MOST_VENTED
from leeward.heat.doubt import Doubt
from leeward.heat.factors import NAMES, Factors
from leeward.heat.grid import Floats
from leeward.heat.records import Bools

MOVES = 6  # of the point that the model is taken as straight lines round
SETTLED_C = 0.5  # a move that changes no more than this leaves the lines straight
FULL_RUNS = 2  # of the full model, at most
RIGHT_C = 0.3
LEAST_CHANNELS = 2  # none is set aside for being off by itself where so few would remain
SWAPPED_FROM_C = 2.0
SWAPPED_SHARE = 0.5  # two channels changed over leave less than this of the misfit
CAME_OFF_SHARE = 0.9  # of the readings after a probe came off that are far out
LEAST_READINGS = 10

State = Literal["used", "came off", "set aside", "dead"]


@dataclass(frozen=True, slots=True)
class ChannelTold:
    """What one channel read, and how far the model was off it before and after the fit (root mean square)."""

    name: str
    on: str
    state: State
    since_s: float | None  # from when it is no longer used, in the run's time
    samples: int
    before_c: float | None
    after_c: float | None
    mean_after_c: float | None  # read less predicted
    peak_c: float | None  # as read, while it was used
    peak_before_c: float
    peak_after_c: float


@dataclass(frozen=True, slots=True)
class Learnt:
    """What a log taught. Histories are at every second of the run, (n,) and (n, k)."""

    before: Doubt
    after: Doubt
    told: tuple[str, ...]  # the factors that the log tells of
    lag_s: float
    lag_spread: float
    channels: tuple[ChannelTold, ...]
    noise_c: float
    misfit_c: float  # what the fit leaves, noise taken out
    misfit_share: float  # the same over the rise of the readings
    lasting_s: float  # how long a misfit lasts
    stand_in_c: float  # how far the small model lies from the full one on the spots, at most
    time_s: Floats
    predicted_before_c: Floats
    predicted_after_c: Floats
    seen: Observed
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Settled:
    """A fit with the lines it was made on."""

    fit: Fit
    lines: Lines


def learn(on: Rig, log: Log, before: Doubt, start_s: float | None = None) -> Learnt:
    """Return what a log teaches about the factors, from what was held of them before.

    Raises InputError where the log does not go with the run, or no channel shows it.
    """
    room_c, prior = on.loads.ambient_c, prior_of(before, on.loads.fit.nozzle.vented_up_fraction)
    every = observe(log, start_s, float(sum(stage.seconds for stage in on.stages)))
    check_beginning(every, room_c, log.file)
    expected = lagged(shown(on, [before.factors])[0], number("calibrate", "lag", "usual_s"))
    still = dead(every, expected)
    seen = every.kept(~np.isin(every.channel, still))
    if seen.channel.size == 0:
        raise InputError(
            "no channel shows the heat of this run", do="check the probes and the run file", place=Place(log.file)
        )
    check_onset(seen, expected, start_s is not None, log.file)
    free = np.ones(prior.mean.size, dtype=bool)
    no_offset = np.zeros_like(expected)
    settled = _settle(on, seen, prior, prior.mean, free, no_offset)
    _check_swapped(seen, settled, prior, log)
    seen, settled, aside, off_at = _without_bad(on, seen, settled, prior, free)
    free = told(settled.fit.covariance, prior)
    start = np.where(free, settled.fit.unknowns, prior.mean)
    settled = _settle(on, seen, prior, start, free, no_offset)
    settled, offset = _put_right(on, seen, settled, prior, free)
    return _sum_up(on, log, before, every, seen, settled, free, offset, _States(still, aside, off_at))


@dataclass(frozen=True, slots=True)
class _States:
    """Which channels are dead, which are set aside, and when others came off."""

    dead: tuple[int, ...]
    aside: tuple[int, ...]
    off_at: dict[int, float]

    def of(self, channel: int) -> tuple[State, float | None]:
        if channel in self.dead:
            return "dead", None
        if channel in self.aside:
            return "set aside", None
        return ("came off", self.off_at[channel]) if channel in self.off_at else ("used", None)


def prior_of(before: Doubt, vented_up: float) -> Prior:
    """Return what is held before as unknowns: the logarithms of the factors, and that of the probes' lag.

    No more than MOST_VENTED of the air can leave upward.
    """
    mean = [np.log(getattr(before.factors, name)) for name in NAMES]
    covariance = np.zeros((len(NAMES) + 1, len(NAMES) + 1))
    covariance[:-1, :-1] = before.covariance
    covariance[-1, -1] = number("calibrate", "lag", "spread") ** 2
    most = np.full(len(NAMES) + 1, np.inf)
    most[NAMES.index("vented")] = np.log(MOST_VENTED / vented_up) if vented_up > 0 else 0.0
    return Prior(np.array([*mean, np.log(number("calibrate", "lag", "usual_s"))]), covariance, most)


def factors_at(unknowns: Floats) -> Factors:
    """Return the factors of unknowns, (p,)."""
    return Factors(**dict(zip(NAMES, np.exp(unknowns[: len(NAMES)]).tolist(), strict=True)))


def told(covariance: Floats, prior: Prior) -> Bools:
    """Return which unknowns are known better than before, (p,)."""
    better: Bools = np.sqrt(np.diag(covariance)) < number("calibrate", "fit", "told_below") * prior.spread
    return better


def lines_at(on: Rig, at: Floats, offset: Floats, most: Floats) -> Lines:
    """Return the model as straight lines round the logarithms of factors `at`, (p-1,), which can be `most` at most."""
    nudge = number("calibrate", "step", "nudge")
    nudges = np.where(at + nudge > most, -nudge, nudge)
    moved = shown(on, [factors_at(at), *(factors_at(at + step) for step in np.diag(nudges))])
    slopes = (moved[1:] - moved[0]) / nudges[:, None, None]
    return Lines(at, moved[0] + offset, slopes)


def _settle(on: Rig, seen: Observed, prior: Prior, start: Floats, free: Bools, offset: Floats) -> _Settled:
    point = start
    for _ in range(MOVES):
        lines = lines_at(on, point[:-1], offset, prior.most[:-1])
        fit = fitting.fit(seen, lines, prior, point, free)
        change = np.tensordot(fit.unknowns[:-1] - point[:-1], lines.slopes, axes=1)
        point = fit.unknowns
        if np.abs(change).max() < SETTLED_C:
            break
    return _Settled(fit, lines)


def _put_right(on: Rig, seen: Observed, settled: _Settled, prior: Prior, free: Bools) -> tuple[_Settled, Floats]:
    """Return the fit with the stand-in put right by the full model, and by how much, (n, k) C."""
    offset = np.zeros_like(settled.lines.values)
    for _ in range(FULL_RUNS):
        before, offset = offset, _offset(on, settled.fit.unknowns)
        if np.abs(offset - before).max() < RIGHT_C:
            break
        settled = _settle(on, seen, prior, settled.fit.unknowns, free, offset)
    return settled, offset


def _offset(on: Rig, unknowns: Floats) -> Floats:
    """Return what the full model shows over what the stand-in does, (n, k) C."""
    factors = factors_at(unknowns)
    difference: Floats = shown_in_full(on, factors) - shown(on, [factors])[0]
    return difference


def _check_swapped(seen: Observed, settled: _Settled, prior: Prior, log: Log) -> None:
    """Raise InputError where two channels changed over fit much better."""
    misfit = _mean_misfit(settled.fit)
    if misfit < SWAPPED_FROM_C:
        return
    free = np.ones(prior.mean.size, dtype=bool)
    pairs = list(combinations(np.unique(seen.channel).tolist(), 2))
    tried = [
        _mean_misfit(fitting.fit(fitting.swapped(seen, a, b), settled.lines, prior, settled.fit.unknowns, free))
        for a, b in pairs
    ]
    best = int(np.argmin(tried)) if pairs else 0
    if pairs and tried[best] < SWAPPED_SHARE * misfit:
        a, b = (log.names[channel] for channel in pairs[best])
        raise InputError(
            f"channels {a} and {b} read as if they were swapped: changed over they leave {tried[best]:.1f} C instead of "
            f"{misfit:.1f} C",
            do="change their names over in the run file, or leave one out",
            place=Place(log.file),
        )


def _mean_misfit(fit: Fit) -> float:
    return float(np.mean(np.abs(fit.left_c)))


def _without_bad(
    on: Rig, seen: Observed, settled: _Settled, prior: Prior, free: Bools
) -> tuple[Observed, _Settled, tuple[int, ...], dict[int, float]]:
    """Return the samples of sound probes and their fit, the channels set aside, and when probes came off, by channel."""
    aside: list[int] = []
    off_at: dict[int, float] = {}
    no_offset = np.zeros_like(settled.lines.values)
    for _ in range(2 * len(on.spots)):
        bad = _came_off(seen, settled.fit, off_at) or _apart(seen, settled.fit)
        if bad is None:
            break
        channel, since_s = bad
        if since_s is None:
            aside.append(channel)
        else:
            off_at[channel] = since_s
        seen = seen.kept(~(seen.of(channel) & (seen.time_s >= (since_s or 0.0))))
        settled = _settle(on, seen, prior, settled.fit.unknowns, free, no_offset)
    return seen, settled, tuple(aside), off_at


def _came_off(seen: Observed, fit: Fit, known: dict[int, float]) -> tuple[int, float] | None:
    """Return a channel that went with the model and then leaves it for good, and when; None where there is none."""
    bound = max(number("calibrate", "screen", "apart_c"), 4 * fit.scatter_c)
    for channel in np.unique(seen.channel).tolist():
        own = seen.of(channel)
        far = np.abs(fit.left_c[own]) > bound
        if channel in known or far.size < 2 * LEAST_READINGS or not far[-1]:
            continue
        far_after = np.cumsum(far[::-1])[::-1] / np.arange(far.size, 0, -1)
        near_before = (np.arange(far.size) - np.cumsum(far) + far) / np.maximum(np.arange(far.size), 1)
        at = np.flatnonzero(far & (far_after > CAME_OFF_SHARE) & (near_before > CAME_OFF_SHARE))
        at = at[(at >= LEAST_READINGS) & (at <= far.size - LEAST_READINGS / 2)]
        if at.size:
            return channel, float(seen.time_s[own][at[0]])
    return None


def _apart(seen: Observed, fit: Fit) -> tuple[int, None] | None:
    """Return the channel that is off by far more than the others, None where there is none or too few remain."""
    channels = np.unique(seen.channel)
    if channels.size <= LEAST_CHANNELS:
        return None
    off = np.array([SCATTER * np.median(np.abs(fit.left_c[seen.of(channel)])) for channel in channels])
    worst = int(np.argmax(off))
    others = float(np.median(np.delete(off, worst)))
    far = off[worst] > max(number("calibrate", "screen", "apart_c"), 4 * others)
    return (int(channels[worst]), None) if far else None


def _sum_up(
    on: Rig,
    log: Log,
    before: Doubt,
    every: Observed,
    seen: Observed,
    settled: _Settled,
    free: Bools,
    offset: Floats,
    states: _States,
) -> Learnt:
    fit, lag_s = settled.fit, float(np.exp(settled.fit.unknowns[-1]))
    both = shown(on, [before.factors, factors_at(fit.unknowns)]) + offset
    before_c, after_c = lagged(both, lag_s, axis=1)
    used = seen.of
    white = np.sqrt(np.mean([white_c(fit.left_c[used(i)]) ** 2 for i in np.unique(seen.channel)]))
    misfit = float(np.sqrt(max(0.0, float(np.mean(fit.left_c**2)) - white**2)))
    rise = _root_mean_square(seen.celsius - on.loads.ambient_c)
    width_s = float(np.median(np.diff(seen.time_s)[np.diff(seen.channel) == 0]))
    return Learnt(
        before=before,
        after=Doubt(
            factors_at(fit.unknowns),
            fit.covariance[:-1, :-1],
            max(misfit / rise, number("heat", "doubt", "left_out_calibrated")),
        ),
        told=tuple(name for name, tells in zip(NAMES, free[:-1], strict=True) if tells),
        lag_s=lag_s,
        lag_spread=float(np.sqrt(fit.covariance[-1, -1])),
        channels=tuple(
            _channel(i, name, on, every, seen, (before_c[:, i], after_c[:, i]), states)
            for i, name in enumerate(log.names)
        ),
        noise_c=float(white),
        misfit_c=misfit,
        misfit_share=misfit / rise,
        lasting_s=-width_s / np.log(fit.correlated) if fit.correlated > 0 else 0.0,
        stand_in_c=float(np.abs(offset).max()),
        time_s=on.time_s,
        predicted_before_c=before_c,
        predicted_after_c=after_c,
        seen=every,
        notes=(*log.notes, *every.notes),
    )


def _channel(
    channel: int,
    name: str,
    on: Rig,
    every: Observed,
    seen: Observed,
    predicted: tuple[Floats, Floats],
    states: _States,
) -> ChannelTold:
    state, since_s = states.of(channel)
    samples = seen if state in ("used", "came off") else every
    own = samples.of(channel)
    times, read = samples.time_s[own], samples.celsius[own]
    off = [read - np.interp(times, on.time_s, values) for values in predicted]
    some = read.size > 0
    return ChannelTold(
        name=name,
        on=on.spots[channel].on,
        state=state,
        since_s=since_s,
        samples=int(read.size) if state in ("used", "came off") else 0,
        before_c=_root_mean_square(off[0]) if some else None,
        after_c=_root_mean_square(off[1]) if some else None,
        mean_after_c=float(np.mean(off[1])) if some else None,
        peak_c=float(read.max()) if some else None,
        peak_before_c=float(predicted[0].max()),
        peak_after_c=float(predicted[1].max()),
    )


def _root_mean_square(values: Floats) -> float:
    return float(np.sqrt(np.mean(values**2)))
