"""The cautions that go with a job: those that always hold, and those that this board calls for."""

from leeward.constants import number
from leeward.review.cans import hidden
from leeward.review.ceramics import hurried
from leeward.review.pads import under_body
from leeward.review.records import Case, Neighbour
from leeward.review.words import counted
from leeward.shields.effect import drying_out
from leeward.shields.plan import plan_cautions

ALWAYS = (
    "Burns: air and nozzle are at 300 to 450 C, the board stays above 60 C for minutes; the nozzle cools in its stand.",
    "Fume: draw it off at the source; rosin fume is a respiratory sensitiser.",
    "Eyes: wear safety glasses; flux spits and parts can burst.",
    "Fire: keep alcohol and cleaners away until the board is under 40 C.",
    "Static: wrist strap, mat, grounded nozzle and cup; hot dry air and tape peeled off fast charge parts.",
    "Power off, mains out, capacitors discharged and checked again after a few minutes.",
    "Local codes, the part makers' data and licensed or certified practice come before anything printed here.",
)


def cautions(case: Case, neighbours: tuple[Neighbour, ...]) -> tuple[str, ...]:
    """Return the cautions of a case, the most pressing of this board first."""
    hazards = {hazard for part in case.parts.by_id.values() if part.footprint.fitted for hazard in part.hazards}
    special = [text for hazard, text in _BY_HAZARD if hazard in hazards]
    shields = (*plan_cautions(case.shields), *drying_out(case.shields, case.heat))
    concerned = (*_site(case), *hidden(case, neighbours), *hurried(neighbours))
    return (*special, *concerned, *shields, *_by_alloy(case), *ALWAYS)


_BY_HAZARD = (
    (
        "lithium-cell",
        "Lithium: take every cell out before any heat; above 85 C cells leak, rupture or ignite.",
    ),
    (
        "supercapacitor",
        "Double-layer capacitors: discharge them and take them off first; they bear no reflow.",
    ),
    (
        "electrolytic",
        "Electrolytic capacitors can vent hot electrolyte: discharge, shield, keep faces away, leave the vent free.",
    ),
    ("charged-capacitor", "Bulk capacitors hold charge: discharge them through a resistor and measure."),
    ("display", "Displays and cameras bear 70 to 85 C: take them off first."),
    ("port", "Parts with an open port: no air, no vacuum and no flux into the port."),
)


def _site(case: Case) -> tuple[str, ...]:
    """Return a warning where the site has been reworked as often as the house allows."""
    most = number("lift", "site", "most_reworks_hidden" if under_body(case.target) else "most_reworks")
    if case.cycles_seen < most:
        return ()
    rule = f"the house rule is {most:.0f} at most for such a part (IPC-7711/7721 sets no limit)"
    seen = counted(case.cycles_seen, "time")
    return (f"{case.target.ref}'s site has been reworked {seen}; {rule}: its lands hold less each time.",)


def _by_alloy(case: Case) -> tuple[str, ...]:
    if case.recipe.alloy == "Sn63Pb37":
        return ("Leaded solder: wash hands, no food at the bench, keep wipes and waste apart.",)
    return ("Find out the board's alloy first: boards soldered with lead are common; do not mix alloys without leave.",)
