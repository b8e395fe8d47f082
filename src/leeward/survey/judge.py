"""Judge a target's case as a review does, but for what the bench alone asks: work order, other side, aftercare."""

from dataclasses import dataclass

from leeward.board.records import Pad
from leeward.review.anchors import Anchors, anchors
from leeward.review.findings import findings
from leeward.review.joints import joints
from leeward.review.laminate import laminate
from leeward.review.lift import lift
from leeward.review.loose import loose
from leeward.review.neighbours import neighbours
from leeward.review.odds import probability_target_over
from leeward.review.pads import lands, pads
from leeward.review.records import Case, Finding, JointMelt, Neighbour, Opposite, PadRisk
from leeward.review.ties import Ties, ties
from leeward.survey.ground import Ground, round_lands

ROUND_LANDS_MM = 10.0  # what holds a land and what draws its heat is looked for so far round the part
NOT_LOOKED_AT = Opposite((), (), (), (), steady=True, tallest=None, tallest_mm=0.0, heater_room_mm=None)


@dataclass(frozen=True, slots=True)
class Verdict:
    """What a case comes to. Anchors and ties are those of the lands, in order."""

    neighbours: tuple[Neighbour, ...]
    joints: tuple[JointMelt, ...]  # the last to melt first
    pads: tuple[PadRisk, ...]  # the likeliest to lift first
    lands: tuple[Pad, ...]
    anchors: tuple[Anchors, ...]
    ties: tuple[Ties, ...]
    findings: tuple[Finding, ...]


def judge_target(shared: Ground, case: Case) -> Verdict:
    """Return the verdict on a case."""
    target, side = case.target, case.target.footprint.side
    near, own = neighbours(case), lands(case)
    close = round_lands(shared, target, ROUND_LANDS_MM)
    held = anchors(close, own, side)
    tied = ties(close, own, held, side)
    made_of = laminate(case.board, case.bench, side)
    melting, ranked = joints(case, tied), pads(case, made_of, held)
    over = probability_target_over(case)
    found = findings(case, near, melting, ranked, lift(case, made_of), loose(case, near), NOT_LOOKED_AT, over)
    return Verdict(near, melting, ranked, tuple(own), tuple(held), tuple(tied), found)
