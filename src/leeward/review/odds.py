"""Probabilities, the words for them, and the priority that severity and likelihood make.

What the heat answer says of its own doubt is read here alone: how sure a joint's melting is, and when.
"""

from leeward.chance import probability_above
from leeward.constants import number, table
from leeward.heat.records import JointHeat
from leeward.review.records import Case, Likelihood, Priority, Severity

PRIORITIES: tuple[Priority, ...] = ("high", "medium", "low")


def probability_solid(case: Case, joint: JointHeat) -> float:
    """Return the probability that a joint of the target is still solid at the lift.

    Once the joint that is watched has been seen to melt, only the differences between joints are in doubt; a lift by
    the clock carries the whole doubt of the model. Both are in the joint's own spread at the lift.
    """
    unlike = number("heat", "spread", "joint_to_joint_c")
    return probability_above(case.recipe.liquidus_c, joint.lift_c, joint.lift_spread_c, unlike)


def probability_target_over(case: Case) -> float:
    """Return the probability that the target's own body passes its limit."""
    heat, target = case.heat, case.target
    spread_c = heat.bodies[target.id].spread_c
    return probability_above(heat.target_top_peak_c, target.limit_c.value, spread_c, target.limit_spread_c)


def probability_melts(case: Case, joint: JointHeat) -> float:
    """Return the probability that a neighbour's joint melts at some time of the job."""
    return probability_above(joint.peak_c, case.recipe.liquidus_c, joint.peak_spread_c)


def likelihood(probability: float) -> Likelihood:
    """Return the word for a probability."""
    ranking = table("ranking")
    bands = zip(ranking["likelihoods"], ranking["at_least"], strict=True)
    return next(name for name, least in bands if probability >= least)


def priority(severity: Severity, probability: float) -> Priority:
    """Return the matrix entry of a severity and the likelihood of a probability."""
    ranking = table("ranking")
    entry: Priority = ranking["matrix"][severity][ranking["likelihoods"].index(likelihood(probability))]
    return entry


def severity_rank(severity: Severity) -> int:
    """Return 0 for the worst."""
    rank: int = table("ranking")["severities"].index(severity)
    return rank
