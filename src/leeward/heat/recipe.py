"""The stages of a job: the bench's starting recipe for a lead style, with what the user holds put in."""

from collections.abc import Mapping
from dataclasses import dataclass, replace
from math import pi

from leeward.bench.records import Bench, Nozzle, Stage, StageName
from leeward.constants import number
from leeward.errors import UsageError
from leeward.heat.air import air, mass_flow_kg_s
from leeward.parts.records import Alloy, Part


@dataclass(frozen=True, slots=True)
class Held:
    """What the user fixed; None is left to the recipe."""

    air_c: float | None = None
    flow_l_min: float | None = None
    board_heater_c: float | None = None
    seconds: Mapping[StageName, float] | None = None

    @property
    def names(self) -> tuple[str, ...]:
        """The options that are held, by their names on the command line."""
        options = (("air", self.air_c), ("flow", self.flow_l_min), ("board-heater", self.board_heater_c))
        return (
            *(name for name, value in options if value is not None),
            *(f"stage {name}" for name in self.seconds or {}),
        )


@dataclass(frozen=True, slots=True)
class Recipe:
    """Stages in order, and how reflow ends: on the event that the coldest joint is liquid, or on the held time."""

    stages: tuple[Stage, ...]
    alloy: Alloy
    liquidus_c: float
    lift_at_c: float  # the coldest joint's temperature that ends reflow
    ends_on_melt: bool
    held: tuple[str, ...]
    source: str

    @property
    def warm_up(self) -> tuple[Stage, ...]:
        """The stages before reflow: preheat and soak."""
        return tuple(stage for stage in self.stages if stage.name in ("preheat", "soak"))

    @property
    def reflow(self) -> Stage:
        """The stage that ends on the lift."""
        return next(stage for stage in self.stages if stage.name == "reflow")


def starting_recipe(bench: Bench, target: Part, nozzle: Nozzle, alloy: Alloy, held: Held) -> Recipe:
    """Return the bench's recipe for a part's lead style and size, with the flow that suits the nozzle.

    Held values are put in as they are.

    Raises UsageError where a held value is outside the bench's range, or the bench has no recipe for such a part.
    """
    _check(bench, held)
    style, longest_mm = target.lead_style.value, max(*target.lead_span_mm, *target.body_mm.value)
    suiting = (recipe for recipe in bench.recipes if style in recipe.lead_styles and longest_mm <= recipe.longest_mm)
    start = next(suiting, None)
    if start is None:
        raise UsageError(
            f"the bench has no recipe for {style} parts of {longest_mm:.1f} mm",
            do="add one to the bench file",
        )
    return Recipe(
        stages=tuple(_hold(_turned_down(stage, nozzle, bench), held) for stage in start.stages),
        alloy=alloy,
        liquidus_c=number("materials", "alloy", alloy, "liquidus_c"),
        lift_at_c=number("materials", "alloy", alloy, "lift_at_c"),
        ends_on_melt="reflow" not in (held.seconds or {}),
        held=held.names,
        source=start.source,
    )


def _turned_down(stage: Stage, nozzle: Nozzle, bench: Bench) -> Stage:
    """Return a stage whose air leaves a round bore no faster than the bench allows, as far as the station goes."""
    if stage.air_c is None or stage.flow_l_min is None or nozzle.outlet != "round":
        return stage
    return replace(stage, flow_l_min=min(stage.flow_l_min, most_flow_l_min(nozzle, bench, stage.air_c)))


def most_flow_l_min(nozzle: Nozzle, bench: Bench, air_c: float) -> float:
    """Return the most flow that a nozzle is given: the station's, of a bore no faster than the bench allows."""
    station = bench.station
    if nozzle.outlet != "round":
        return station.most_l_min
    section_m2 = pi / 4 * (nozzle.aperture_mm[0] * 1e-3) ** 2
    most_kg_s = bench.round_most_m_s * section_m2 * float(air(air_c).density_kg_m3)
    return min(max(round(most_kg_s / mass_flow_kg_s(1.0), 1), station.least_l_min), station.most_l_min)


def _hold(stage: Stage, held: Held) -> Stage:
    seconds = (held.seconds or {}).get(stage.name, stage.seconds)
    heater = stage.board_heater_c
    if held.board_heater_c is not None and stage.name != "cool":
        heater = held.board_heater_c or None  # 0 turns it off
    if stage.air_c is None:
        return replace(stage, seconds=seconds, board_heater_c=heater)
    return replace(
        stage,
        seconds=seconds,
        board_heater_c=heater,
        air_c=stage.air_c if held.air_c is None else held.air_c,
        flow_l_min=stage.flow_l_min if held.flow_l_min is None else held.flow_l_min,
    )


def _check(bench: Bench, held: Held) -> None:
    station, heater = bench.station, bench.board_heater
    ranges = (
        ("--air", held.air_c, station.least_c, station.most_c, "C"),
        ("--flow", held.flow_l_min, station.least_l_min, station.most_l_min, "l/min"),
        ("--board-heater", held.board_heater_c or None, bench.ambient_c, heater.most_c, "C"),
    )
    for name, value, least, most, unit in ranges:
        if value is not None and not least <= value <= most:
            raise UsageError(
                f"{name} {value:g} is outside what the bench can do", do=f"give {least:g} to {most:g} {unit}"
            )
