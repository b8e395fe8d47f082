"""The command line: `leeward COMMAND`."""

import gc
import platform
import sys
import traceback
from collections.abc import Sequence

import click

from leeward import __version__
from leeward.cli.exit_codes import MEANINGS, ExitCode
from leeward.cli.group import COMMANDS, Commands
from leeward.cli.streams import say, say_error, use_utf8
from leeward.errors import LeewardError

SHORT_HELP = (
    "usage: leeward COMMAND ... (-h for help)\n"
    + "".join(f"  {name:<8} {text}\n" for name, text in COMMANDS.items())
    + "for example: leeward review board.kicad_pcb U1\n"
)
CODES = "\b\nExit codes:\n" + "\n".join(f"  {code.value:>3}  {text}" for code, text in MEANINGS.items())


def _print_version(context: click.Context, _parameter: click.Parameter, wanted: bool) -> None:
    if wanted:
        from leeward.board.names import NEWEST_KNOWN  # noqa: PLC0415  # brings numpy with it, wanted here only

        click.echo(f"leeward {__version__}\nPython {platform.python_version()}")
        click.echo(f"reads KiCad board files (.kicad_pcb) of KiCad 4 to 10, format versions up to {NEWEST_KNOWN}")
        context.exit()


@click.group(
    cls=Commands,
    invoke_without_command=True,
    epilog=CODES,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100},
)
@click.option(
    "--version", is_flag=True, is_eager=True, expose_value=False, callback=_print_version,
    help="Print the versions of leeward, Python and the files it reads.",
)  # fmt: skip
@click.option("--debug", is_flag=True, expose_value=False, help="Show where in the program an error arose.")
@click.pass_context
def leeward(context: click.Context) -> None:
    """\b
    leeward review board.kicad_pcb U1
    leeward parts board.kicad_pcb --format json -o parts.json

    What a hot-air rework of one part will do to the board around it: who stands in the heat, which nozzle fits,
    what to shield, which joints melt last, which pads lift.
    """  # noqa: D205, D301, D400  # the text is the help; \b keeps the two examples on their lines
    if context.invoked_subcommand is None:
        sys.stderr.write(SHORT_HELP)
        context.exit(ExitCode.USAGE)


def run(arguments: Sequence[str]) -> ExitCode:
    """Run one command and return its exit code; errors are told on standard error, in one line each."""
    try:
        code = leeward.main(list(arguments), prog_name="leeward", standalone_mode=False)
    except (click.Abort, KeyboardInterrupt):
        return ExitCode.INTERRUPTED
    except Exception as error:  # noqa: BLE001  # the last stop: everything is told, and a fault has its own exit code
        if "--debug" in arguments:
            traceback.print_exc()
        return _tell(error)
    return ExitCode(code or ExitCode.DONE)


def _tell(error: Exception) -> ExitCode:
    """Say what went wrong and return the exit code that goes with it."""
    if isinstance(error, LeewardError):
        say_error(error)
        return ExitCode(error.exit_code)
    if isinstance(error, click.ClickException):
        say(f"leeward: {_worded(error)}")
        return ExitCode.USAGE
    say(f"a fault in leeward: {type(error).__name__}: {error}; run `leeward --debug ...` and report it")
    return ExitCode.FAULT


def _worded(error: click.ClickException) -> str:
    """Return a usage error as what is wrong and what to do."""
    context = error.ctx if isinstance(error, click.UsageError) else None
    path = context.command_path if context is not None else "leeward"
    what = error.format_message().rstrip(".")
    what = what[0].lower() + what[1:]
    return f"{what}; see `{path} -h`"


def main(arguments: Sequence[str] | None = None) -> None:
    """Run the command line and end the program with its exit code."""
    use_utf8()
    gc.set_threshold(100_000)  # a board is a tree of many small lists: looking for rings in it costs a tenth of a run
    sys.exit(run(sys.argv[1:] if arguments is None else arguments))
