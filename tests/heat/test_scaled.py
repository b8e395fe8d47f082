"""Factors of board and bodies in a model."""

import numpy as np
import pytest
import shapely

from leeward.heat.factors import NAMES, Factors, prior_spread
from leeward.heat.model import assemble
from leeward.heat.records import ThermalModel
from leeward.heat.scaled import board_nodes, in_plane, scaled
from thermal_boards import board, parts, pour, quad


@pytest.fixture(scope="module")
def model() -> ThermalModel:
    """Return a quad on a board with a plane on the bottom."""
    target = quad("U1", 0.0, 0.0, 10.0)
    outline = shapely.box(-25, -25, 25, 25)
    return assemble(
        board(outline, footprints=(target.footprint,), zones=(pour("B.Cu", outline),)), parts(target), target
    )


def test_plain_factors_leave_the_model_as_it_is(model: ThermalModel) -> None:
    """Factors of one change nothing."""
    same = scaled(model, Factors())
    assert np.array_equal(same.capacity_j_k, model.capacity_j_k)
    assert np.abs((same.conductance_w_k - model.conductance_w_k).data).max(initial=0.0) == 0.0


def test_in_plane_links_join_cells_of_one_sheet_and_nothing_else(model: ThermalModel) -> None:
    """The matrix conserves heat, couples within sheets alone, and leaves the links between sheets and to bodies."""
    links = in_plane(model)
    assert np.abs(links.sum(axis=1)).max() < 1e-9
    rest = (model.conductance_w_k - links).tocoo()
    a, b = rest.coords
    board = board_nodes(model)
    within = (a != b) & (a < board) & (b < board) & (a // model.columns == b // model.columns)
    assert np.abs(rest.data[within]).max(initial=0.0) < 1e-12
    assert links.nnz > 4 * model.columns


def test_thicker_copper_carries_more_and_heavier_laminate_holds_more(model: ThermalModel) -> None:
    """Each factor acts on its own quantity by its own size."""
    more = scaled(model, Factors(copper=1.1, laminate_heat=1.2, body_heat=1.3))
    first = board_nodes(model)
    assert more.capacity_j_k[:first] == pytest.approx(1.2 * model.capacity_j_k[:first])
    assert more.capacity_j_k[first:] == pytest.approx(1.3 * model.capacity_j_k[first:])
    change = more.conductance_w_k - model.conductance_w_k
    assert np.abs((change - 0.1 * in_plane(model)).data).max() < 1e-9


def test_every_factor_has_a_spread_before_calibration() -> None:
    """Each factor's doubt is stated, and a boxed nozzle's coefficient is doubted more than a round bore's."""
    boxed, bore = prior_spread(boxed=True), prior_spread(boxed=False)
    assert set(boxed) == set(NAMES)
    assert all(0 < spread < 1 for spread in (*boxed.values(), *bore.values()))
    assert boxed["air_h"] > bore["air_h"]
