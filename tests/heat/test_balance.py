"""Where the heat of a run came from and went to."""

import numpy as np
import pytest

from leeward.bench.fit import fits
from leeward.bench.read import read_bench
from leeward.heat.balance import arrivals, energy
from leeward.heat.loads import Loads
from leeward.heat.model import assemble
from leeward.heat.recipe import Held, starting_recipe
from leeward.heat.records import ThermalModel
from leeward.heat.run import Run, march_stages
from thermal_boards import board, chip, parts, quad, square

TARGET, NEAR, BELOW = quad("U1", 0, 0, 10.0), chip("C1", 9, 0), chip("C2", 0, 0, bottom=True)


def solved(heater_c: float | None = None) -> tuple[ThermalModel, Run]:
    """Return a quad's run with a chip beside it and one below."""
    everything, bench = parts(TARGET, NEAR, BELOW), read_bench()
    model = assemble(board(square(0, 0, 60.0)), everything, TARGET)
    fit = fits(everything, TARGET, bench)[0]
    recipe = starting_recipe(bench, TARGET, fit.nozzle, "SAC305", Held(board_heater_c=heater_c))
    return model, march_stages(model, Loads(fit, "top", bench.board_heater, bench.ambient_c), recipe)


def test_what_came_through_the_board_is_kept_or_lost() -> None:
    """With the heater off, the chip below got through the board what it stored and gave to the room, to 1 %."""
    model, run = solved(heater_c=0.0)
    leg = next(leg for leg in run.legs if leg.stage.name == "reflow")
    by_air, by_copper = arrivals(model, run)
    i, node = list(model.bodies).index(BELOW.id), model.bodies[BELOW.id].core
    lost = np.diff(leg.time_s) @ [flux.to_room_w[model.faces.node == node].sum() for flux in leg.flux]
    kept = model.capacity_j_k[node] * (leg.body_c[-1, i] - leg.body_c[0, i])
    assert lost > 0.1 * kept > 0
    assert by_air[i] == 0.0
    assert by_copper[i] == pytest.approx(kept + lost, rel=0.01)


def test_air_warms_what_is_beside_and_not_what_is_below() -> None:
    """The chip beside the nozzle gets heat from its air, the one under the board none."""
    model, run = solved()
    by_air, _ = arrivals(model, run)
    found = dict(zip(model.bodies, by_air, strict=True))
    assert found[NEAR.id] > 0
    assert found[BELOW.id] == 0


def test_the_sum_closes() -> None:
    """Supplied heat is stored or lost to 0.1 %, and stored heat is that of the last field."""
    model, run = solved()
    total = energy(model, run)
    assert abs(total.imbalance) < 0.001
    assert total.stored_j == pytest.approx(float(model.capacity_j_k @ (run.end - 25.0)))
