"""How what a solve costs grows as its grid gets finer: the power of the unknowns that the processor's time goes by.

Not a test: run `python tests/bench/growth_of_cost.py`; it ends with 1 where the power is over the limit of 1.5.
"""

import sys
import time
from pathlib import Path

import numpy as np

sys.path.insert(0, str(Path(__file__).parents[1]))

from leeward.bench.fit import fits
from leeward.bench.read import read_bench
from leeward.heat.grid import Resolution
from leeward.heat.loads import Loads
from leeward.heat.model import assemble
from leeward.heat.recipe import Held, starting_recipe
from leeward.heat.run import march_stages
from thermal_boards import board, parts, pour, quad, square

TURNS = 3  # of which the quickest counts
FINEST_MM = (0.7, 0.5, 0.35, 0.25)
MOST = 1.5


def costs() -> tuple[list[int], list[float]]:
    """Return the unknowns and the processor's seconds of a whole recipe on ever finer grids, four layers of 80 mm."""
    target, outline, bench = quad("U1", 0, 0, 14.0), square(0, 0, 80.0), read_bench()
    plain = board(outline, layers=4, footprints=(target.footprint,), zones=(pour("In1.Cu", outline),))
    fit = fits(parts(target), target, bench)[0]
    loads = Loads(fit, "top", bench.board_heater, bench.ambient_c)
    recipe = starting_recipe(bench, target, fit.nozzle, "SAC305", Held(seconds={"reflow": 90.0}))
    unknowns, seconds = [], []
    for finest_mm in FINEST_MM:
        model = assemble(plain, parts(target), target, Resolution(finest_mm, 4.0, 1.25, 40.0))
        timed = []
        for _ in range(TURNS):
            start = time.process_time()
            march_stages(model, loads, recipe)
            timed.append(time.process_time() - start)
        unknowns.append(model.capacity_j_k.size)
        seconds.append(min(timed))
    return unknowns, seconds


def main() -> int:
    """Print the costs and the power; return 1 where it is over the limit."""
    unknowns, seconds = costs()
    for count, took_s in zip(unknowns, seconds, strict=True):
        sys.stdout.write(f"{count:7d} unknowns  {took_s:6.2f} s\n")
    power = float(np.polyfit(np.log(unknowns), np.log(seconds), 1)[0])
    sys.stdout.write(f"grows with the power {power:.2f} (at most {MOST})\n")
    return int(power > MOST)


if __name__ == "__main__":
    sys.exit(main())
