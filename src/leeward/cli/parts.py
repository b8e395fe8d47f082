"""`leeward parts`: what each part of a board was taken to be."""

import click

from leeward.cli.exit_codes import ExitCode
from leeward.cli.inputs import board_and_parts, overrides_of
from leeward.cli.options import (
    Format,
    alloy_option,
    board_argument,
    chosen_format,
    format_option,
    models_option,
    output_option,
    parts_option,
)
from leeward.cli.streams import say_error, say_notes
from leeward.errors import NothingAssessed, Place, UsageError
from leeward.parts.records import Alloy
from leeward.parts.unsure import only_unsure
from leeward.report.as_json import to_json
from leeward.report.board_documents import parts_document
from leeward.report.screen import screen
from leeward.report.text_parts import parts_text
from leeward.report.toml_parts import parts_skeleton
from leeward.report.write import refuse_inputs, write

FORMS: tuple[Format, ...] = ("text", "json", "toml")


@click.command(no_args_is_help=False)
@board_argument
@alloy_option
@parts_option
@models_option
@click.option("--unsure", is_flag=True, help="Only what is guessed; as toml, a parts file to fill in.")
@format_option(FORMS)
@output_option
def parts(
    *,
    board: str,
    alloy: Alloy,
    parts_file: str | None,
    models: tuple[str, ...],
    unsure: bool,
    wanted: Format | None,
    output: str | None,
) -> int:
    """\b
    leeward parts board.kicad_pcb
    leeward parts board.kicad_pcb --unsure -o known.toml
    leeward parts board.kicad_pcb --parts known.toml --format json -o parts.json

    Say what each part of BOARD was taken to be, where that came from and how sure it is.
    """  # noqa: D205, D301, D400  # the text is the help; \b keeps the examples on their lines
    form = chosen_format(wanted, output, FORMS)
    if form == "toml" and not unsure:
        raise UsageError("a parts file to fill in holds what is guessed", do="give --unsure with it")
    refuse_inputs(output, [board, parts_file])
    read_board, everything = board_and_parts(board, overrides_of(parts_file), models, alloy)
    found = only_unsure(everything) if unsure else everything
    if form == "text":
        say_notes(board, read_board.notes)
        write(screen(output).text(parts_text(read_board, found)), output)
    elif form == "toml":
        write(parts_skeleton(read_board, everything), output)
    else:
        write(to_json(parts_document(read_board, found)), output)
    if not everything.by_id:
        say_error(NothingAssessed("no part on this board has a pad", do="give a board with parts", place=Place(board)))
        return ExitCode.NOTHING_ASSESSED
    return ExitCode.DONE
