"""How far an answer may be off: the recipe tried again with each doubtful input moved by its spread.

The answer is taken as linear over one spread either way: the variance is the sum of the squared half differences over
ways to be off that are independent of each other (propagation of uncertainty, JCGM 100:2008 sec. 5.1.2): the inputs
one by one before a calibration, the principal directions of what a calibration leaves in doubt after it. A factor goes
up by 1 + s and down by 1 / (1 + s), since it cannot pass zero. What the model leaves out adds a share of each
temperature's rise.
"""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from leeward.heat.doubt import Direction, Doubt
from leeward.heat.grid import Floats
from leeward.heat.loads import Loads
from leeward.heat.recipe import Recipe
from leeward.heat.records import ThermalModel
from leeward.heat.reduced import Reduced
from leeward.heat.trials import Pace, try_out


@dataclass(frozen=True, slots=True)
class Spread:
    """One standard deviation of each answer: when the target's joints melt (t,), joints (j,), bodies' tops (b,)."""

    melt_s: Floats
    earlier_s: Floats  # the same to the one side and the other of the moment
    later_s: Floats
    joint_c: Floats  # at the lift
    joint_peak_c: Floats
    body_peak_c: Floats
    last_by: Mapping[str, float]  # what each input adds to the spread of the moment at which the last joint melts


def spread(
    model: ThermalModel,
    reduced: Reduced,
    loads: Loads,
    recipe: Recipe,
    doubt: Doubt,
    pace: Pace | None = None,
    watched: int | None = None,
) -> Spread:
    """Return the spread of a recipe's answer for what is in doubt about the factors.

    Reflow ends each time as the joint that melts last as computed reaches the lift temperature: that is the joint a
    thermocouple is put on. It is `watched` (an index into the model's joints) where that is known already.
    """
    ways = doubt.directions
    moved = [way.moved(loads.factors, sign) for way in ways for sign in (1, -1)]
    settings = [loads, *(replace(loads, factors=factors) for factors in moved)]
    last = _last_joint(model, reduced, loads, recipe, pace) if watched is None else watched
    trials = try_out(model, reduced, settings, [recipe] * len(settings), last, pace)
    left_out = doubt.left_out
    melts_s = _halves(trials.melt_s)
    earlier_s, later_s = _either_way(trials.melt_s)
    return Spread(
        melt_s=np.sqrt((melts_s**2).sum(axis=0)),
        earlier_s=earlier_s,
        later_s=later_s,
        joint_c=_root(trials.joint_c, left_out, reduced.ambient_c, own_at=last),
        joint_peak_c=_root(trials.joint_peak_c, left_out, reduced.ambient_c),
        body_peak_c=_root(trials.body_peak_c, left_out, reduced.ambient_c),
        last_by=_by_name(ways, melts_s[:, int(np.searchsorted(model.target_joints, last))]),
    )


def _last_joint(model: ThermalModel, reduced: Reduced, loads: Loads, recipe: Recipe, pace: Pace | None) -> int:
    own = model.target_joints
    return int(own[np.argmin(try_out(model, reduced, [loads], [recipe], pace=pace).joint_c[0, own])])


def _either_way(values: Floats) -> tuple[Floats, Floats]:
    """Return how far values come down, and how far they go up, as the inputs move by a spread; each as a root sum."""
    moved = np.stack([values[1::2] - values[0], values[2::2] - values[0]])
    down, up = np.maximum(-moved.min(axis=0), 0.0), np.maximum(moved.max(axis=0), 0.0)
    return np.sqrt((down**2).sum(axis=0)), np.sqrt((up**2).sum(axis=0))


def _by_name(ways: tuple[Direction, ...], seconds: Floats) -> dict[str, float]:
    """Return what the ways add to the spread of the moment, by the factor that each moves most."""
    squares = dict.fromkeys([way.mostly for way in ways], 0.0)
    for way, moved_s in zip(ways, seconds.tolist(), strict=True):
        squares[way.mostly] += moved_s**2
    return {name: square**0.5 for name, square in squares.items()}


def _halves(values: Floats) -> Floats:
    """Return half the differences between the up and the down setting of each input, from (1 + 2 n, ...)."""
    return np.asarray((values[1::2] - values[2::2]) / 2)


def _root(values: Floats, left_out: float, ambient_c: float, own_at: int | None = None) -> Floats:
    moved = (_halves(values) ** 2).sum(axis=0)
    unmodelled = left_out * (values[0] - ambient_c)
    if own_at is not None:  # at the lift only what sets a joint apart from the watched one is in doubt
        unmodelled = left_out * np.abs(values[0] - values[0, own_at])
    return np.asarray(np.sqrt(moved + unmodelled**2))
