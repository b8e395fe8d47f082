"""The work order: what to do, in order, and why."""

import numpy as np

from leeward.bench.records import Stage, StageName
from leeward.review.cans import lift_can
from leeward.review.drying import drying
from leeward.review.records import Case, Neighbour, ShieldKind, Step, Thermocouple
from leeward.review.thermocouples import coldest

STILL_C = 100.0  # the board is not moved above this; common practice, no source
CONFIRM = (
    "Lift only when melt is confirmed: a thermocouple on the last joint, or a nudge of 0.1 mm at most that floats "
    "back. Never by time."
)
COVERS: tuple[ShieldKind, ...] = ("air-mask", "barrier", "fence")
UNKNOWN_TO_FILE = "the board file does not know"
SHIELDING: dict[ShieldKind, tuple[str, str]] = {
    "take-off-first": ("Take off before any heat", "they bear no rework heat, and no cover makes them safe"),
    "air-mask": ("Cover with polyimide tape", "it stops moving air and loose chips, little heat"),
    "barrier": ("Put a heat barrier with an air gap over", "the gap holds the heat off, not the film"),
    "fence": ("Stand a fence against the nozzle's air before", "the wall jet is what heats them"),
}
TOUCH_C = 50.0  # nor touched above this; common practice, no source


def work_order(case: Case, neighbours: tuple[Neighbour, ...], places: tuple[Thermocouple, ...]) -> tuple[Step, ...]:
    """Return the steps from a cold board to a cool one."""
    steps = [
        *_prepare(case, neighbours, places),
        *(_stage(stage) for stage in case.recipe.stages if stage.name in ("preheat", "soak")),
        *_reflow(case),
        *_cool(case),
    ]
    return tuple(Step(number, do, why) for number, (do, why) in enumerate(steps, 1))


def _prepare(case: Case, neighbours: tuple[Neighbour, ...], places: tuple[Thermocouple, ...]) -> list[tuple[str, str]]:
    target = case.target
    return [
        ("Find out the board's alloy, its history of heat, and what is glued, coated or underfilled.", UNKNOWN_TO_FILE),
        *_shielding(neighbours, "take-off-first"),
        *drying(case, neighbours),
        *lift_can(case),
        (f"Support the board at three points or more, {target.ref} up; draw off the fume.", "a hot board sags"),
        *(step for kind in COVERS for step in _shielding(neighbours, kind)),
        (f"Thermocouples: {'; '.join(f'{p.on} ({p.why})' for p in places)}.", "the model's spread is large"),
        (f"Flux every joint of {target.ref}.", "oxide holds a joint together after its solder has melted"),
        _nozzle(case),
    ]


def _shielding(neighbours: tuple[Neighbour, ...], kind: ShieldKind) -> list[tuple[str, str]]:
    """Return the step that shields every part in need of a kind, no step if there is none."""
    refs = [neighbour.part.ref for neighbour in neighbours if kind in neighbour.shield]
    do, why = SHIELDING[kind]
    return [(f"{do}: {', '.join(refs)}.", why)] if refs else []


def _nozzle(case: Case) -> tuple[str, str]:
    fit = case.loads.fit
    place = f"turned {fit.rotation_deg:g} degrees, {fit.standoff_mm:g} mm above the board"
    return f"Nozzle {fit.nozzle.id}, {place}; try it cold.", f"{min(fit.clearance_mm):.2f} mm a side; {fit.why}"


def _stage(stage: Stage) -> tuple[str, str]:
    heater = "board heater off" if stage.board_heater_c is None else f"board heater at {stage.board_heater_c:g} C"
    return f"{stage.name.capitalize()}: {stage.seconds:g} s, {heater}, no air.", "a warm board melts evenly, unshocked"


def _reflow(case: Case) -> list[tuple[str, str]]:
    joint = coldest(case)
    melts = "not reached in this setup"
    if joint.seconds_to_liquidus is not None:
        melts = f"predicted {joint.seconds_to_liquidus:.0f} s into reflow"
    watch = f"Watch pad {joint.joint.pad}: it melts last ({melts})."
    return [
        *((f"{_air(stage)} {watch}", "the last joint decides, not the clock") for stage in _named(case, "reflow")),
        (CONFIRM, "one solid joint takes the whole pull, and its land goes with it"),
        (f"Lift {case.target.ref} straight up; note pin 1 and every part that moved.", "a pry starts at one land"),
    ]


def _named(case: Case, name: StageName) -> list[Stage]:
    return [stage for stage in case.recipe.stages if stage.name == name]


def _air(stage: Stage) -> str:
    air = "no air" if stage.air_c is None else f"air at {stage.air_c:g} C, {stage.flow_l_min:g} l/min"
    return f"Reflow: {air}, at most {stage.seconds:g} s."


def _cool(case: Case) -> list[tuple[str, str]]:
    after = _seconds_to(case, STILL_C)
    expected = "" if after is None else f" (predicted {after:.0f} s after the lift)"
    still = f"Do not move the board above {STILL_C:.0f} C{expected}, nor touch it above {TOUCH_C:.0f} C."
    return [
        (f"Air and heater off, no forced air. {still}", "molten neighbours shift, hot laminate sags, ceramics crack"),
        ("Peel tape slowly off the cool board, clean the site, look at lands and neighbours.", "half melts fail later"),
    ]


def _seconds_to(case: Case, level_c: float) -> float | None:
    """Return how long after the lift the target's hottest joint is under a level, None if not within the run."""
    heat = case.heat
    history = heat.series[1].celsius
    lift = heat.stage_ends_s["reflow"]
    under = np.flatnonzero((heat.time_s > lift) & (history < level_c))
    return float(heat.time_s[under[0]] - lift) if under.size else None
