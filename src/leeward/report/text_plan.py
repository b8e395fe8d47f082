"""The plan of a thermocouple run as text: where the probes go, what to run, how often, and what to heed."""

from collections.abc import Iterator, Sequence

from leeward.bench.records import Stage
from leeward.calibrate.plan import OF_THE_BENCH, Placed, Plan
from leeward.heat.factors import NAMES
from leeward.parts.records import Part
from leeward.report.columns import Column, Rows, words
from leeward.report.screen import Block, Line, Title
from leeward.report.wording import DOUBTS, counted, figure, listed, turn

PROBES = (
    words("Probe"),
    words("On"),
    Column("x", "mm"),
    Column("y", "mm"),
    words("Side"),
    Column("Tells", "%"),
    words("Most of"),
)
STAGES = (words("Stage"), Column("Time", "s"), Column("Air", "C"), Column("Flow", "l/min"), Column("Board heater", "C"))
GAINS = (words("Factor"), words("On"), Column("Spread before", "%"), Column("after", "%"))


def plan_text(plan: Plan, target: Part, cautions: Sequence[str]) -> Iterator[Block]:
    """Yield the blocks of the text."""
    yield Line(_verdict(plan, target), style="bold")
    yield Line(
        "On a scrap board of like copper, best of the same design. The places are those that tell most by the model, "
        f"of {plan.candidates} looked at."
    )
    yield Title("Thermocouples, the one that tells most first")
    yield Rows(PROBES, [_probe(entry) for entry in plan.probes])
    for count, run in enumerate(plan.runs, 1):
        yield Title(f"Run {count}: {run.what}")
        yield Rows(STAGES, [_stage(stage) for stage in run.stages])
    yield Title("What to expect of it")
    after = plan.spread_after[-1]
    yield Rows(GAINS, [_gain(NAMES[at], plan.spread_before, after) for at in OF_THE_BENCH])
    yield Line(_neighbours(plan))
    yield Title("Then")
    yield Line(
        "Write the run file: leeward calibrate BOARD REF --plan -o run.toml. Name its channels as the log does.",
        mark="1.",
    )
    yield Line("Run, log, and note in it what was really set and when the first stage began.", mark="2.")
    yield Line(
        "leeward calibrate BOARD REF LOG.csv --run run.toml --date DATE --bench bench.toml -o bench.toml", mark="3."
    )
    yield Title("Cautions")
    yield from (Line(caution, mark="!") for caution in cautions)


def _verdict(plan: Plan, target: Part) -> str:
    fit = plan.loads.fit
    return (
        f"{target.ref}: {counted(len(plan.runs), 'run')} with nozzle {fit.nozzle.id} (turned {turn(fit.rotation_deg)} "
        f"degrees, {fit.standoff_mm:g} mm above the board) and {counted(len(plan.probes), 'thermocouple')}."
    )


def _probe(entry: Placed) -> tuple[str, ...]:
    told = listed([DOUBTS[name] for name in entry.tells]) or "little that the others do not"
    spot = entry.spot
    return entry.name, spot.on, figure(spot.x_mm, 1), figure(spot.y_mm, 1), spot.side, figure(entry.share * 100), told


def _stage(stage: Stage) -> tuple[str, ...]:
    air = "off" if stage.air_c is None else figure(stage.air_c)
    flow = "off" if stage.flow_l_min is None else figure(stage.flow_l_min, 1)
    heater = "off" if stage.board_heater_c is None else figure(stage.board_heater_c)
    return stage.name, figure(stage.seconds), air, flow, heater


def _gain(name: str, before: dict[str, float], after: dict[str, float]) -> tuple[str, ...]:
    return name, DOUBTS[name], figure(before[name] * 100, 1), figure(after[name] * 100, 1)


def _neighbours(plan: Plan) -> str:
    runs = [
        f"{figure(each, 1)} C after {counted(count, 'run')}" for count, each in enumerate(plan.neighbours_after_c, 1)
    ]
    return (
        f"The neighbours' peaks are good to {figure(plan.neighbours_before_c)} C (one standard deviation) "
        f"before, {', '.join(runs)}. A run more shows how well runs repeat, which one run cannot."
    )
