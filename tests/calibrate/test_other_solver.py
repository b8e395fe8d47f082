"""A twin whose truth another solver makes: finite elements on a mesh of their own, and another law of the wall jet."""

import os
from dataclasses import replace

import numpy as np
import pytest

from calibrate.twins import LAG_S, NOISE_C, Hidden, log_of
from judged_case import PLACES, STAGES, judging, places, setting
from leeward.calibrate.learn import learn
from leeward.calibrate.rig import Rig, rig, shown_in_full
from leeward.calibrate.spots import Spot, board_spot, pad_spot, top_spot
from leeward.heat import boxed
from leeward.heat.doubt import uncalibrated
from leeward.heat.factors import Factors
from leeward.heat.grid import Floats
from leeward.parts.records import Part

HIDDEN = Hidden(Factors(air_h=1.35, reach=0.75, outlet=0.96, heater=1.2), LAG_S, None)


def joints(part: Part) -> list[Spot]:
    """Return a spot on each pad, in the order of the pads."""
    return [pad_spot(part, pad.number, pad.x_mm, pad.y_mm) for pad in part.footprint.pads]


def spots() -> list[Spot]:
    """Return a spot for each history of the judge, in its order: joints, tops, places of the board."""
    case = setting()
    x, y, on_top = (each.reshape(PLACES, -1).mean(axis=1) for each in places())
    board = [board_spot(a, b, "top" if top else "bottom") for a, b, top in zip(x, y, on_top, strict=True)]
    return [*joints(case.target), *joints(case.near), top_spot(case.target), top_spot(case.near), *board]


def steeper(_law: str, beyond_mm: Floats, gap_mm: float, perimeter_mm: float) -> Floats:
    """Return a wall jet that fades exponentially instead of by a power."""
    return np.asarray(np.exp(-np.asarray(beyond_mm, dtype=float) / (14.0 * gap_mm + 0.02 * perimeter_mm)))


@pytest.mark.skipif(os.environ.get("LEEWARD_FULL") != "1", reason="half a minute of finite elements: LEEWARD_FULL=1")
def test_a_bench_that_another_solver_makes_is_learnt_and_its_misfit_shown(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where no probe sat errors fall to under half, and more is told to be left than the noise put in."""
    case, every = setting(), spots()
    with monkeypatch.context() as other:
        other.setattr(boxed, "_wall_jet", steeper)
        seen = judging(1.0, loads=replace(case.loads, factors=HIDDEN.factors))
    probed = probes(every)
    on = rigged(probed, every)
    truth = seen.at_c(on.time_s)
    learnt = learn(on, log_of(truth[:, probed], HIDDEN, 41), uncalibrated(case.loads.fit.nozzle))
    unseen = [i for i in range(len(every)) if i not in probed]
    elsewhere, true_c = rigged(unseen, every), truth[:, unseen].max(axis=0)
    before, after = (
        np.sqrt(np.mean((shown_in_full(elsewhere, each).max(axis=0) - true_c) ** 2))
        for each in (Factors(), learnt.after.factors)
    )
    assert before > 10.0
    assert after < before / 2
    assert learnt.misfit_c > NOISE_C


def probes(every: list[Spot]) -> list[int]:
    """Return the indices of five spots: a joint and the top of the target, and places near, further and far off."""
    case = setting()
    tops = len(case.target.footprint.pads) + len(case.near.footprint.pads)
    far = np.argsort([np.hypot(spot.x_mm, spot.y_mm) for spot in every[tops + 2 :]])
    return [0, tops, *(int(tops + 2 + far[rank]) for rank in (2, 20, 45))]


def rigged(chosen: list[int], every: list[Spot]) -> Rig:
    """Return the rig of the judged board with probes on the chosen spots."""
    case = setting()
    return rig(case.board, case.parts, case.target, case.loads, STAGES, tuple(every[i] for i in chosen))
