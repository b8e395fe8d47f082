"""What each neighbour needs, by what hurts it, its limit and its body: before anyone asks what can be laid.

Moving air hurts small chips whose joints may melt: tape holds them. Hot air hurts bodies and joints: a cover with an
air gap, or a fence, holds it off. Heat that comes through copper no cover stops; wet gel takes some out again.
"""

from dataclasses import dataclass
from typing import Literal

from leeward.bench.records import Form
from leeward.board.records import Side
from leeward.chance import EXPECTED, LIKELY, POSSIBLE, probability_above
from leeward.parts.records import Part
from leeward.shields.exposed import Exposed, is_small_chip
from leeward.shields.traits import NOT_OVER, refusal

LITTLE_AIR = 0.3  # with less of its heat than this from the air, a cover does not help a part; house rule
HIDDEN_JOINTS = ("ball-grid", "bottom-terminated", "castellated")
MANY_JOINTS = 5  # hidden joints from so many on half melt unseen: more than a touch-up; house rule
OTHER_MEANS = "less board heater, a shorter time or taking it off first would"


@dataclass(frozen=True, slots=True)
class Need:
    """What one neighbour should get. `against` is the way of the heat that may hurt it."""

    exposed: Exposed
    hold: bool  # tape against moving air, or to keep it from falling
    against: Literal["nothing", "air", "copper"]
    must: bool  # its heat is worth a piece of its own; else it is glad of one that is there anyway
    sink: bool  # wet gel may take out what comes through copper
    take_off: bool
    why: str

    @property
    def part(self) -> Part:
        """The neighbour."""
        return self.exposed.part


def need(entry: Exposed, worked: Side, forms: frozenset[Form], credit_c: float) -> Need:
    """Return what a part in the heat needs.

    `forms` are those of the materials at hand, `credit_c` what a shield may be credited with at most.
    """
    part = entry.part
    if part.fragile_class == "E":
        return _nothing(entry, "it bears no rework heat", take_off=True)
    if max(entry.over, entry.melts) < POSSIBLE:
        return _nothing(entry, "stays within its limits", take_off=False)
    hold = is_small_chip(part) and entry.melts >= POSSIBLE
    by_air = part.footprint.side == worked and entry.by_air >= LITTLE_AIR
    must = _worth_a_piece(entry, held=hold)
    return Need(
        exposed=entry,
        hold=hold,
        against="air" if by_air else "copper",
        must=must,
        sink=must and not by_air and "gel" in forms and part.footprint.side == worked and _may_be_wet(entry),
        take_off=_lost_all_the_same(entry, credit_c) or (not by_air and _keep_cold(entry)),
        why=_why(entry, worked, by_air=by_air, must=must),
    )


def _nothing(entry: Exposed, why: str, *, take_off: bool) -> Need:
    return Need(entry, hold=False, against="nothing", must=False, sink=False, take_off=take_off, why=why)


def _worth_a_piece(entry: Exposed, *, held: bool) -> bool:
    """Return whether heat is worth a piece: a body may be lost, hidden joints may half melt, open ones likely melt.

    Open joints of chips that tape holds set again where they were.
    """
    if entry.over >= POSSIBLE:
        return True
    return not held and entry.melts >= (POSSIBLE if has_hidden_joints(entry.part) else LIKELY)


def has_hidden_joints(part: Part) -> bool:
    """Return whether a part has joints under its body, too many to see that each has melted or set again."""
    return part.lead_style.value in HIDDEN_JOINTS and len(part.footprint.pads) >= MANY_JOINTS


def _lost_all_the_same(entry: Exposed, credit_c: float) -> bool:
    """Return whether a body is more likely than not over its limit with all that a shield may be credited with."""
    left = entry.body_peak_c - credit_c
    part = entry.part
    return part.reworkable and (
        probability_above(left, part.limit_c.value, entry.spread_c, part.limit_spread_c) >= EXPECTED
    )


def _keep_cold(entry: Exposed) -> bool:
    return entry.part.fragile_class == "D" and entry.over >= LIKELY


def _may_be_wet(entry: Exposed) -> bool:
    worth = entry.over >= POSSIBLE or (has_hidden_joints(entry.part) and entry.melts >= POSSIBLE)
    return worth and refusal(entry.part, NOT_OVER["gel"]) is None


def _why(entry: Exposed, worked: Side, *, by_air: bool, must: bool) -> str:
    part = entry.part
    if entry.over >= POSSIBLE:
        what = f"body at {entry.body_peak_c:.0f} C of {part.limit_c.value:.0f} C"
    else:
        what = f"joints at {entry.joint_peak_c:.0f} C"
    if by_air:
        return f"{what}, {entry.by_air:.0%} of the heat by air"
    if part.footprint.side != worked:
        what = f"{what}; it stands on the other side"
    stops = f", and no cover stops that: {OTHER_MEANS}" if must or entry.melts >= LIKELY else ""
    return f"{what}; {1 - entry.by_air:.0%} of the heat comes through the board{stops}"
