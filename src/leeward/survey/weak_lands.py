"""Lands of a target that the layout makes hard to rework: tied to planes without relief, or held by nothing."""

from math import log

from leeward.chance import probability_above
from leeward.constants import number
from leeward.review.records import Case, Finding, JointMelt, PadRisk
from leeward.survey.judge import Verdict
from leeward.survey.made import made

WORTH_NAMING = 0.05
SMALL_MM2 = 1.0  # larger lands are held well enough by their own area; house rule
MOST_NAMED = 8


def weak_lands(case: Case, verdict: Verdict) -> list[Finding]:
    """Return at most one finding for lands on planes and one for lands that nothing holds."""
    return [*_tied(case, verdict), *_unanchored(case, verdict)]


def tied_pads(case: Case, verdict: Verdict) -> list[JointMelt]:
    """Return the joints whose lands lie in full contact with a plane and melt late, the latest first.

    An exposed pad is meant to lie so.
    """
    solid = {
        pad.number
        for pad, tie in zip(verdict.lands, verdict.ties, strict=True)
        if tie.solid_on and pad.number != case.target.exposed_pad
    }
    late = number("heat", "spread", "joint_to_joint_c")
    found = [joint for joint in verdict.joints if joint.pad in solid and joint.behind_c > late]
    return sorted(found, key=lambda joint: (-joint.behind_c, joint.pad))


def loose_pads(verdict: Verdict) -> list[PadRisk]:
    """Return the small lands that no copper leaves, the weakest first."""
    found = [pad for pad in verdict.pads if pad.unconnected and pad.area_mm2 <= SMALL_MM2]
    return sorted(found, key=lambda pad: (pad.capability_n, pad.number))


def _tied(case: Case, verdict: Verdict) -> list[Finding]:
    """Tell how likely the last tied joint is still solid when most of the part's joints have reached the lift."""
    tied = tied_pads(case, verdict)
    if not tied:
        return []
    behind = tied[0].behind_c
    reached = case.recipe.lift_at_c - behind
    solid = probability_above(case.recipe.liquidus_c, reached, number("heat", "spread", "joint_to_joint_c"))
    if solid < WORTH_NAMING:
        return []
    pads = _list([joint.pad for joint in tied])
    evidence = {"lands": float(len(tied)), "behind_c": behind}
    why = f"pads {pads} lie in full contact with a plane, the last {behind:.0f} C behind most joints of the part"
    return [made("plane-tied-land", (case.target,), "touch-up", solid, evidence, why=why)]


def _unanchored(case: Case, verdict: Verdict) -> list[Finding]:
    """Tell how likely the weakest land bears less than what a lift with its joint solid pulls at it."""
    loose = loose_pads(verdict)
    if not loose:
        return []
    weakest = loose[0]
    bears, meets = log(max(weakest.capability_n, 1e-6)), log(max(weakest.demand_n, 1e-6))
    tears = probability_above(meets, bears, number("lift", "pull", "log_spread"))
    if tears < WORTH_NAMING:
        return []
    pads = _list([pad.number for pad in loose])
    evidence = {"lands": float(len(loose)), "capability_n": weakest.capability_n, "demand_n": weakest.demand_n}
    why = f"pads {pads} are held by nothing but their own area; one that is still solid at the lift may tear off"
    return [made("unanchored-land", (case.target,), "touch-up", tears, evidence, why=why)]


def _list(pads: list[str]) -> str:
    left = len(pads) - MOST_NAMED
    return ", ".join(pads[:MOST_NAMED]) + (f" and {left} more" if left > 0 else "")
