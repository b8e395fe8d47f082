"""What a solve costs as its grid gets finer."""

import os
import time

import numpy as np
import pytest

from leeward.bench.fit import fits
from leeward.bench.read import read_bench
from leeward.heat.grid import Resolution
from leeward.heat.loads import Loads
from leeward.heat.model import assemble
from leeward.heat.recipe import Held, starting_recipe
from leeward.heat.run import march_stages
from thermal_boards import board, parts, pour, quad, square

TURNS = 3  # of which the quickest counts


@pytest.mark.skipif(os.environ.get("LEEWARD_FULL") != "1", reason="timed for half a minute: LEEWARD_FULL=1")
def test_cost_grows_no_faster_than_the_unknowns_to_three_halves() -> None:
    """From cells of 0.7 mm to 0.25 mm the processor's time of a whole recipe grows with a power of at most 1.5."""
    target, outline, bench = quad("U1", 0, 0, 14.0), square(0, 0, 80.0), read_bench()
    plain = board(outline, layers=4, footprints=(target.footprint,), zones=(pour("In1.Cu", outline),))
    fit = fits(parts(target), target, bench)[0]
    loads = Loads(fit, "top", bench.board_heater, bench.ambient_c)
    recipe = starting_recipe(bench, target, fit.nozzle, "SAC305", Held(seconds={"reflow": 90.0}))
    unknowns, seconds = [], []
    for finest_mm in (0.7, 0.5, 0.35, 0.25):
        model = assemble(plain, parts(target), target, Resolution(finest_mm, 4.0, 1.25, 40.0))
        timed = []
        for _ in range(TURNS):
            start = time.process_time()
            march_stages(model, loads, recipe)
            timed.append(time.process_time() - start)
        unknowns.append(model.capacity_j_k.size)
        seconds.append(min(timed))
    power = float(np.polyfit(np.log(unknowns), np.log(seconds), 1)[0])
    assert unknowns[-1] > 3 * unknowns[0]
    assert power < 1.5
