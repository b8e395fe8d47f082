"""`leeward survey`: every part of a board as a target."""

import datetime
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

import click

from leeward.bench.read import read_bench
from leeward.bench.records import Bench
from leeward.cli.exit_codes import ExitCode
from leeward.cli.inputs import board_and_parts, overrides_of
from leeward.cli.options import (
    Format,
    alloy_option,
    bench_option,
    chosen_format,
    format_option,
    models_option,
    output_option,
    parts_option,
)
from leeward.cli.progress import progress
from leeward.cli.streams import say_error, say_notes
from leeward.errors import InputError, NothingAssessed, Place, UsageError
from leeward.parts.overrides import Overrides
from leeward.parts.records import Alloy
from leeward.report.as_json import to_json
from leeward.report.junit import to_junit
from leeward.report.sarif import to_sarif
from leeward.report.screen import screen
from leeward.report.survey_documents import survey_document
from leeward.report.text_survey import list_text, rule_text, survey_text
from leeward.report.write import refuse_inputs, write
from leeward.review.odds import PRIORITIES
from leeward.review.records import Priority
from leeward.survey.baseline import NO_BASELINE, read_baseline
from leeward.survey.pool import Workers, workers
from leeward.survey.records import Survey
from leeward.survey.rules import rules
from leeward.survey.spacing import profiles
from leeward.survey.survey import Wish, at_or_above, nothing_found
from leeward.survey.survey import survey as survey_of
from leeward.survey.waivers import read_waivers

FORMS: tuple[Format, ...] = ("text", "json", "html", "sarif", "junit")
BYTES_A_TARGET = 15_000  # of a board file, roughly
WORST_LAST = (ExitCode.DONE, ExitCode.GATE, ExitCode.NOTHING_ASSESSED, ExitCode.INPUT)


@dataclass(frozen=True, slots=True)
class Known:
    """What the boards are read with."""

    bench: Bench
    overrides: Overrides
    models: tuple[str, ...]
    alloy: Alloy


def _explain(context: click.Context, _parameter: click.Parameter, rule: str | None) -> None:
    if rule is None:
        return
    if rule not in rules():
        raise UsageError(f"no finding is called {rule}", do="see `leeward survey --list`")
    write(screen(None).text(rule_text(rules()[rule])), None)
    context.exit()


def _list(context: click.Context, _parameter: click.Parameter, wanted: bool) -> None:
    if wanted:
        write(screen(None).text(list_text()), None)
        context.exit()


@click.command()
@click.argument("boards", metavar="BOARD...", nargs=-1, required=True)
@click.option("--targets", "patterns", metavar="PATTERN", multiple=True,
              help="Only parts whose reference matches, such as 'U*'; may be repeated.")  # fmt: skip
@click.option("--geometry", is_flag=True, help="Nozzles and distances alone, for a board without copper yet.")
@click.option("--profile", type=click.Choice(list(profiles())), default=next(iter(profiles())), show_default=True,
              help="Whose distances are asked for beside the computed heat; see --list.")  # fmt: skip
@click.option("--fail-on", type=click.Choice(PRIORITIES),
              help="Exit with 1 for a finding of this priority or above that nobody has accepted.")  # fmt: skip
@click.option("--baseline", metavar="FILE", help="Only what is new since that survey's JSON.")
@click.option("--waivers", "waiver_file", metavar="FILE", help="Findings that are accepted, with reasons.")
@bench_option
@parts_option
@models_option
@alloy_option
@format_option(FORMS)
@click.option("--all", "everything", is_flag=True, help="Print lists whole.")
@output_option
@click.option("--explain", metavar="ID", is_eager=True, expose_value=False, callback=_explain,
              help="Say what a kind of finding means and where it comes from.")  # fmt: skip
@click.option("--list", is_flag=True, is_eager=True, expose_value=False, callback=_list,
              help="List the kinds of findings and the spacing profiles.")  # fmt: skip
def survey(
    *,
    boards: tuple[str, ...],
    patterns: tuple[str, ...],
    geometry: bool,
    profile: str,
    fail_on: Priority | None,
    baseline: str | None,
    waiver_file: str | None,
    bench_file: str | None,
    parts_file: str | None,
    models: tuple[str, ...],
    alloy: Alloy,
    wanted: Format | None,
    everything: bool,
    output: str | None,
) -> int:
    """\b
    leeward survey board.kicad_pcb -o survey.html
    leeward survey board.kicad_pcb --fail-on high --waivers waivers.toml --format sarif -o survey.sarif

    Ask of every fitted surface-mount part of each BOARD: could it be taken off with hot air, the rest left alone?
    """  # noqa: D205, D301, D400  # the text is the help; \b keeps the two examples on their lines
    form = chosen_format(wanted, output, FORMS)
    refuse_inputs(output, [*boards, baseline, waiver_file, bench_file, parts_file])
    wish = Wish(
        patterns=patterns,
        geometry_only=geometry,
        profile=profiles()[profile],
        waivers=() if waiver_file is None else read_waivers(waiver_file),
        baseline=NO_BASELINE if baseline is None else read_baseline(baseline),
        today=datetime.datetime.now(tz=datetime.UTC).date(),
    )
    known = Known(read_bench(bench_file), overrides_of(parts_file), models, alloy)
    with workers() as pool:
        pool.get_ready(_likely_targets(boards))
        found = [_one(file, known, wish, pool, say_the_notes=form == "text") for file in boards]
    surveys = [each for each, _ in found if each is not None]
    code = max((code for _, code in found), key=WORST_LAST.index)
    if surveys:
        write(_written(surveys, form, fail_on, output, everything=everything), output)
    gated = any(at_or_above(each.findings, fail_on) for each in surveys)
    return max(code, ExitCode.GATE if gated else ExitCode.DONE, key=WORST_LAST.index)


def _likely_targets(boards: Sequence[str]) -> int:
    """Return about how many targets there will be, by the files' sizes; what cannot be read is told later."""
    return sum(Path(file).stat().st_size // BYTES_A_TARGET for file in boards if Path(file).is_file())


def _one(file: str, known: Known, wish: Wish, pool: Workers, *, say_the_notes: bool) -> tuple[Survey | None, ExitCode]:
    """Return the survey of one board and how it went; what went wrong is told, and the other boards go on."""
    try:
        board, parts = board_and_parts(file, known.overrides, known.models, known.alloy)
    except InputError as error:
        say_error(error)
        return None, ExitCode.INPUT
    if say_the_notes:
        say_notes(file, board.notes)
    try:
        with progress(file) as told:
            return survey_of(board, parts, known.bench, wish, pool, told), ExitCode.DONE
    except NothingAssessed as error:
        say_error(NothingAssessed(error.what, do=error.do, place=Place(file)))
        return nothing_found(board, parts, wish), ExitCode.NOTHING_ASSESSED


def _written(
    surveys: Sequence[Survey], form: Format, gate: Priority | None, output: str | None, *, everything: bool
) -> str:
    if form == "json":
        return to_json(survey_document(surveys))
    if form == "html":
        from leeward.report.survey_page import survey_page  # noqa: PLC0415  # templates take time to import

        return survey_page(surveys)
    if form == "sarif":
        return to_sarif(surveys)
    if form == "junit":
        return to_junit(surveys, gate)
    return screen(output).text(survey_text(surveys, everything=everything))
