"""Options that hold a job's settings and say what is at hand to shield with; `review` and `shields` share them."""

from collections.abc import Callable
from typing import Any, TypeVar

import click

from leeward.bench.at_hand import AtHand
from leeward.bench.fit import Fixed
from leeward.bench.records import FORMS, Form
from leeward.cli.options import heat_cycles, number, stage_seconds
from leeward.heat.recipe import Held
from leeward.job import Request
from leeward.parts.records import Alloy

FC = TypeVar("FC", bound=Callable[..., Any] | click.Command)
NARROWEST_MM, WIDEST_MM = 2.0, 500.0


def forms_at_hand(context: click.Context, parameter: click.Parameter, value: str | None) -> frozenset[Form] | None:
    """Return FORM,FORM as forms; "none" is no form at all. Raises click.BadParameter."""
    if value is None:
        return None
    names = [name.strip() for name in value.split(",") if name.strip() and name.strip() != "none"]
    unknown = [name for name in names if name not in FORMS]
    if unknown or not value.strip():
        raise click.BadParameter(f"no form {value!r}: {', '.join(FORMS)} or none", context, parameter)
    return frozenset(form for form in FORMS if form in names)


def roll_widths(context: click.Context, parameter: click.Parameter, values: tuple[str, ...]) -> tuple[float, ...]:
    """Return widths of rolls as numbers. Raises click.BadParameter."""
    convert = number(NARROWEST_MM, WIDEST_MM)
    return tuple(convert(context, parameter, value) for value in values)


HELD = (
    click.option("--nozzle", metavar="ID", help="Hold the nozzle: one of the bench's."),
    click.option("--rotation", metavar="DEG", callback=number(-360, 360),
                 help="Hold its turn, counter-clockwise as drawn."),
    click.option("--standoff", metavar="MM", callback=number(0.05, 100), help="Hold its height above the board."),
    click.option("--air", metavar="C", callback=number(0, 1000), help="Hold the air's temperature."),
    click.option("--flow", metavar="L_MIN", callback=number(0, 1000),
                 help="Hold the air's flow, standard litres a minute."),
    click.option("--board-heater", metavar="C", callback=number(0, 1000),
                 help="Hold the board heater's setting; 0: off."),
    click.option("--stage", "stages", metavar="NAME=SECONDS", multiple=True, callback=stage_seconds,
                 help="Hold the time of a stage: preheat, soak, reflow or cool."),
    click.option("--cycles", metavar="REF=N", multiple=True, callback=heat_cycles,
                 help="Earlier reworks of a target's site: each removal or refit once."),
    click.option("--have", metavar="FORM,...", callback=forms_at_hand,
                 help="What there is to shield with: tape, foil, fibre, gel; none: nothing."),
    click.option("--material", "materials", metavar="ID", multiple=True,
                 help="Shield with this material of the bench alone; may be repeated."),
    click.option("--roll-width", "roll_widths", metavar="MM", multiple=True, callback=roll_widths,
                 help="Width of a roll of tape that is at hand; may be repeated."),
)  # fmt: skip


PLACE = HELD[:3]


def place_options(command: FC) -> FC:
    """Return a command with the options that hold the nozzle and its place."""
    for option in reversed(PLACE):
        command = option(command)
    return command


def setting_options(command: FC) -> FC:
    """Return a command with the options that hold settings and say what is at hand."""
    for option in reversed(HELD):
        command = option(command)
    return command


def request_of(refs: tuple[str, ...], alloy: Alloy, settings: dict[str, Any]) -> Request:
    """Return what the options ask for."""
    return Request(
        refs=refs,
        alloy=alloy,
        nozzle=Fixed(settings["nozzle"], settings["rotation"], settings["standoff"]),
        held=Held(settings["air"], settings["flow"], settings["board_heater"], settings["stages"] or None),
        cycles=settings["cycles"],
    )


def at_hand_of(settings: dict[str, Any]) -> AtHand:
    """Return what the options say is at hand."""
    return AtHand(settings["have"], settings["materials"] or None, settings["roll_widths"] or None)


def held_place(nozzle: Fixed) -> tuple[str, ...]:
    """Return the options on nozzle and place that are held, by their names on the command line."""
    options = (("nozzle", nozzle.nozzle_id), ("rotation", nozzle.rotation_deg), ("standoff", nozzle.standoff_mm))
    return tuple(name for name, value in options if value is not None)
