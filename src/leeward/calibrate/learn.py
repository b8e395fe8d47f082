"""Learn a nozzle's factors from a run: lay the log beside the model, fit, leave out probes that mislead, tell all."""

from dataclasses import dataclass

import numpy as np

from leeward.calibrate.fit import Fit, Lines, Prior, fit
from leeward.calibrate.lag import lagged
from leeward.calibrate.learnt import Fitted, Learnt, States, summed_up
from leeward.calibrate.log import Log
from leeward.calibrate.observed import Observed, check_beginning, check_onset, dead, observe
from leeward.calibrate.probes import apart, came_off, check_swapped
from leeward.calibrate.rig import Rig, shown, shown_in_full
from leeward.calibrate.unknowns import factors_at, lines_at, prior_of, told
from leeward.constants import number
from leeward.errors import InputError, Place
from leeward.heat.doubt import Doubt
from leeward.heat.grid import Floats
from leeward.heat.records import Bools

MOVES = 6  # of the point that the model is taken as straight lines round
SETTLED_C = 0.5  # a move that changes no more than this leaves the lines straight
FULL_RUNS = 2  # of the full model, at most
RIGHT_C = 0.3


@dataclass(frozen=True, slots=True)
class _Settled:
    """A fit with the lines it was made on."""

    fit: Fit
    lines: Lines


def learn(on: Rig, log: Log, before: Doubt, start_s: float | None = None) -> Learnt:
    """Return what a log teaches about the factors, from what was held of them before.

    Raises InputError where the log does not go with the run, or no channel shows it.
    """
    prior = prior_of(before, on.loads.fit.nozzle.vented_up_fraction)
    every = observe(log, start_s, float(sum(stage.seconds for stage in on.stages)))
    check_beginning(every, on.loads.ambient_c, log.file)
    expected = lagged(shown(on, [before.factors])[0], number("calibrate", "lag", "usual_s"))
    still = dead(every, expected)
    seen = every.kept(~np.isin(every.channel, still))
    if seen.channel.size == 0:
        raise InputError(
            "no channel shows the heat of this run", do="check the probes and the run file", place=Place(log.file)
        )
    check_onset(seen, expected, start_s is not None, log.file)
    free, unmoved = np.ones(prior.mean.size, dtype=bool), np.zeros_like(expected)
    settled = _settle(on, seen, prior, prior.mean, free, unmoved)
    check_swapped(seen, settled.fit, settled.lines, prior, log)
    seen, settled, aside, off_at = _without_bad(on, seen, settled, prior, free)
    free = told(settled.fit.covariance, prior)
    settled = _settle(on, seen, prior, np.where(free, settled.fit.unknowns, prior.mean), free, unmoved)
    settled, offset = _put_right(on, seen, settled, prior, free)
    states = States(still, aside, off_at)
    return summed_up(on, log, before, Fitted(every, seen, settled.fit, free, offset, states))


def _settle(on: Rig, seen: Observed, prior: Prior, start: Floats, free: Bools, offset: Floats) -> _Settled:
    point = start
    for _ in range(MOVES):
        lines = lines_at(on, point[:-1], offset, prior.most[:-1])
        made = fit(seen, lines, prior, point, free)
        change = np.tensordot(made.unknowns[:-1] - point[:-1], lines.slopes, axes=1)
        point = made.unknowns
        if np.abs(change).max() < SETTLED_C:
            break
    return _Settled(made, lines)


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


def _without_bad(
    on: Rig, seen: Observed, settled: _Settled, prior: Prior, free: Bools
) -> tuple[Observed, _Settled, tuple[int, ...], dict[int, float]]:
    """Return the samples of sound probes and their fit, the channels set aside, and when others came off."""
    aside: list[int] = []
    off_at: dict[int, float] = {}
    no_offset = np.zeros_like(settled.lines.values)
    for _ in range(2 * len(on.spots)):
        bad = came_off(seen, settled.fit, off_at) or apart(seen, settled.fit)
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
