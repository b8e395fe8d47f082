"""`leeward shields`: what to cover round a target and with what, piece by piece, to cut and to lay."""

from typing import Any

import click

from leeward.bench.at_hand import with_at_hand
from leeward.bench.read import read_bench
from leeward.cli.exit_codes import ExitCode
from leeward.cli.inputs import board_and_parts, overrides_of
from leeward.cli.options import (
    CUT_FORMS,
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
from leeward.cli.settings import at_hand_of, request_of, setting_options
from leeward.cli.streams import say_notes
from leeward.errors import UsageError
from leeward.job import find_target, settle
from leeward.parts.records import Alloy
from leeward.report.screen import screen
from leeward.report.text_shields import shields_text
from leeward.report.write import refuse_inputs, write
from leeward.review.judge import judge
from leeward.review.records import Review


@click.command()
@board_argument
@click.argument("ref", metavar="REF")
@bench_option
@parts_option
@models_option
@alloy_option
@setting_options
@format_option(CUT_FORMS)
@output_option
def shields(
    *,
    board: str,
    ref: str,
    bench_file: str | None,
    parts_file: str | None,
    models: tuple[str, ...],
    alloy: Alloy,
    wanted: Format | None,
    output: str | None,
    **settings: Any,  # noqa: ANN401  # values of the held options, checked by their callbacks
) -> int:
    """\b
    leeward shields board.kicad_pcb U1
    leeward shields board.kicad_pcb U1 --have tape,foil --roll-width 10 --roll-width 25 -o shields.pdf

    Say what to cover round part REF of BOARD, with what and in what order, and what that brings. As svg, dxf or pdf:
    the plan over the board and every piece laid flat, in true size.
    """  # noqa: D205, D301, D400  # the text is the help; \b keeps the two examples on their lines
    form = chosen_format(wanted, output, CUT_FORMS)
    refuse_inputs(output, [board, bench_file, parts_file])
    request = request_of((ref,), alloy, settings)
    bench = with_at_hand(read_bench(bench_file), at_hand_of(settings))
    read_board, parts = board_and_parts(board, overrides_of(parts_file), models, alloy)
    if form == "text":
        say_notes(board, read_board.notes)
    review = judge(settle(request, find_target(read_board, parts, ref), read_board, parts, bench))
    if form == "text":
        write(screen(output).text(shields_text(review)), output)
    else:
        write(_drawn(form, review), output)
    return ExitCode.DONE


def _drawn(form: Format, review: Review) -> str | bytes:
    """Return the plan in true size. Raises UsageError where it has no piece."""
    from leeward.report.shield_drawing import shield_drawings, stacked  # noqa: PLC0415  # text needs none of these

    drawings = shield_drawings(review.case)
    if not drawings:
        raise UsageError("the plan has no piece to draw", do="see the decisions as text")
    if form == "pdf":
        from leeward.report.page_pdf import pages_pdf  # noqa: PLC0415

        return pages_pdf(drawings, f"Shields for {review.case.target.ref}")
    if form == "dxf":
        from leeward.report.dxf import dxf_file  # noqa: PLC0415

        return dxf_file(stacked(drawings))
    from leeward.report.svg import svg_file  # noqa: PLC0415

    return svg_file(stacked(drawings))
