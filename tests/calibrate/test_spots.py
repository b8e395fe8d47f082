"""Where probes sit, and what they read of a model."""

import numpy as np
import pytest

from calibrate.twins import two_targets
from leeward.calibrate.run_file import Channel
from leeward.calibrate.spots import board_spot, readings, spot_of, top_spot
from leeward.errors import InputError
from leeward.heat.model import assemble
from leeward.heat.records import ThermalModel


@pytest.fixture(scope="module")
def model() -> ThermalModel:
    """Return the model round the first of the twin board's targets."""
    held, entries, first, _ = two_targets()
    return assemble(held, entries, first)


def test_a_probe_reads_what_it_sits_on(model: ThermalModel) -> None:
    """A pad reads its joint, a part the top face of its body, each with weights that add up to one."""
    _, entries, first, _ = two_targets()
    pad = spot_of(Channel(name="a", pad="5"), first, entries, "run.toml")
    top = spot_of(Channel(name="b", ref="C10"), first, entries, "run.toml")
    read = readings(model, (pad, top, top_spot(first)))
    assert read.sum(axis=1) == pytest.approx([1.0, 1.0, 1.0])
    field = np.zeros(model.capacity_j_k.size)
    field[model.bodies["id-C10"].top_face] = 7.0
    field[model.bodies[first.id].top_face] = 9.0
    assert read @ field == pytest.approx([0.0, 7.0, 9.0])
    joint = next(i for i, entry in enumerate(model.joints) if (entry.part_id, entry.pad) == (first.id, "5"))
    ramp = np.arange(model.capacity_j_k.size, dtype=float)
    assert (read @ ramp)[0] == pytest.approx((model.joint_share @ ramp)[joint])


@pytest.mark.parametrize("side", ["top", "bottom"])
def test_a_place_on_the_board_is_read_between_cells(side: str, model: ThermalModel) -> None:
    """A field that rises evenly across the board is read as it is at any place within, on its own side alone."""
    ny, nx = model.grid.shape
    x, y = np.meshgrid(model.grid.x_mm, model.grid.y_mm)
    sheet = (2.0 * x - 3.0 * y)[model.column >= 0]
    field = np.full(model.capacity_j_k.size, np.nan)
    first = 0 if side == "top" else (len(model.stack.sheets) - 1) * model.columns
    field[first : first + model.columns] = sheet
    spot = board_spot(-20.3, 5.1, side)  # type: ignore[arg-type]  # one of the two sides
    rows = readings(model, (spot,))
    value = rows.data @ field[rows.indices]
    assert value == pytest.approx(2.0 * -20.3 - 3.0 * 5.1, abs=1e-6)
    assert (ny, nx) == model.column.shape


@pytest.mark.parametrize(
    ("channel", "told"),
    [
        (Channel(name="a", ref="C99"), "channel a: no part C99 on this board"),
        (Channel(name="a", pad="999"), "channel a: U1 has no pad 999"),
        (Channel(name="a", ref="C10", pad="9"), "channel a: C10 has no pad 9"),
    ],
)
def test_places_that_the_board_does_not_have_are_named(channel: Channel, told: str) -> None:
    """An unknown part or pad is refused with the channel's name and the run file."""
    _, entries, first, _ = two_targets()
    with pytest.raises(InputError, match=told) as refused:
        spot_of(channel, first, entries, "run.toml")
    assert str(refused.value).startswith("run.toml")


def test_a_place_that_no_temperature_is_computed_for_is_refused(model: ThermalModel) -> None:
    """Off the board and beyond the window there is nothing to compare with."""
    with pytest.raises(InputError, match="no temperature is computed for board, x 80, y 0, top"):
        readings(model, (board_spot(80.0, 0.0, "top"),))
