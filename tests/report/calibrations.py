"""Invented calibrations and what a log taught, for tests of reports."""

from dataclasses import replace

import numpy as np

from builders import board, case
from leeward.bench.read import read_bench
from leeward.bench.records import Calibration, FittedFactor, NozzleFit
from leeward.calibrate.calibration import Calibrated, ShieldTold
from leeward.calibrate.learnt import ChannelTold, Learnt, State
from leeward.calibrate.log import Log
from leeward.calibrate.observed import Observed
from leeward.calibrate.run_file import Channel, RunFile
from leeward.heat.doubt import Doubt, uncalibrated
from leeward.heat.factors import NAMES, Factors
from leeward.review.records import Case

LOG = "a1b2c3d4" + "0" * 56


def calibration(nozzle: str, board_sha256: str, *, shield_seen: bool = False) -> Calibration:
    """Return a calibration of one factor."""
    return Calibration(
        nozzle=nozzle,
        date="2 March",
        logs=(LOG,),
        board=board_sha256,
        factors=(FittedFactor("air_h", 1.3, 0.06),),
        correlation=(),
        misfit_c=1.4,
        left_out=0.01,
        probe_lag_s=2.0,
        shield_seen=shield_seen,
    )


def calibrated_case(*, shield_seen: bool = False) -> Case:
    """Return an invented case whose nozzle is calibrated."""
    plain = case()
    known = calibration(plain.loads.fit.nozzle.id, plain.board.sha256, shield_seen=shield_seen)
    nozzles = (*plain.bench.nozzles, plain.loads.fit.nozzle)
    return replace(plain, bench=replace(plain.bench, nozzles=nozzles, calibrations=(known,)))


def channel(name: str, state: State, since_s: float | None = None, after_c: float = 1.0) -> ChannelTold:
    """Return a channel that read up to 230 C."""
    return ChannelTold(name, f"board at {name}", state, since_s, 100, 12.0, after_c, 0.2, 230.0, 215.0, 229.0)


def learnt(*channels: ChannelTold, misfit_c: float = 0.4, told: tuple[str, ...] = NAMES) -> Learnt:
    """Return what a log taught of two seconds of a run."""
    before = uncalibrated(read_bench().nozzles[0])
    count = len(channels)
    seen = Observed(
        np.repeat(np.arange(count), 2), np.tile([0.0, 1.0], count), np.tile([24.0, 26.0], count), ()
    )  # fmt: skip
    flat = np.full((2, count), 25.0)
    return Learnt(
        before=before,
        after=Doubt(Factors(air_h=1.3), before.covariance / 9, 0.01),
        told=told,
        lag_s=2.0,
        lag_spread=0.1,
        channels=channels,
        noise_c=0.5,
        misfit_c=misfit_c,
        lasting_s=12.0,
        stand_in_c=0.8,
        time_s=np.array([0.0, 1.0]),
        predicted_before_c=flat,
        predicted_after_c=flat + 0.5,
        seen=seen,
        notes=("times are read as a clock",),
    )


def calibrated(told: Learnt, *shields: ShieldTold, shield_seen: bool = False) -> Calibrated:
    """Return a run with what it taught."""
    solved = case()
    fit: NozzleFit = solved.loads.fit
    names = tuple(entry.name for entry in told.channels)
    log = Log("run.csv", LOG, names, np.arange(2.0), np.full((2, len(names)), 25.0), 0.0, ())
    run = RunFile(
        channels=tuple(Channel(name=name, pad="1") for name in names), stages=solved.recipe.stages
    )  # fmt: skip
    known = calibration(fit.nozzle.id, solved.board.sha256, shield_seen=shield_seen)
    return Calibrated(board(), solved.target, fit, log, run, 22.0, told, shields, known)
