"""`leeward review`: what hot air on a part will do to the board around it."""

from collections.abc import Sequence
from typing import Any

import click

from leeward.bench.at_hand import with_at_hand
from leeward.bench.read import read_bench
from leeward.bench.records import Bench
from leeward.board.records import Board
from leeward.cli.exit_codes import ExitCode
from leeward.cli.inputs import board_and_parts, overrides_of
from leeward.cli.options import (
    SHEETS,
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
from leeward.cli.settings import at_hand_of, held_place, request_of, setting_options
from leeward.cli.streams import say_notes
from leeward.errors import NothingAssessed, UsageError
from leeward.job import Request, WorkSequence, find_targets, order, settle
from leeward.parts.records import Alloy, Part, Parts
from leeward.report.as_json import to_json
from leeward.report.screen import Screen, screen
from leeward.report.text_review import review_text
from leeward.report.write import refuse_inputs, write
from leeward.review.judge import judge
from leeward.review.records import Priority, Review

AT_OR_ABOVE: dict[Priority, tuple[Priority, ...]] = {
    "high": ("high",),
    "medium": ("high", "medium"),
    "low": ("high", "medium", "low"),
}


@click.command()
@board_argument
@click.argument("refs", metavar="REF...", nargs=-1, required=True)
@bench_option
@parts_option
@models_option
@alloy_option
@setting_options
@click.option("--fail-on", type=click.Choice(list(AT_OR_ABOVE)),
              help="Exit with 1 for a finding of this priority or above.")  # fmt: skip
@format_option(SHEETS)
@click.option("--all", "everything", is_flag=True, help="Print lists whole.")
@output_option
def review(
    *,
    board: str,
    refs: tuple[str, ...],
    bench_file: str | None,
    parts_file: str | None,
    models: tuple[str, ...],
    alloy: Alloy,
    wanted: Format | None,
    everything: bool,
    output: str | None,
    fail_on: Priority | None,
    **settings: Any,  # noqa: ANN401  # values of the held options, checked by their callbacks
) -> int:
    """\b
    leeward review board.kicad_pcb U1
    leeward review board.kicad_pcb U1 U4 --bench bench.toml --fail-on high -o job.html

    Say what hot air on each part REF of BOARD will do to the board around it, and what to do about it.
    """  # noqa: D205, D301, D400  # the text is the help; \b keeps the two examples on their lines
    form = chosen_format(wanted, output, SHEETS)
    refuse_inputs(output, [board, bench_file, parts_file])
    request = request_of(refs, alloy, settings)
    bench = with_at_hand(read_bench(bench_file), at_hand_of(settings))
    read_board, parts = board_and_parts(board, overrides_of(parts_file), models, alloy)
    if form == "text":
        say_notes(board, read_board.notes)
    try:
        found = _assess(request, read_board, parts, bench)
    except NothingAssessed as error:
        if form == "json":
            from leeward.report.review_documents import nothing_assessed  # noqa: PLC0415  # the same as below

            write(to_json(nothing_assessed(read_board, refs, f"{error.what}; {error.do}")), output)
        raise
    held = held_place(request.nozzle)
    write(_result(form, read_board, *found, held, screen(output), everything=everything), output)
    return exit_code(found[0], fail_on)


def _result(
    form: Format,
    board: Board,
    reviews: Sequence[Review],
    sequence: WorkSequence,
    held: Sequence[str],
    shown_on: Screen,
    *,
    everything: bool,
) -> str | bytes:
    """Return the answer in the form that was chosen."""
    if form == "text":
        return shown_on.text(review_text(reviews, sequence, held, everything=everything))
    if form == "json":
        from leeward.report.review_documents import review_document  # noqa: PLC0415  # slow to import, text needs none

        return to_json(review_document(board, reviews, sequence, held))
    from leeward.report.sheet import job_sheet  # noqa: PLC0415  # drawings take time to import, text needs none

    if form == "html":
        from leeward.report.page import sheet_page  # noqa: PLC0415  # the same

        return sheet_page(job_sheet(board, reviews, sequence, held))
    from leeward.report.pdf import sheet_pdf  # noqa: PLC0415  # the same

    return sheet_pdf(job_sheet(board, reviews, sequence, held))


def _assess(request: Request, board: Board, parts: Parts, bench: Bench) -> tuple[list[Review], WorkSequence]:
    """Return the reviews of all targets and the order to work in. Raises NothingAssessed or UsageError."""
    targets = find_targets(board, parts, request.refs)
    _check_cycles(request, targets)
    reviews = [judge(settle(request, target, board, parts, bench)) for target in targets]
    return reviews, order([review.case for review in reviews])


def _check_cycles(request: Request, targets: Sequence[Part]) -> None:
    """Raise UsageError where heat cycles are given for what is no target."""
    named = {name for target in targets for name in (target.ref, target.id)}
    for name in request.cycles:
        if name not in named:
            raise UsageError(f"--cycles names {name}, which is not reviewed", do="name one of the targets")


def exit_code(reviews: Sequence[Review], fail_on: Priority | None) -> ExitCode:
    """Return GATE where a finding that is not waived is at or above the gate, else DONE."""
    stopped = () if fail_on is None else AT_OR_ABOVE[fail_on]
    open_findings = [finding for review in reviews for finding in review.findings if finding.waived is None]
    return ExitCode.GATE if any(finding.priority in stopped for finding in open_findings) else ExitCode.DONE
