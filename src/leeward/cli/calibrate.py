"""`leeward calibrate`: make the numbers this bench's own, from a thermocouple run; or plan that run."""

from dataclasses import dataclass
from pathlib import PurePath
from typing import Any

import click

from leeward.bench.fit import Fixed
from leeward.bench.read import DEFAULT_NAME, parse, text_of
from leeward.bench.records import Bench
from leeward.bench.write import with_calibration
from leeward.board.records import Board
from leeward.calibrate.calibration import Calibrated, Source, placed
from leeward.calibrate.calibration import calibrate as calibrated
from leeward.calibrate.cautions import run_cautions
from leeward.calibrate.plan import plan
from leeward.cli.exit_codes import ExitCode
from leeward.cli.inputs import board_and_parts, overrides_of
from leeward.cli.options import (
    Format,
    alloy_option,
    bench_option,
    board_argument,
    chosen_format,
    format_option,
    models_option,
    output_option,
    parts_option,
)
from leeward.cli.settings import place_options
from leeward.cli.streams import say_notes, say_text
from leeward.errors import UsageError
from leeward.heat.doubt import doubt_of
from leeward.heat.recipe import Held, starting_recipe
from leeward.job import find_target, loads_of
from leeward.parts.records import Alloy, Part, Parts
from leeward.report.as_json import to_json
from leeward.report.calibration_documents import calibration_document, plan_document
from leeward.report.screen import screen
from leeward.report.text_calibration import calibration_text
from leeward.report.text_plan import plan_text
from leeward.report.toml_run import run_skeleton
from leeward.report.write import refuse_inputs, write

FORMS: tuple[Format, ...] = ("text", "json", "toml")
MOST_CHANNELS, USUAL_CHANNELS = 16, 4
LONGEST_DATE = 40


@dataclass(frozen=True, slots=True)
class Asked:
    """What a command is about: the board, its parts, the target and the bench."""

    board: Board
    parts: Parts
    target: Part
    bench: Bench


def date_told(context: click.Context, parameter: click.Parameter, value: str | None) -> str | None:
    """Return a date as it was given, if it can stand in one line. Raises click.BadParameter."""
    if value is None:
        return None
    told = value.strip()
    if not told or len(told) > LONGEST_DATE or not told.isprintable():
        raise click.BadParameter(f"a date has 1 to {LONGEST_DATE} signs", context, parameter)
    return told


@click.command()
@board_argument
@click.argument("ref", metavar="REF")
@click.argument("log", metavar="[LOG]", required=False)
@click.option("--run", "run_file", metavar="FILE",
              help="Where probes sat and what was set; if not given, LOG's name with the ending .toml.")  # fmt: skip
@click.option("--date", metavar="DATE", callback=date_told, help="When the run was made, as it is shown later.")
@click.option("--add", is_flag=True, help="Add the run to what is known of the nozzle, instead of beginning anew.")
@click.option("--plan", "planned", is_flag=True, help="Say where to put thermocouples and what to run.")
@click.option("--channels", type=click.IntRange(1, MOST_CHANNELS), default=USUAL_CHANNELS, metavar="N",
              help=f"Thermocouples to plan for; {USUAL_CHANNELS} if not given.")  # fmt: skip
@click.option("--report", "report_file", metavar="FILE", help="Write the report there too, as .txt or .json.")
@place_options
@bench_option
@parts_option
@models_option
@alloy_option
@format_option(FORMS)
@output_option
def calibrate(
    *,
    board: str,
    ref: str,
    log: str | None,
    bench_file: str | None,
    parts_file: str | None,
    models: tuple[str, ...],
    alloy: Alloy,
    wanted: Format | None,
    output: str | None,
    **options: Any,  # noqa: ANN401  # of the run and the plan, checked by their callbacks
) -> int:
    """\b
    leeward calibrate board.kicad_pcb U1 --plan -o run.toml
    leeward calibrate board.kicad_pcb U1 run.csv --run run.toml --date 2026-03-02 --bench bench.toml -o bench.toml

    Fit the model to a thermocouple run on part REF of BOARD, and write what it taught about the nozzle into the bench
    file (-o FILE.toml; the report then goes to standard error). Or plan that run: where to put the probes, what to set.
    """  # noqa: D205, D301, D400  # the text is the help; \b keeps the two examples on their lines
    form = chosen_format(wanted, output, FORMS)
    source = _source(log, options)
    read_files = [board, log, parts_file, source.run_file if source else None]
    refuse_inputs(output, [*read_files, None if source else bench_file])
    refuse_inputs(options["report_file"], [*read_files, bench_file, output])
    bench_text = text_of(bench_file)
    bench_name = bench_file or DEFAULT_NAME
    read_board, parts = board_and_parts(board, overrides_of(parts_file), models, alloy)
    if form == "text":
        say_notes(board, read_board.notes)
    asked = Asked(read_board, parts, find_target(read_board, parts, ref), parse(bench_text, bench_name))
    if source is None:
        _plan(asked, alloy, options, form, output)
        return ExitCode.DONE
    found = calibrated(asked.board, asked.parts, asked.target, asked.bench, source)
    if form == "toml":
        write(with_calibration(bench_text, found.calibration, bench_name), output)
        say_text(screen(None).text(calibration_text(found)))
    else:
        write(_report(found, form, output), output)
    if options["report_file"] is not None:
        write(
            _report(found, chosen_format(None, options["report_file"]), options["report_file"]), options["report_file"]
        )
    return ExitCode.DONE


def _source(log: str | None, options: dict[str, Any]) -> Source | None:
    """Return where a calibration is to come from, None for a plan. Raises UsageError where the two are mixed."""
    if options["planned"]:
        if log is not None:
            raise UsageError("a plan is made without a log", do="leave out LOG, or --plan")
        return None
    if log is None:
        raise UsageError("there is no log to calibrate with", do="name it, or plan a run with --plan")
    held = [name for name in ("nozzle", "rotation", "standoff") if options[name] is not None]
    if held:
        raise UsageError(f"--{held[0]} holds for a plan alone", do="put it into the run file")
    if options["date"] is None:
        raise UsageError("the run has no date", do="say when it was made: --date 2026-03-02")
    return Source(log, options["run_file"] or str(PurePath(log).with_suffix(".toml")), options["date"], options["add"])


def _plan(asked: Asked, alloy: Alloy, options: dict[str, Any], form: Format, output: str | None) -> None:
    target, bench = asked.target, asked.bench
    fit = placed(asked.parts, target, bench, Fixed(options["nozzle"], options["rotation"], options["standoff"]))
    doubt = doubt_of(fit.nozzle, bench, asked.board.sha256)
    recipe = starting_recipe(bench, target, fit.nozzle, alloy, Held())
    loads = loads_of(fit, target, bench, doubt.factors)
    made = plan(asked.board, asked.parts, target, loads, recipe, doubt, options["channels"])
    cautions = run_cautions(asked.parts)
    if form == "toml":
        write(run_skeleton(made, asked.parts, target.ref), output)
        say_text(screen(None).text(plan_text(made, target, cautions)))
    elif form == "json":
        write(to_json(plan_document(made, asked.board, target, asked.parts, cautions)), output)
    else:
        write(screen(output).text(plan_text(made, target, cautions)), output)


def _report(found: Calibrated, form: Format, output: str | None) -> str:
    return to_json(calibration_document(found)) if form == "json" else screen(output).text(calibration_text(found))
