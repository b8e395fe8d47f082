"""Calibrations and plans of thermocouple runs as JSON documents."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np

from leeward.board.records import Board, Side
from leeward.calibrate.calibration import Calibrated
from leeward.calibrate.learnt import ChannelTold, Learnt, State
from leeward.calibrate.plan import Plan
from leeward.heat.doubt import OF_THE_BOARD
from leeward.heat.factors import NAMES
from leeward.parts.records import Part, Parts
from leeward.report.board_documents import board_document
from leeward.report.documents import BoardDocument, Figure, StageDocument

MOST_TIMES = 200  # a history is thinned to so many times, first and last kept


@dataclass(frozen=True, slots=True)
class FactorDocument:
    """A factor on the model before and after; spreads are one relative standard deviation."""

    name: str
    holds_on: Literal["every board", "this board"]
    before: float
    share_spread_before: float
    after: float
    share_spread_after: float
    told: bool  # whether the log tells of it


@dataclass(frozen=True, slots=True)
class SeenDocument:
    """What was read of one channel, and what was predicted for the same times."""

    time_s: Sequence[float]
    read_c: Sequence[float]
    before_c: Sequence[float]
    after_c: Sequence[float]


@dataclass(frozen=True, slots=True)
class ChannelDocument:
    """One channel. Off is read less predicted: root mean square before and after the fit, and mean after it."""

    name: str
    on: str
    state: State
    off_the_board_at_s: Figure
    samples: int
    off_before_c: Figure
    off_after_c: Figure
    mean_off_after_c: Figure
    peak_c: Figure
    peak_before_c: float
    peak_after_c: float
    history: SeenDocument


@dataclass(frozen=True, slots=True)
class ShieldSeenDocument:
    """What a probe behind a shield showed."""

    channel: str
    gain_c: float
    off_c: float
    bears_out: bool


@dataclass(frozen=True, slots=True)
class CalibrationDocument:
    """What `leeward calibrate` answers to a log. `correlation` is that of the factors' logarithms, in their order."""

    schema: Literal["leeward.calibration/1"]
    board: BoardDocument
    target: str
    nozzle: str
    date: str
    log: str
    log_sha256: str
    room_c: float
    factors: Sequence[FactorDocument]
    correlation: Sequence[Sequence[float]]
    untold: Sequence[str]
    probe_lag_s: float
    share_probe_lag_spread: float
    noise_c: float
    misfit_c: float
    misfit_lasts_s: float
    stand_in_c: float
    channels: Sequence[ChannelDocument]
    shields: Sequence[ShieldSeenDocument]
    shield_seen: bool
    notes: Sequence[str]


@dataclass(frozen=True, slots=True)
class ProbeDocument:
    """A place for a thermocouple, and what it tells."""

    name: str
    on: str
    id: str | None  # of the part it sits on
    pad: str | None
    x_mm: float
    y_mm: float
    side: Side
    share: float
    tells: Sequence[str]


@dataclass(frozen=True, slots=True)
class RunDocument:
    """One run."""

    what: str
    stages: Sequence[StageDocument]


@dataclass(frozen=True, slots=True)
class ExpectedDocument:
    """The spread of a factor before, and after each run."""

    name: str
    share_spread_before: float
    share_spread_after: Sequence[float]


@dataclass(frozen=True, slots=True)
class PlanDocument:
    """What `leeward calibrate --plan` answers."""

    schema: Literal["leeward.calibration-plan/1"]
    board: BoardDocument
    target: str
    nozzle: str
    rotation_deg: float
    standoff_mm: float
    candidates: int
    probes: Sequence[ProbeDocument]
    runs: Sequence[RunDocument]
    factors: Sequence[ExpectedDocument]
    neighbours_before_c: float
    neighbours_after_c: Sequence[float]
    cautions: Sequence[str]


