"""From a log and its run file to the calibration of a nozzle."""

from dataclasses import dataclass, replace

import numpy as np

from leeward.bench.fit import Fixed, fits
from leeward.bench.records import Bench, Calibration, FittedFactor, NozzleFit
from leeward.board.records import Board
from leeward.calibrate.lag import lagged
from leeward.calibrate.learn import learn
from leeward.calibrate.learnt import Learnt
from leeward.calibrate.log import Log, read_log
from leeward.calibrate.observed import beginning_c, check_beginning, observe
from leeward.calibrate.rig import Rig, rig, shown
from leeward.calibrate.run_file import RunFile, read_run_file
from leeward.calibrate.shields_on import bears_out, behind, shelters
from leeward.calibrate.spots import spot_of
from leeward.errors import NothingAssessed, UsageError
from leeward.heat.doubt import Doubt, doubt_of, uncalibrated
from leeward.heat.factors import NAMES, Factors
from leeward.heat.loads import Loads
from leeward.job import loads_of
from leeward.parts.records import Part, Parts

HOT_SHARE = 0.8  # of its rise: there a shield is looked at


@dataclass(frozen=True, slots=True)
class Source:
    """Where a calibration comes from: the log, its run file, and the date as the user gave it."""

    log: str
    run_file: str
    date: str
    add: bool = False  # to what is known of the nozzle already, instead of in its place


@dataclass(frozen=True, slots=True)
class ShieldTold:
    """What a probe behind a shield showed: its gain as computed, and how far it was off while hot."""

    channel: str
    gain_c: float
    off_c: float
    bears_out: bool


@dataclass(frozen=True, slots=True)
class Calibrated:
    """A run, what it taught, and the calibration to keep."""

    board: Board
    target: Part
    fit: NozzleFit
    log: Log
    run: RunFile
    room_c: float
    learnt: Learnt
    shields: tuple[ShieldTold, ...]
    calibration: Calibration


def calibrate(board: Board, parts: Parts, target: Part, bench: Bench, source: Source) -> Calibrated:
    """Return what a log teaches about the nozzle of its run.

    Raises InputError for a log or run file that cannot be used, UsageError for a log that is in the calibration
    already, NothingAssessed where no nozzle is placed.
    """
    run = read_run_file(source.run_file)
    log = read_log(source.log, [channel.name for channel in run.channels], run.degrees)
    fit = placed(parts, target, bench, Fixed(run.nozzle, run.rotation_deg, run.standoff_mm))
    before = _before(fit, bench, board, log, add=source.add)
    spots = tuple(spot_of(channel, target, parts, source.run_file) for channel in run.channels)
    room_c = _room_c(log, run, bench)
    on = rig(board, parts, target, _loads(fit, target, bench, run, room_c, source.run_file), run.stages, spots)
    learnt = learn(on, log, before, run.start_s)
    told = _shields_told(on, learnt, log)
    return Calibrated(
        board, target, fit, log, run, room_c, learnt, told, _calibration(fit, bench, board, log, learnt, told, source)
    )


def placed(parts: Parts, target: Part, bench: Bench, fixed: Fixed) -> NozzleFit:
    """Return the nozzle over a target, the best of the bench where none is named. Raises NothingAssessed."""
    ranked = fits(parts, target, bench, fixed)
    if not ranked:
        raise NothingAssessed(f"the bench has no nozzle for {target.ref}", do="name the nozzle that was used")
    return ranked[0]


def _before(fit: NozzleFit, bench: Bench, board: Board, log: Log, *, add: bool) -> Doubt:
    earlier = bench.calibration_of(fit.nozzle.id)
    if not add or earlier is None:
        return uncalibrated(fit.nozzle)
    if log.sha256 in earlier.logs:
        raise UsageError(
            f"{log.file} is in the calibration of {fit.nozzle.id} already",
            do="add another run, or leave --add out to begin anew",
        )
    return doubt_of(fit.nozzle, bench, board.sha256)


def _room_c(log: Log, run: RunFile, bench: Bench) -> float:
    """Return the room's temperature: as given, else what the cold board reads."""
    if run.ambient_c is not None:
        return run.ambient_c
    seen = observe(log, run.start_s, sum(stage.seconds for stage in run.stages))
    check_beginning(seen, bench.ambient_c, log.file)
    begins = beginning_c(seen)
    return float(begins) if np.isfinite(begins) else bench.ambient_c


def _loads(fit: NozzleFit, target: Part, bench: Bench, run: RunFile, room_c: float, run_file: str) -> Loads:
    loads = loads_of(fit, target, bench, Factors())
    return replace(loads, ambient_c=room_c, covers=shelters(run.shields, bench, run_file))


def _shields_told(on: Rig, learnt: Learnt, log: Log) -> tuple[ShieldTold, ...]:
    """Return what the probes behind shields show of them."""
    shielded = [i for i, spot in enumerate(on.spots) if behind(spot, on.loads.covers)]
    used = [i for i in shielded if learnt.channels[i].state == "used"]
    if not used:
        return ()
    bare = replace(on, loads=replace(on.loads, covers=()))
    uncovered = lagged(shown(bare, [learnt.after.factors])[0], learnt.lag_s)
    told = []
    for i in used:
        predicted, own = learnt.predicted_after_c[:, i], learnt.seen.of(i)
        at = np.interp(learnt.seen.time_s[own], learnt.time_s, predicted)
        hot = at - on.loads.ambient_c >= HOT_SHARE * (predicted.max() - on.loads.ambient_c)
        off = float(np.mean(learnt.seen.celsius[own][hot] - at[hot])) if hot.any() else np.inf
        gain = float(uncovered[:, i].max() - predicted.max())
        told.append(ShieldTold(log.names[i], gain, off, bears_out(gain, off)))
    return tuple(told)


def _calibration(
    fit: NozzleFit,
    bench: Bench,
    board: Board,
    log: Log,
    learnt: Learnt,
    told: tuple[ShieldTold, ...],
    source: Source,
) -> Calibration:
    """Return the record to keep. What was learnt about another board is not carried over."""
    earlier = bench.calibration_of(fit.nozzle.id) if source.add else None
    seen = any(entry.bears_out for entry in told) and all(entry.bears_out for entry in told if entry.gain_c > 0)
    spread = np.sqrt(np.diag(learnt.after.covariance))
    correlation = learnt.after.covariance / np.outer(spread, spread)
    return Calibration(
        nozzle=fit.nozzle.id,
        date=source.date,
        logs=(*(earlier.logs if earlier else ()), log.sha256),
        board=board.sha256,
        factors=tuple(
            FittedFactor(name, getattr(learnt.after.factors, name), learnt.after.spread[name])  # type: ignore[arg-type]  # NAMES are the names
            for name in NAMES
        ),
        correlation=tuple(tuple(float(np.clip(r, -1, 1)) for r in correlation[i, :i]) for i in range(1, len(NAMES))),
        misfit_c=learnt.misfit_c,
        left_out=max(learnt.after.left_out, earlier.left_out if earlier else 0.0),
        probe_lag_s=learnt.lag_s,
        shield_seen=seen or bool(earlier and earlier.shield_seen),
    )
