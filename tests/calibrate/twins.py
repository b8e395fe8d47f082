"""An invented board with two like targets, and logs made on it with hidden factors: twins of a real bench."""

from dataclasses import dataclass
from functools import cache

import numpy as np
import shapely

from leeward.bench.fit import Fixed, fits
from leeward.bench.read import read_bench
from leeward.bench.records import Stage
from leeward.board.records import Board
from leeward.calibrate.lag import lagged
from leeward.calibrate.log import Log
from leeward.calibrate.rig import Rig, rig, shown_in_full
from leeward.calibrate.spots import Spot, board_spot, pad_spot, top_spot
from leeward.heat.doubt import Doubt, uncalibrated
from leeward.heat.factors import NAMES, Factors
from leeward.heat.grid import Floats, Resolution
from leeward.heat.loads import Loads
from leeward.parts.records import Part, Parts
from thermal_boards import board, chip, parts, pour, quad

BENCH = read_bench()
FINER = Resolution(0.3, 3.0, 1.2, 40.0)
RINGS_MM = (9.5, 10.5, 11.5, 7.0, 13.0, 14.5, 16.0, 3.0, 18.0, 20.0)  # how far chips stand from a target's middle
TURNS = (0.1, 1.4, 2.9, 4.4, 5.6, 0.8, 2.2, 3.7, 5.1, 3.3)
NOISE_C, LAG_S = 0.5, 2.0
STAGES = (
    Stage("preheat", 90.0, board_heater_c=150.0),
    Stage("soak", 60.0, board_heater_c=170.0),
    Stage("reflow", 100.0, 340.0, 15.0, 170.0),
    Stage("cool", 90.0),
)


@dataclass(frozen=True, slots=True)
class Hidden:
    """What a twin's bench really does."""

    factors: Factors
    lag_s: float
    dead: str | None


@cache
def two_targets() -> tuple[Board, Parts, Part, Part]:
    """Return a board of two layers with two quads of one size on unlike copper, and chips near and far from each."""
    first, second = quad("U1", -22.0, 0.0, 10.0), quad("U2", 24.0, 4.0, 10.0)
    near = [
        chip(f"C{10 * i + j}", middle[0] + reach * np.cos(turn), middle[1] + reach * np.sin(turn), bottom=j % 4 == 3)
        for i, middle in enumerate([(-22.0, 0.0), (24.0, 4.0)], 1)
        for j, (reach, turn) in enumerate(zip(RINGS_MM, TURNS, strict=True))
        if abs(middle[1] + reach * np.sin(turn)) < 23 and abs(middle[0] + reach * np.cos(turn)) < 43
    ]
    outline = shapely.box(-45, -25, 45, 25)
    prints = tuple(part.footprint for part in (first, second, *near))
    zones = (pour("B.Cu", shapely.box(-44, -24, 10, 24)), pour("F.Cu", shapely.box(-2, -24, 8, 24)))
    return board(outline, footprints=prints, zones=zones), parts(first, second, *near), first, second


def loads_over(target: Part) -> Loads:
    """Return the twin's nozzle over a target, the same for both."""
    fit = fits(two_targets()[1], target, BENCH, Fixed("quad-14x14"))[0]
    return Loads(fit, "top", BENCH.board_heater, 25.0)


def probes(target: Part) -> tuple[Spot, ...]:
    """Return five places as a technician would choose them: a corner's pad, the top, board near and far, below."""
    pad, middle = target.footprint.pads[0], target.body.centroid
    return (
        pad_spot(target, pad.number, pad.x_mm, pad.y_mm),
        top_spot(target),
        board_spot(middle.x, middle.y, "bottom"),
        board_spot(middle.x + 11.0, middle.y + 1.0, "top"),
        board_spot(middle.x - 2.0, middle.y + 18.0, "top"),
    )


@cache
def calibrated_rig() -> Rig:
    """Return the rig of the run: the first target."""
    held, entries, first, _ = two_targets()
    return rig(held, entries, first, loads_over(first), STAGES, probes(first))


@cache
def true_rig() -> Rig:
    """Return the run's rig as the twin really is: on a finer grid than any fit sees."""
    held, entries, first, _ = two_targets()
    return rig(held, entries, first, loads_over(first), STAGES, probes(first), FINER)


@cache
def unseen_rig(resolution: Resolution | None = None) -> Rig:
    """Return the rig of the target that no fit has seen, with every neighbour's top watched."""
    held, entries, _, second = two_targets()
    near = [part for part in entries.by_id.values() if part.id != second.id]
    middle = second.body.centroid
    close = [part for part in near if shapely.distance(part.body, shapely.Point(middle.x, middle.y)) < 30.0]
    return rig(held, entries, second, loads_over(second), STAGES, tuple(top_spot(part) for part in close), resolution)


def held_before() -> Doubt:
    """Return what is held of the twin's nozzle before any log."""
    return uncalibrated(loads_over(two_targets()[2]).fit.nozzle)


def hidden(seed: int) -> Hidden:
    """Return a bench drawn at random from what is held before; in every third one probe is dead."""
    random = np.random.default_rng(seed)
    spread = held_before().spread
    values = {name: float(np.exp(random.normal(0.0, spread[name]))) for name in NAMES}
    dead = f"T{random.integers(5)}" if seed % 3 == 0 else None
    return Hidden(Factors(**values), LAG_S, dead)


def log_of(truth: Floats, bench: Hidden, seed: int) -> Log:
    """Return the log that probes on a truth (n, k) C at every second would write, with noise."""
    random = np.random.default_rng(1000 + seed)
    read = lagged(truth, bench.lag_s) + random.normal(0.0, NOISE_C, truth.shape)
    names = tuple(f"T{i}" for i in range(truth.shape[1]))
    if bench.dead is not None:
        at = names.index(bench.dead)
        read[:, at] = 25.0 + random.normal(0.0, NOISE_C, len(read))
    return Log("twin.csv", "a" * 64, names, np.arange(len(read), dtype=float), read, 0.0, ())


@cache
def twin_log(seed: int) -> tuple[Hidden, Log]:
    """Return a hidden bench and the log of its run, by the full model on the finer grid."""
    bench = hidden(seed)
    return bench, log_of(shown_in_full(true_rig(), bench.factors), bench, seed)


def peaks(on: Rig, factors: Factors) -> Floats:
    """Return the peaks of a rig's spots by the full model, (k,) C."""
    return np.asarray(shown_in_full(on, factors).max(axis=0))
