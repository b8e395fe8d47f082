"""The model of a run: what each thermocouple would show for given factors.

Sensitivities and trial fits are taken from the small stand-in of the thermal model, many settings in one march; the
full model has the last word.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.sparse import csr_array

from leeward.bench.records import Stage
from leeward.board.records import Board
from leeward.calibrate.spots import Spot, readings
from leeward.constants import number
from leeward.heat.factors import Factors
from leeward.heat.grid import Floats, Resolution
from leeward.heat.loads import Loads
from leeward.heat.model import assemble
from leeward.heat.records import ThermalModel
from leeward.heat.reduced import Reduced, reduce
from leeward.heat.reduced_run import march as march_reduced
from leeward.heat.reduced_run import still, weather
from leeward.heat.scaled import scaled
from leeward.heat.stepping import march, step_of, surroundings
from leeward.parts.records import Part, Parts


@dataclass(frozen=True, slots=True)
class Rig:
    """A board under a nozzle with thermocouples on it: the model, its stand-in, and what was set stage by stage."""

    model: ThermalModel
    reduced: Reduced
    loads: Loads  # with all factors at 1
    stages: tuple[Stage, ...]
    spots: tuple[Spot, ...]
    read: csr_array  # (k, n)

    @property
    def time_s(self) -> Floats:
        """Every second of the run from its start, (n,)."""
        return np.arange(0.0, np.ceil(sum(stage.seconds for stage in self.stages)) + 1.0)


def rig(
    board: Board,
    parts: Parts,
    target: Part,
    loads: Loads,
    stages: Sequence[Stage],
    spots: tuple[Spot, ...],
    resolution: Resolution | None = None,
) -> Rig:
    """Return the rig of a target with thermocouples on spots. Raises InputError for a spot that has no temperature."""
    model = assemble(board, parts, target, resolution)
    read = readings(model, spots)
    plain, lasting = replace(loads, factors=Factors()), tuple(stage for stage in stages if stage.seconds > 0)
    return Rig(model, reduce(model, plain, lasting, watched=read), plain, lasting, spots, read)


def shown(on: Rig, factors: Sequence[Factors]) -> Floats:
    """Return what a probe without lag shows on each spot by the stand-in, (c, n, k) C at the rig's times."""
    loads = [replace(on.loads, factors=each) for each in factors]
    state, now = still(on.reduced, len(factors)), 0.0
    times, states = [np.zeros(1)], [state[None]]
    for stage in on.stages:
        around = weather(on.model, on.reduced, loads, [stage] * len(loads))
        time_s, marched = march_reduced(on.reduced, around, factors, state, stage.seconds, _step_s(stage))
        times.append(now + time_s[1:])
        states.append(marched[1:])
        state, now = marched[-1], now + stage.seconds
    read = np.concatenate(states) @ on.reduced.at_watched.T
    return on.loads.ambient_c + _at_seconds(on, np.concatenate(times), np.moveaxis(read, 0, 1))


def shown_in_full(on: Rig, factors: Factors) -> Floats:
    """Return what a probe without lag shows on each spot by the full model, (n, k) C at the rig's times."""
    model, loads = scaled(on.model, factors), replace(on.loads, factors=factors)
    field, now = np.full(model.capacity_j_k.size, loads.ambient_c), 0.0
    times, rows = [0.0], [on.read @ field]
    for stage in on.stages:
        step_s = _step_s(stage)
        equal_s = step_of(stage.seconds, step_s)
        for i, step in enumerate(march(model, surroundings(model, loads, stage), field, stage.seconds, step_s), 1):
            field = step.field
            times.append(now + i * equal_s)
            rows.append(on.read @ field)
        now += stage.seconds
    between: Floats = _at_seconds(on, np.array(times), np.array(rows)[None])[0]
    return between


def _step_s(stage: Stage) -> float:
    return number("calibrate", "step", "still_s" if stage.air_c is None else "blown_s")


def _at_seconds(on: Rig, times: Floats, values: Floats) -> Floats:
    """Return values (c, m, k) at `times` as values (c, n, k) at the rig's times, by straight lines."""
    wanted = on.time_s
    after = np.clip(np.searchsorted(times, wanted), 1, times.size - 1)
    share = np.clip((wanted - times[after - 1]) / (times[after] - times[after - 1]), 0.0, 1.0)[:, None]
    between: Floats = values[:, after - 1] * (1 - share) + values[:, after] * share
    return between