def calibration_document(found: Calibrated) -> CalibrationDocument:
    """Return a calibration as a document."""
    learnt, spread = found.learnt, np.sqrt(np.diag(found.learnt.after.covariance))
    return CalibrationDocument(
        schema="leeward.calibration/1",
        board=board_document(found.board),
        target=found.target.ref,
        nozzle=found.fit.nozzle.id,
        date=found.calibration.date,
        log=found.log.file,
        log_sha256=found.log.sha256,
        room_c=found.room_c,
        factors=[_factor(name, learnt) for name in NAMES],
        correlation=(learnt.after.covariance / np.outer(spread, spread)).tolist(),
        untold=[name for name in NAMES if name not in learnt.told],
        probe_lag_s=learnt.lag_s,
        share_probe_lag_spread=learnt.lag_spread,
        noise_c=learnt.noise_c,
        misfit_c=learnt.misfit_c,
        misfit_lasts_s=learnt.lasting_s,
        stand_in_c=learnt.stand_in_c,
        channels=[_channel(i, entry, learnt) for i, entry in enumerate(learnt.channels)],
        shields=[ShieldSeenDocument(s.channel, s.gain_c, s.off_c, s.bears_out) for s in found.shields],
        shield_seen=found.calibration.shield_seen,
        notes=learnt.notes,
    )


def plan_document(plan: Plan, board: Board, target: Part, parts: Parts, cautions: Sequence[str]) -> PlanDocument:
    """Return a plan as a document."""
    fit = plan.loads.fit
    return PlanDocument(
        schema="leeward.calibration-plan/1",
        board=board_document(board),
        target=target.ref,
        nozzle=fit.nozzle.id,
        rotation_deg=fit.rotation_deg,
        standoff_mm=fit.standoff_mm,
        candidates=plan.candidates,
        probes=[
            ProbeDocument(
                p.name, p.spot.on, p.spot.part_id, p.spot.pad, p.spot.x_mm, p.spot.y_mm, p.spot.side, p.share, p.tells
            )
            for p in plan.probes
        ],
        runs=[
            RunDocument(
                run.what,
                [StageDocument(s.name, s.seconds, s.air_c, s.flow_l_min, s.board_heater_c) for s in run.stages],
            )
            for run in plan.runs
        ],
        factors=[
            ExpectedDocument(name, plan.spread_before[name], [after[name] for after in plan.spread_after])
            for name in NAMES
        ],
        neighbours_before_c=plan.neighbours_before_c,
        neighbours_after_c=plan.neighbours_after_c,
        cautions=cautions,
    )


def _factor(name: str, learnt: Learnt) -> FactorDocument:
    before, after = learnt.before, learnt.after
    return FactorDocument(
        name=name,
        holds_on="this board" if name in OF_THE_BOARD else "every board",
        before=getattr(before.factors, name),
        share_spread_before=before.spread[name],
        after=getattr(after.factors, name),
        share_spread_after=after.spread[name],
        told=name in learnt.told,
    )


def _channel(channel: int, entry: ChannelTold, learnt: Learnt) -> ChannelDocument:
    return ChannelDocument(
        name=entry.name,
        on=entry.on,
        state=entry.state,
        off_the_board_at_s=entry.since_s,
        samples=entry.samples,
        off_before_c=entry.before_c,
        off_after_c=entry.after_c,
        mean_off_after_c=entry.mean_after_c,
        peak_c=entry.peak_c,
        peak_before_c=entry.peak_before_c,
        peak_after_c=entry.peak_after_c,
        history=_history(channel, learnt),
    )


def _history(channel: int, learnt: Learnt) -> SeenDocument:
    own = np.flatnonzero(learnt.seen.of(channel))
    kept = own[np.unique(np.linspace(0, own.size - 1, min(own.size, MOST_TIMES)).round().astype(int))]
    times = learnt.seen.time_s[kept]
    before, after = (
        np.interp(times, learnt.time_s, values[:, channel]).tolist()
        for values in (learnt.predicted_before_c, learnt.predicted_after_c)
    )
    return SeenDocument(times.tolist(), learnt.seen.celsius[kept].tolist(), before, after)
