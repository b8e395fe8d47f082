"""What a log taught, as records: the factors, each channel against the model, and what is left."""

from dataclasses import dataclass
from typing import Literal

import numpy as np

from leeward.calibrate.fit import Fit
from leeward.calibrate.lag import lagged
from leeward.calibrate.log import Log
from leeward.calibrate.observed import Observed, white_c
from leeward.calibrate.rig import Rig, shown
from leeward.calibrate.unknowns import factors_at
from leeward.constants import number
from leeward.heat.doubt import Doubt
from leeward.heat.factors import NAMES
from leeward.heat.grid import Floats
from leeward.heat.records import Bools

OF_THE_AIR = ("air_h", "reach", "flow", "outlet", "vented")
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
    lasting_s: float  # how long a misfit lasts
    stand_in_c: float  # how far the small model lies from the full one on the spots, root mean square
    time_s: Floats
    predicted_before_c: Floats
    predicted_after_c: Floats
    seen: Observed
    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class States:
    """Which channels are dead, which are set aside, and when others came off."""

    dead: tuple[int, ...]
    aside: tuple[int, ...]
    off_at: dict[int, float]

    def of(self, channel: int) -> tuple[State, float | None]:
        """Return the state of a channel, and from when it is no longer used where it came off."""
        if channel in self.dead:
            return "dead", None
        if channel in self.aside:
            return "set aside", None
        return ("came off", self.off_at[channel]) if channel in self.off_at else ("used", None)


@dataclass(frozen=True, slots=True)
class Fitted:
    """A fit and what it was made on: the samples within the run and those used, and what was free."""

    every: Observed
    seen: Observed
    fit: Fit
    free: Bools
    offset_c: Floats  # (n, k), the full model over the stand-in
    states: States


def summed_up(on: Rig, log: Log, before: Doubt, fitted: Fitted) -> Learnt:
    """Return what a fit comes to."""
    fit, seen, lag_s = fitted.fit, fitted.seen, float(np.exp(fitted.fit.unknowns[-1]))
    both = shown(on, [before.factors, factors_at(fit.unknowns)]) + fitted.offset_c
    before_c, after_c = lagged(both, lag_s, axis=1)
    white = float(np.sqrt(np.mean([white_c(fit.left_c[seen.of(i)]) ** 2 for i in np.unique(seen.channel)])))
    misfit = float(np.sqrt(max(0.0, float(np.mean(fit.left_c**2)) - white**2)))
    tells = tuple(name for name, free in zip(NAMES, fitted.free[:-1], strict=True) if free)
    share = misfit / _root_mean_square(seen.celsius - on.loads.ambient_c)
    # A run that tells nothing of the air has not seen what the model leaves out of it.
    seen_air = any(name in OF_THE_AIR for name in tells)
    least_share = number("heat", "doubt", "left_out_calibrated") if seen_air else before.left_out
    return Learnt(
        before=before,
        after=Doubt(factors_at(fit.unknowns), fit.covariance[:-1, :-1], max(share, least_share)),
        told=tells,
        lag_s=lag_s,
        lag_spread=float(np.sqrt(fit.covariance[-1, -1])),
        channels=tuple(
            _channel(i, name, on, fitted, (before_c[:, i], after_c[:, i])) for i, name in enumerate(log.names)
        ),
        noise_c=white,
        misfit_c=misfit,
        lasting_s=fit.lasting.seconds(seen.every_s),
        stand_in_c=_root_mean_square(fitted.offset_c),
        time_s=on.time_s,
        predicted_before_c=before_c,
        predicted_after_c=after_c,
        seen=fitted.every,
        notes=(*log.notes, *fitted.every.notes),
    )


def _channel(channel: int, name: str, on: Rig, fitted: Fitted, predicted: tuple[Floats, Floats]) -> ChannelTold:
    state, since_s = fitted.states.of(channel)
    in_use = state in ("used", "came off")
    samples = fitted.seen if in_use else fitted.every
    own = samples.of(channel)
    times, read = samples.time_s[own], samples.celsius[own]
    off = [read - np.interp(times, on.time_s, values) for values in predicted]
    some = read.size > 0
    return ChannelTold(
        name=name,
        on=on.spots[channel].on,
        state=state,
        since_s=since_s,
        samples=int(read.size) if in_use else 0,
        before_c=_root_mean_square(off[0]) if some else None,
        after_c=_root_mean_square(off[1]) if some else None,
        mean_after_c=float(np.mean(off[1])) if some else None,
        peak_c=float(read.max()) if some else None,
        peak_before_c=float(predicted[0].max()),
        peak_after_c=float(predicted[1].max()),
    )


def _root_mean_square(values: Floats) -> float:
    return float(np.sqrt(np.mean(values**2)))
