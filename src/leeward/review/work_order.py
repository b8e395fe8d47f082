"""The work order: what to do, in order, and why."""

from leeward.bench.records import Stage, StageName
from leeward.constants import number
from leeward.review.cans import lift_can
from leeward.review.drying import drying
from leeward.review.joints import last_words, what_to_do
from leeward.review.laying import lay
from leeward.review.records import (
    AfterLift,
    Case,
    JointMelt,
    Lift,
    Neighbour,
    Opposite,
    Step,
    Thermocouple,
)
from leeward.review.words import direction, force, listed, within

CONFIRM = (
    "Lift only when melt is confirmed: a thermocouple on the last joint, or a nudge of 0.1 mm at most that floats "
    "back. Never by time."
)
NO_COVER = "no cover keeps them within what they bear"


def work_order(
    case: Case,
    neighbours: tuple[Neighbour, ...],
    places: tuple[Thermocouple, ...],
    last: JointMelt,
    lift: Lift,
    opposite: Opposite,
    after: AfterLift,
) -> tuple[Step, ...]:
    """Return the steps from a cold board to a cool one with its site ready for the next part."""
    steps = [
        *_prepare(case, neighbours, places, opposite),
        *(_stage(stage) for stage in case.recipe.warm_up),
        *_reflow(case, last),
        *_lift(case, lift),
        *_after(after),
    ]
    return tuple(Step(number, do, why) for number, (do, why) in enumerate(steps, 1))


def _find_out() -> tuple[str, str]:
    do = "Find out the alloy, earlier heat, what is glued, coated or underfilled; peel off labels."
    return do, f"the board file does not know; paper scorches from {number('limits', 'label_c'):g} C"


def _prepare(
    case: Case, neighbours: tuple[Neighbour, ...], places: tuple[Thermocouple, ...], opposite: Opposite
) -> list[tuple[str, str]]:
    target = case.target
    return [
        _find_out(),
        *_off_first(neighbours),
        *drying(case, neighbours),
        *lift_can(case),
        _support(case, opposite),
        *lay(case),
        (f"Thermocouples: {'; '.join(f'{p.on} ({p.why})' for p in places)}.", "the model's spread is large"),
        (f"Flux every joint of {target.ref}.", "oxide holds a joint together after its solder has melted"),
        _nozzle(case),
    ]


def _support(case: Case, opposite: Opposite) -> tuple[str, str]:
    pins = ", ".join(f"({x:.0f}, {y:.0f})" for x, y in opposite.supports)
    where = f" Free on the other side: x, y {pins} mm." if opposite.steady else " Hold it by its edges, close by."
    tall = "" if opposite.tallest is None else f" ({opposite.tallest.ref})"
    room = f" Leave {opposite.tallest_mm:.1f} mm{tall} and more below the board." if opposite.tallest_mm > 0 else ""
    return (
        f"Support the board at three points or more, {case.target.ref} up; draw off the fume.{where}{room}",
        "a hot board sags",
    )


def _off_first(neighbours: tuple[Neighbour, ...]) -> list[tuple[str, str]]:
    """Return the step that takes off what bears no heat and what no cover would save, none where there is nothing."""
    first = [neighbour.part for neighbour in neighbours if "take-off-first" in neighbour.shield]
    cold = [part.ref for part in first if part.fragile_class == "E"]
    lost = [part.ref for part in first if part.fragile_class != "E"]
    if not first:
        return []
    if not lost:
        return [(f"Take off before any heat: {', '.join(cold)}.", NO_COVER)]
    also = f"{', '.join(cold)}; and, if they must live, {', '.join(lost)}" if cold else ", ".join(lost)
    return [(f"Take off before any heat: {also}.", NO_COVER)]


def _nozzle(case: Case) -> tuple[str, str]:
    fit = case.loads.fit
    if fit.path is not None:
        along = f"{fit.standoff_mm:g} mm above the board, moved round over the joints without a stop"
        return f"Nozzle {fit.nozzle.id}, {along}; try the way cold.", "where it stands still the board burns"
    place = f"turned {fit.rotation_deg:g} degrees, {fit.standoff_mm:g} mm above the board"
    return f"Nozzle {fit.nozzle.id}, {place}; try it cold.", f"{min(fit.clearance_mm):.2f} mm a side; {fit.why}"


def _stage(stage: Stage) -> tuple[str, str]:
    heater = "board heater off" if stage.board_heater_c is None else f"board heater at {stage.board_heater_c:g} C"
    do = f"{stage.name.capitalize()}: {stage.seconds:g} s, {heater}, {_air(stage)}."
    return do, "a warm board melts evenly, unshocked"


def _reflow(case: Case, last: JointMelt) -> list[tuple[str, str]]:
    melts = "not reached in this setup"
    if last.seconds_to_liquidus is not None:
        melts = f"predicted {last.seconds_to_liquidus:.0f} s into reflow, likely {within(last.window)} s"
    watch = f"Watch pad {last.pad}: it melts last ({melts}). If it lags: {what_to_do(last)}."
    why = f"the last joint decides, not the clock; {last_words(last)}"
    return [(f"Reflow: {_air(stage)}, at most {stage.seconds:g} s. {watch}", why) for stage in _named(case, "reflow")]


def _lift(case: Case, lift: Lift) -> list[tuple[str, str]]:
    limit = f"Until then no probe, cup or jaw pulls with more than {force(lift.allowed_n)}"
    weakest = f"one solid joint takes the whole pull, and pad {lift.weakest_pad} is the weakest single land"
    plain = "" if lift.cup_protects else f" The lift takes {force(lift.pull_n)}: no cup force protects a land."
    return [
        (f"{CONFIRM} {limit}.{plain}", weakest),
        (f"Lift {case.target.ref} straight up {_tool(lift)}; note pin 1 and every part that moved.", _tool_why(lift)),
    ]


def _tool(lift: Lift) -> str:
    if lift.cup is not None:
        return f"with {lift.cup.id} at {lift.vacuum_kpa:.0f} kPa of vacuum, a stop or spring at {force(lift.pull_n)}"
    if lift.tweezers is None:
        return "from above: jaws have no room beside it"
    ways = sorted((lift.tweezers.direction_deg, lift.tweezers.direction_deg + 180))
    past = f" to pass {listed(lift.tweezers.past)}" if lift.tweezers.past else ""
    angle = f", at {lift.tweezers.access_deg:.0f} degrees over the board or more{past}" if past else ""
    return f"with tweezers from {' and '.join(direction(way) for way in ways)}{angle}"


def _tool_why(lift: Lift) -> str:
    return "a pry starts at one land" + (f"; no cup: {lift.why_no_cup}" if lift.why_no_cup else "")


def _named(case: Case, name: StageName) -> list[Stage]:
    return [stage for stage in case.recipe.stages if stage.name == name]


def _air(stage: Stage) -> str:
    return "no air" if stage.air_c is None else f"air at {stage.air_c:g} C, {stage.flow_l_min:g} l/min"


def _after(after: AfterLift) -> list[tuple[str, str]]:
    rule = after.inspect[0]
    look = f"Look at the lands, first {listed(after.first)}: {rule.against} ({rule.source})."
    return [
        (". ".join(after.cool[:3]) + ".", "molten neighbours shift, hot laminate sags, ceramics crack"),
        ("Peel tape slowly off the cool board and clean the site.", "peeled fast, tape charges parts"),
        (look, "a lifted land fails later"),
        (". ".join(after.prepare) + ".", "old solder is uneven, and hides a lifted land"),
    ]
