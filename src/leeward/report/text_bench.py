"""A bench as text: what it holds, nozzle by nozzle and recipe by recipe."""

from collections.abc import Iterator

from leeward.bench.records import Bench, Calibration, Nozzle, Stage, StartingRecipe
from leeward.report.bench_words import HASH_SIGNS
from leeward.report.columns import Column, Rows, long, words
from leeward.report.screen import Block, Line, Title
from leeward.report.wording import counted, figure

NOZZLES = (
    words("Nozzle"),
    words("Outlet"),
    Column("Inside", "mm", "left"),
    Column("Wall", "mm"),
    Column("Skirt", "mm"),
    Column("Slot", "mm"),
    Column("Vents up", "%"),
)


CALIBRATIONS = (
    words("Nozzle"),
    words("Date"),
    words("Logs"),
    Column("Misfit", "C"),
    words("Shield seen"),
    long("Factors and their spread"),
)


def bench_text(bench: Bench) -> Iterator[Block]:
    """Yield the blocks of the text."""
    station, heater = bench.station, bench.board_heater
    yield Line(
        f"{bench.name}: {counted(len(bench.nozzles), 'nozzle')}, {counted(len(bench.recipes), 'recipe')}, room at "
        f"{bench.ambient_c:g} C",
        style="bold",
    )
    yield Line(
        f"Air {station.least_c:g} to {station.most_c:g} C, {station.least_l_min:g} to {station.most_l_min:g} l/min; "
        f"board heater: {heater.kind}, up to {heater.most_c:g} C; stand-off {bench.boxed_standoff_mm:g} mm boxed, "
        f"{bench.round_standoff_mm:g} mm round; placed within {bench.placement_mm:g} mm"
    )
    yield Line(_cups(bench))
    yield Title("Nozzles")
    yield Rows(NOZZLES, [_nozzle(nozzle) for nozzle in bench.nozzles])
    if bench.calibrations:
        yield Title("Calibrations")
        yield Rows(CALIBRATIONS, [_calibration(entry) for entry in bench.calibrations])
    yield Title("Recipes")
    yield from (Line(_recipe(recipe), mark="-") for recipe in bench.recipes)


def _calibration(entry: Calibration) -> tuple[str, ...]:
    factors = [f"{f.name} {figure(f.value, 2)} ({figure(f.spread * 100, 1)} %)" for f in entry.factors]
    logs = ", ".join(log[:HASH_SIGNS] for log in entry.logs)
    seen = "yes" if entry.shield_seen else "no"
    return entry.nozzle, entry.date, logs, figure(entry.misfit_c, 1), seen, ", ".join(factors)


def _cups(bench: Bench) -> str:
    told = ", ".join(f"{cup.id} ({cup.diameter_mm:g} mm, up to {cup.bears_c:g} C)" for cup in bench.cups)
    return f"Cups at {bench.vacuum_kpa:g} kPa of vacuum: {told or 'none'}"


def _nozzle(nozzle: Nozzle) -> tuple[str, ...]:
    width, length = nozzle.aperture_mm
    inside = f"bore {width:g}" if nozzle.outlet == "round" else f"{width:g} x {length:g}"
    sides = f", {nozzle.slot_sides} sides" if nozzle.outlet == "perimeter-slot" else ""
    return (
        nozzle.id,
        nozzle.outlet + sides,
        inside,
        figure(nozzle.wall_mm, 1),
        figure(nozzle.skirt_height_mm, 1),
        figure(nozzle.slot_width_mm, 1),
        figure(nozzle.vented_up_fraction * 100),
    )


def _recipe(recipe: StartingRecipe) -> str:
    stages = "; ".join(_stage(stage) for stage in recipe.stages)
    return f"{', '.join(recipe.lead_styles)} up to {recipe.longest_mm:g} mm: {stages} ({recipe.source})"


def _stage(stage: Stage) -> str:
    told = [f"{stage.name} {stage.seconds:g} s"]
    if stage.air_c is not None and stage.flow_l_min is not None:
        told.append(f"air {stage.air_c:g} C at {stage.flow_l_min:g} l/min")
    if stage.board_heater_c is not None:
        told.append(f"heater {stage.board_heater_c:g} C")
    return ", ".join(told)
