"""A calibration as text: what the log taught, how well the model follows it now, and what it cannot tell."""

from collections.abc import Iterator

from leeward.calibrate.calibration import Calibrated, ShieldTold
from leeward.calibrate.learn import ChannelTold, Learnt
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
        "Spreads are one standard deviation; after a fit factors go together, so that temperatures are better known than "
        "each factor by itself."
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
        f"{counted(len(used), 'channel')} the model was off by {figure(before, 1)} C, and is by {figure(after, 1)} C now."
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
    texts = [
        f"Misfit {figure(learnt.misfit_c, 1)} C beside {figure(learnt.noise_c, 1)} C of noise"
        + (f"; a misfit lasts about {figure(learnt.lasting_s)} s." if learnt.lasting_s else "."),
        f"The small model that was fitted is up to {figure(learnt.stand_in_c, 1)} C off the full one on these places, "
        "which was put right.",
    ]
    if learnt.misfit_c > POOR_C:
        worst = max((e for e in learnt.channels if e.state == "used"), key=lambda e: e.after_c or 0.0, default=None)
        where = f", most on {worst.name} ({worst.on})" if worst else ""
        texts.insert(
            0,
            f"The model does NOT follow this run{where}: look at probes, stages and nozzle before you trust it. Reviews "
            "carry the misfit in their spread.",
        )
    texts += [_shield(entry) for entry in found.shields]
    most = figure(number("covers", "credit", "most_c"))
    credit = "shields are credited in full from now on" if found.calibration.shield_seen else f"shields stay at {most} C"
    texts.append(f"Credit: {credit}; a log with a shield on that did what was computed lifts the limit.")
    return tuple(texts)


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
        figure(before.spread[name] * 100),
        figure(getattr(after.factors, name), 2),
        figure(after.spread[name] * 100),
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
