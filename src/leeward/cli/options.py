"""Options that several commands share, and kinds of values that the command line knows."""

import math
from collections.abc import Callable, Mapping
from pathlib import PurePath
from typing import Any, Literal, TypeAlias, TypeVar, get_args

import click

from leeward.bench.records import STAGE_NAMES, StageName
from leeward.errors import UsageError
from leeward.parts.records import Alloy

FC = TypeVar("FC", bound=Callable[..., Any] | click.Command)
Callback: TypeAlias = Callable[[click.Context, click.Parameter, Any], Any]
Format = Literal["text", "json", "toml", "html", "pdf", "svg", "dxf", "sarif", "junit"]
FORMAT_OF_ENDING: Mapping[str, Format] = {
    ".txt": "text",
    ".json": "json",
    ".toml": "toml",
    ".html": "html",
    ".htm": "html",
    ".pdf": "pdf",
    ".svg": "svg",
    ".dxf": "dxf",
    ".sarif": "sarif",
    ".xml": "junit",
}
REPORTS: tuple[Format, ...] = ("text", "json")  # the forms that every report has
SHEETS: tuple[Format, ...] = (*REPORTS, "html", "pdf")  # and those of one that goes to the bench
CUT_FORMS: tuple[Format, ...] = ("text", "svg", "dxf", "pdf")  # of a shield plan, to cut by
LEAST_REFLOW_S, MOST_STAGE_S = 1.0, 3600.0
MOST_CYCLES = 100


def number(least: float, most: float) -> Callback:
    """Return a callback that makes a finite number within limits, both allowed, of an option's text."""

    def convert(context: click.Context, parameter: click.Parameter, value: str | None) -> float | None:
        return None if value is None else _number(value, least, most, context, parameter)

    return convert


def stage_seconds(
    context: click.Context, parameter: click.Parameter, values: tuple[str, ...]
) -> dict[StageName, float]:
    """Return NAME=SECONDS options as a mapping. Raises click.BadParameter."""
    found: dict[StageName, float] = {}
    for written, figure in _pairs(context, parameter, values).items():
        name = next((stage for stage in STAGE_NAMES if stage == written), None)
        if name is None:
            raise click.BadParameter(f"no stage {written!r}: {', '.join(STAGE_NAMES)}", context, parameter)
        least = LEAST_REFLOW_S if name == "reflow" else 0.0
        found[name] = _number(figure, least, MOST_STAGE_S, context, parameter)
    return found


def heat_cycles(context: click.Context, parameter: click.Parameter, values: tuple[str, ...]) -> dict[str, int]:
    """Return REF=N options as a mapping. Raises click.BadParameter."""
    pairs = _pairs(context, parameter, values)
    for figure in pairs.values():
        if not (figure.isascii() and figure.isdigit() and int(figure[:9]) <= MOST_CYCLES):
            raise click.BadParameter(f"{figure!r} is no whole number from 0 to {MOST_CYCLES}", context, parameter)
    return {name: int(figure) for name, figure in pairs.items()}


def _pairs(context: click.Context, parameter: click.Parameter, values: tuple[str, ...]) -> dict[str, str]:
    """Return NAME=FIGURE texts by name, each name given once."""
    pairs: dict[str, str] = {}
    for value in values:
        name, _, figure = value.rpartition("=")
        if not name:
            raise click.BadParameter(f"{value!r} is not of the form {parameter.metavar}", context, parameter)
        if name in pairs:
            raise click.BadParameter(f"{name} is given twice", context, parameter)
        pairs[name] = figure
    return pairs


def _number(text: str, least: float, most: float, context: click.Context, parameter: click.Parameter) -> float:
    try:
        found = float(text)
    except ValueError:
        found = math.nan
    if not least <= found <= most:  # nor is NaN within
        raise click.BadParameter(f"{text!r} is no number from {least:g} to {most:g}", context, parameter)
    return found


board_argument = click.argument("board", metavar="BOARD")
alloy_option = click.option(
    "--alloy",
    type=click.Choice(get_args(Alloy), case_sensitive=False),
    default="SAC305",
    metavar="|".join(get_args(Alloy)),
    help="The board's solder; SAC305 if not given.",
)
parts_option = click.option(
    "--parts", "parts_file", metavar="FILE", help="What you know better than the footprints tell."
)
bench_option = click.option("--bench", "bench_file", metavar="FILE", help="What you own; see `leeward bench`.")
models_option = click.option(
    "--models", metavar="DIR", multiple=True, help="Look for 3D models there first; may be repeated."
)
output_option = click.option(
    "-o", "--output", metavar="FILE", help="Write the result there instead of to standard output."
)


def format_option(forms: tuple[Format, ...] = REPORTS) -> Callable[[FC], FC]:
    """Return the option that chooses among the forms of a command's result."""
    return click.option(
        "--format",
        "wanted",
        type=click.Choice(forms),
        help="Form of the result; if not given, by the ending of -o FILE, else text.",
    )


def chosen_format(wanted: Format | None, output: str | None, forms: tuple[Format, ...] = REPORTS) -> Format:
    """Return the form of the result: by option, by the output's ending, else text.

    Raises UsageError where the two differ, or where the ending tells none of the command's forms and no option does.
    """
    ending = PurePath(output).suffix.lower() if output else ""
    told = next((form for form in forms if FORMAT_OF_ENDING.get(ending) == form), None)
    if wanted is not None and told is not None and wanted != told:
        raise UsageError(f"{output} ends like {told}, --format says {wanted}", do="let them agree")
    if wanted is None and told is None and ending:
        raise UsageError(
            f"no format is known by the ending {ending}", do=f"give --format, or end the name in {_endings(forms)}"
        )
    return wanted or told or "text"


def _endings(forms: tuple[Format, ...]) -> str:
    return " or ".join(ending for ending, form in FORMAT_OF_ENDING.items() if form in forms)
