"""How far the joints of a target move when the plan grid over it is made finer.

Run `python tests/bench/grid_study.py BOARD REF [FINEST_MM ...]`, for example on the demo board `video` of Debian's
package kicad-demos with U23. The first size is the reference (0.1 mm when none is given); the recipe is the bench's
starting one, its reflow as long as on the standard grid, so that all runs last the same.
"""

import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

import numpy as np

from leeward.bench.fit import fits
from leeward.bench.read import read_bench
from leeward.board.read import read
from leeward.heat.grid import Floats, standard_resolution
from leeward.heat.loads import Loads
from leeward.heat.model import assemble
from leeward.heat.recipe import Held, starting_recipe
from leeward.heat.run import march_stages
from leeward.parts.identify import identify

SIZES_MM = (0.1, 0.25, 0.5, 0.75, 1.0)


@dataclass(frozen=True, slots=True)
class Row:
    """One size of cells, against the first one: the joints' peaks, and the pad that stays coldest."""

    finest_mm: float
    unknowns: int
    assembly_s: float
    march_s: float
    worst_c: float
    mean_c: float
    coldest: str
    behind_c: float  # how far the reference's coldest pad is above this one's


def study(path: Path, ref: str, sizes_mm: tuple[float, ...]) -> Iterator[Row]:
    """Yield a row for each size; the first is the reference."""
    board = read(str(path))
    parts = identify(board)
    target = next(part for part in parts.by_id.values() if part.ref == ref)
    bench = read_bench()
    fit = fits(parts, target, bench)[0]
    loads = Loads(fit, target.footprint.side, bench.board_heater, bench.ambient_c)
    recipe = starting_recipe(bench, target, fit.nozzle, parts.alloy, Held())
    usual = march_stages(assemble(board, parts, target), loads, recipe)
    seconds = {leg.stage.name: float(np.ptp(leg.time_s)) for leg in usual.legs}
    stages = tuple(replace(stage, seconds=seconds.get(stage.name, 0.0)) for stage in recipe.stages)
    held = replace(recipe, stages=stages, ends_on_melt=False)
    reference: Floats | None = None
    for size_mm in sizes_mm:
        start = time.perf_counter()
        model = assemble(board, parts, target, replace(standard_resolution(), finest_mm=size_mm))
        assembled = time.perf_counter()
        peaks = march_stages(model, loads, held).joint_c[:, model.target_joints].max(axis=0)
        end = time.perf_counter()
        reference = peaks if reference is None else reference
        yield Row(
            finest_mm=size_mm,
            unknowns=model.capacity_j_k.size,
            assembly_s=assembled - start,
            march_s=end - assembled,
            worst_c=float(np.abs(peaks - reference).max()),
            mean_c=float((peaks - reference).mean()),
            coldest=model.joints[model.target_joints[int(np.argmin(peaks))]].pad,
            behind_c=float(peaks[int(np.argmin(reference))] - peaks.min()),
        )


def main() -> None:
    """Print a table."""
    sizes = tuple(float(text) for text in sys.argv[3:]) or SIZES_MM
    sys.stdout.write("finest  unknowns  assembly    march  worst   mean  coldest pad, the reference's above it\n")
    for row in study(Path(sys.argv[1]), sys.argv[2], sizes):
        sys.stdout.write(
            f"{row.finest_mm:6.2f} {row.unknowns:9d} {row.assembly_s:9.2f} {row.march_s:8.2f} "
            f"{row.worst_c:6.2f} {row.mean_c:6.2f}  {row.coldest}, {row.behind_c:.2f}\n"
        )
        sys.stdout.flush()


if __name__ == "__main__":
    main()
