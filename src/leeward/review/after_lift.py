"""What follows the lift: how it cools, which lands to look at first and against what, and what the next part wants."""

from collections.abc import Sequence

from leeward.constants import number
from leeward.parts.moisture import floor_life, may_hold_moisture
from leeward.parts.records import Part
from leeward.review.anchors import OUTER, Anchors
from leeward.review.exposure import seconds_until
from leeward.review.loose import comes_off_first
from leeward.review.pads import lands, under_body
from leeward.review.records import AfterLift, Case, Inspection, Neighbour, PadRisk
from leeward.review.words import listed

STILL_C = 100.0  # the board is not moved above this; common practice, no source
TOUCH_C = 50.0  # nor touched above this; common practice, no source
FIRST_LANDS = 5
HALF_MELTED = (0.05, 0.95)  # joints of a neighbour that melt with a probability between these may be half melted
THICKNESS_RULE = "IPC-A-610G; the same rule in J-STD-001B 9.2.1.1"


def after_lift(
    case: Case, ranked: Sequence[PadRisk], held: Sequence[Anchors], neighbours: Sequence[Neighbour]
) -> AfterLift:
    """Return what to do once the part is off.

    `ranked` are its lands by risk, `held` the anchors of what `lands` returns, in order.
    """
    return AfterLift(
        first=tuple(dict.fromkeys(pad.number for pad in ranked))[:FIRST_LANDS],
        inspect=(*_lifted_lands(case, held), *_board_and_neighbours(neighbours)),
        prepare=_prepare(case.target),
        put_on=_put_on(case),
        cool=_cool(case),
    )


def land_thickness_mm(case: Case) -> float:
    """Return the thickness of the lands: the stackup's outer copper on the target's side."""
    outer = OUTER[case.target.footprint.side]
    return next(layer.thickness_mm for layer in case.board.stackup.copper if layer.name == outer)


def _lifted_lands(case: Case, held: Sequence[Anchors]) -> list[Inspection]:
    thick = land_thickness_mm(case)
    with_via = [pad.number for pad, anchor in zip(lands(case), held, strict=True) if anchor.vias_in]
    found = [
        Inspection(
            "Outer lower edge of each land, at 10 times or more",
            f"lifted by more than one land thickness ({thick:.3f} mm): a defect in every class",
            THICKNESS_RULE,
        ),
        Inspection(
            "That edge lifted by less than one land thickness",
            "a process indicator in classes 2 and 3",
            "IPC-A-610 section 10, from memory",
        ),
        Inspection(
            "Gap between a lifted land and copper of another net",
            "no less than the minimum electrical spacing",
            THICKNESS_RULE,
        ),
    ]
    if with_via:
        what = f"Lands with a via in them: {listed(with_via)}"
        found.append(Inspection(what, "any lift: a defect in class 3", "IPC-A-610 section 10, from memory"))
    return found


def _board_and_neighbours(neighbours: Sequence[Neighbour]) -> list[Inspection]:
    least, most = HALF_MELTED
    stay = [entry for entry in neighbours if not comes_off_first(entry)]
    half = [entry.part.ref for entry in stay if least <= entry.probability_joint_melts <= most]
    found = [
        Inspection(
            "Laminate round the site",
            "a blister that bridges conductors, or a burn that is physical damage: a defect",
            "IPC-A-610 section 10, from memory",
        )
    ]
    if half:
        what = f"Joints of {listed(half)}"
        found.append(Inspection(what, "either untouched or wholly melted, never half", "common practice, no source"))
    return found


def _prepare(target: Part) -> tuple[str, ...]:
    braid = "Flux the lands and draw the old solder off with braid, laid down and lifted off hot, never dragged"
    level = "Level the solder on every land: one high land keeps the next part from sitting"
    return (
        f"{braid}: a cold braid takes the land with it",
        *((level,) if under_body(target) else ()),
        "Clean off the flux, then look again",
    )


def _put_on(case: Case) -> tuple[str, ...]:
    site = f"Count this as a rework of the site: next time --cycles {case.target.ref}={case.cycles_seen + 1}"
    return (
        f"The same alloy as the board's ({case.recipe.alloy} assumed); mark what was changed",
        *((_moisture(case.target),) if may_hold_moisture(case.target) else ()),
        "A new part: makers advise against using a removed one again, of ceramic capacitors above all",
        f"Pad 1 of {case.target.ref} where it was: {case.target.footprint.rotation_deg:g} degrees as drawn",
        site,
    )


def _moisture(target: Part) -> str:
    dry = "The new part dry: within its floor life{life}, or baked (J-STD-033)"
    if target.msl is None:
        return f"{dry.format(life='')}; its moisture level is not known: see its label"
    level = target.msl.value
    return dry.format(life=f" (MSL {level}: {floor_life(level)})")


def _cool(case: Case) -> tuple[str, ...]:
    return (
        "Air and heater off, no forced air",
        f"Do not move the board above {STILL_C:.0f} C{_predicted(case, STILL_C)}",
        f"Do not touch it above {TOUCH_C:.0f} C{_predicted(case, TOUCH_C)}",
        f"Nothing on it cools faster than {number('lift', 'site', 'cooling_c_s'):g} C/s (J-STD-020)",
    )


def _predicted(case: Case, celsius: float) -> str:
    seconds = seconds_until(case, celsius)
    return f" (predicted {seconds:.0f} s after the lift)" if seconds is not None else ""
