"""A calibration as text: what the log taught, how well the model follows it now, and what it cannot tell."""

from collections.abc import Iterator

from leeward.calibrate.calibration import Calibrated, ShieldTold
from leeward.calibrate.learnt import ChannelTold, Learnt
from leeward.constants import number
from leeward.heat.doubt import OF_THE_BOARD
from leeward.heat.factors import NAMES
from leeward.report.bench_words import HASH_SIGNS
from leeward.report.columns import Column, Rows, words
from leeward.report.screen import Block, Line, Title
from leeward.report.wording import DOUBTS, counted, figure, listed

FACTORS = (
    words("Factor"),
    words("On"),
    Column("Before"),
    Column("Spread", "%"),
    Column("After"),
    Column("Spread", "%"),
    words("Told"),
    words("Holds on"),
)
CHANNELS = (
    words("Channel"),
    words("On"),
    words("State"),
    Column("Samples"),
    Column("Off before", "C"),
    Column("Off after", "C"),
    Column("Mean after", "C"),
    Column("Peak read", "C"),
    Column("before", "C"),
    Column("after", "C"),
)
POOR_C = 5.0  # a misfit over this is pointed out; house rule


def calibration_text(found: Calibrated) -> Iterator[Block]:
    """Yield the blocks of the text."""
    yield Line(verdict(found), style="bold")
    yield Line(
        f"Run: {found.target.ref}, nozzle {found.fit.nozzle.id}, {found.fit.standoff_mm:g} mm above the board, room at "
        f"{figure(found.room_c)} C; probes follow with a lag of {figure(found.learnt.lag_s, 1)} s."
    )
    yield Title("Factors on the model, 1 as it stands")
    yield Rows(FACTORS, [_factor(name, found.learnt) for name in NAMES])
    yield Line(
        "Spreads are one standard deviation; after a fit factors go together, so that temperatures are better known "
        "than each factor by itself."
    )
    yield Title("Channels, read against predicted")
    yield Rows(CHANNELS, [_channel(channel) for channel in found.learnt.channels])
    yield Line("Off is the root mean square of read less predicted, with the probes' lag in the prediction.")
    yield Title("What the log cannot tell")
    yield from (Line(text, mark="-") for text in untold(found.learnt))
    yield Title("What is left")
    yield from (Line(text, mark="-") for text in left(found))
    notes = (*found.learnt.notes, *_aside(found.learnt))
    if notes:
        yield Title("About the log")
        yield from (Line(text, mark="-") for text in notes)


def verdict(found: Calibrated) -> str:
    """Return the answer in one sentence."""
    used = [entry for entry in found.learnt.channels if entry.samples and entry.state != "set aside"]
    before, after = (_mean_square_root([getattr(e, name) for e in used]) for name in ("before_c", "after_c"))
    log = found.log.sha256[:HASH_SIGNS]
    return (
        f"{found.fit.nozzle.id} calibrated with log {log} of {found.calibration.date}: over "
        f"{counted(len(used), 'channel')} the model was off by {figure(before, 1)} C, now by {figure(after, 1)} C."
    )


def untold(learnt: Learnt) -> tuple[str, ...]:
    """Return what the log does not tell of."""
    names = [name for name in NAMES if name not in learnt.told]
    if not names:
        return ("nothing that it was asked",)
    return (f"{listed([DOUBTS[name] for name in names])}: left alone, with the spread held before",)


def left(found: Calibrated) -> tuple[str, ...]:
    """Return what the fit does not account for."""
    learnt = found.learnt
    lasting = f"; a misfit lasts about {figure(learnt.lasting_s)} s" if learnt.lasting_s >= 1 else ""
    stand_in = figure(learnt.stand_in_c, 1)
    return (
        *_poor(learnt),
        f"Misfit {figure(learnt.misfit_c, 1)} C beside {figure(learnt.noise_c, 1)} C of noise{lasting}.",
        f"The small model that was fitted lies {stand_in} C (root mean square) off the full one; this was put right.",
        *(_shield(entry) for entry in found.shields),
        _credit(found),
    )


def _poor(learnt: Learnt) -> tuple[str, ...]:
    """Return a warning where the model does not follow the run."""
    used = [entry for entry in learnt.channels if entry.state == "used" and entry.after_c is not None]
    if learnt.misfit_c <= POOR_C:
        return ()
    worst = max(used, key=lambda entry: entry.after_c or 0.0, default=None)
    where = "" if worst is None else f", least on {worst.name} ({worst.on})"
    look = "look at probes, stages and nozzle before you trust it; reviews carry the misfit in their spread"
    return (f"The model does NOT follow this run{where}: {look}.",)


def _credit(found: Calibrated) -> str:
    if found.calibration.shield_seen:
        return "Shields are credited in full from now on: a run with one on bore the model out."
    most = figure(number("covers", "credit", "most_c"))
    return f"Shields stay credited with at most {most} C, until a run with one on bears the model out."


def _shield(entry: ShieldTold) -> str:
    verdict_of = "bears the model out" if entry.bears_out else "does not bear the model out"
    return (
        f"{entry.channel}, behind a shield: computed to gain {figure(entry.gain_c)} C, read {figure(entry.off_c, 1)} C "
        f"off while hot; this {verdict_of}."
    )


def _aside(learnt: Learnt) -> tuple[str, ...]:
    texts = {
        "dead": "shows next to nothing of the heat: dead, or not on the board",
        "set aside": "is off by far more than the others: not on its place, or not where the run file says; set aside",
    }
    return tuple(
        f"{entry.name} ({entry.on}) {texts[entry.state]}" if entry.state in texts else _came_off(entry)
        for entry in learnt.channels
        if entry.state != "used"
    )


def _came_off(entry: ChannelTold) -> str:
    return f"{entry.name} ({entry.on}) left the board {figure(entry.since_s)} s into the run; not used from there on"


def _factor(name: str, learnt: Learnt) -> tuple[str, ...]:
    before, after = learnt.before, learnt.after
    return (
        name,
        DOUBTS[name],
        figure(getattr(before.factors, name), 2),
        figure(before.spread[name] * 100, 1),
        figure(getattr(after.factors, name), 2),
        figure(after.spread[name] * 100, 1),
        "yes" if name in learnt.told else "no",
        "this board" if name in OF_THE_BOARD else "every board",
    )


def _channel(entry: ChannelTold) -> tuple[str, ...]:
    state = entry.state if entry.since_s is None else f"{entry.state} at {figure(entry.since_s)} s"
    return (
        entry.name,
        entry.on,
        state,
        str(entry.samples),
        figure(entry.before_c, 1),
        figure(entry.after_c, 1),
        figure(entry.mean_after_c, 1),
        figure(entry.peak_c),
        figure(entry.peak_before_c),
        figure(entry.peak_after_c),
    )


def _mean_square_root(values: list[float]) -> float:
    return float((sum(value**2 for value in values) / max(len(values), 1)) ** 0.5)
