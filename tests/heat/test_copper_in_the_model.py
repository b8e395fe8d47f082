"""Copper as it lies, through the assembled network: what leads heat from one place of a board to another."""

from dataclasses import replace

import numpy as np
import pytest
import shapely
from scipy.sparse.linalg import spsolve
from shapely.geometry.base import BaseGeometry

from leeward.board.records import Board, Track, Via
from leeward.heat.grid import Resolution
from leeward.heat.model import assemble
from thermal_boards import board, chip, parts, pour, square

TARGET = chip("C1", 0.0, 4.5)
OUTLINE = shapely.box(-12, -6, 12, 6)
EVEN = Resolution(finest_mm=0.25, coarsest_mm=0.25, growth=1.0, reach_mm=40.0)
FOIL_W_K = 391.0 * 0.035e-3
BARE_W_K = 0.9 * 1.6e-3


def conducted_w_k(plain: Board, hot: BaseGeometry, cold: BaseGeometry, sheets: tuple[int, int] = (0, 0)) -> float:
    """Return what flows per kelvin from cells of one sheet in a shape to cells of a sheet in another."""
    model = assemble(plain, parts(TARGET), TARGET, EVEN)
    held = model.column >= 0
    y, x = (plane[held] for plane in np.meshgrid(model.grid.y_mm, model.grid.x_mm, indexing="ij"))
    value = np.full(model.capacity_j_k.size, np.nan)
    for shape, sheet, at in ((hot, sheets[0], 1.0), (cold, sheets[1], 0.0)):
        value[sheet * model.columns + np.flatnonzero(shapely.contains_xy(shape, x, y))] = at
    free = np.isnan(value)
    matrix = model.conductance_w_k.tocsc()
    value[free] = spsolve(matrix[free][:, free], -(matrix[free][:, ~free] @ value[~free]))
    return float((matrix @ value)[~free & (value == 1.0)].sum())


LEFT, RIGHT = shapely.box(-12, -6, -10, 6), shapely.box(10, -6, 12, 6)


def test_a_slot_in_a_plane_stops_its_heat() -> None:
    """Over a slot of 6 mm through a plane the laminate alone leads; a bridge of 2 mm lets the copper lead again.

    To reach all of the laminate the heat has a way of up to a board's thickness more on either side.
    """
    whole = pour("F.Cu", OUTLINE)
    cut = pour("F.Cu", OUTLINE.difference(shapely.box(-3, -6, 3, 6)))
    bridged = pour("F.Cu", OUTLINE.difference(shapely.box(-3, -6, 3, 4)))
    through, across, bridge = (
        conducted_w_k(board(OUTLINE, zones=(zone,)), LEFT, RIGHT) for zone in (whole, cut, bridged)
    )
    both = FOIL_W_K + BARE_W_K
    assert through == pytest.approx(both * 12.0 / 20.0, rel=0.03)
    most, least = (1 / (14.0 / (12.0 * both) + mm / (12.0 * BARE_W_K)) for mm in (6.0, 6.0 + 2 * 1.6))
    assert least < across < most < through / 3
    over_bridge = 2.0 * both + 10.0 * BARE_W_K
    assert 1.5 * across < bridge < 1 / (14.0 / (12.0 * both) + 6.0 / over_bridge)


def test_a_thermal_relief_throttles() -> None:
    """Four spokes of 0.25 by 0.5 mm lead from a land to its plane at most as they can, and less than a solid tie."""
    land = square(0, 0, 1.0)
    clear = square(0, 0, 2.0).difference(land)
    spokes = shapely.union_all([shapely.box(-1, -0.125, 1, 0.125), shapely.box(-0.125, -1, 0.125, 1)])
    solid, relief, apart = (
        conducted_w_k(board(OUTLINE, zones=(pour("F.Cu", shape),)), land, LEFT)
        for shape in (OUTLINE, OUTLINE.difference(clear).union(spokes), OUTLINE.difference(clear))
    )
    by_spokes = 4 * FOIL_W_K * 0.25 / 0.5
    assert relief < 0.8 * solid
    # The spokes lie in series with the plane and beside the bare ring.
    expected = 1 / (1 / solid + 1 / (by_spokes + apart))
    assert relief == pytest.approx(expected, rel=0.2)
    assert apart < 0.5 * relief


@pytest.mark.parametrize("width_mm", [0.2, 0.5, 1.5])
def test_a_trace_leads_what_its_width_leads(width_mm: float) -> None:
    """A trace across a bare board adds k t w / l to what the board leads, whether it fills cells or lies within one."""
    trace = Track("F.Cu", "", width_mm, ((-12.0, -1.1), (12.0, -1.1)))
    bare = conducted_w_k(board(OUTLINE), LEFT, RIGHT)
    with_trace = conducted_w_k(board(OUTLINE, tracks=(trace,)), LEFT, RIGHT)
    assert with_trace - bare == pytest.approx(FOIL_W_K * width_mm / 20.0, rel=0.05)


@pytest.mark.parametrize("count", [1, 4])
def test_barrels_link_the_layers(count: int) -> None:
    """Each via of 0.3 mm with 25 um plating through 1.6 mm adds 1/190 W/K between planes on either side."""
    planes = (pour("F.Cu", OUTLINE), pour("B.Cu", OUTLINE))
    vias = tuple(Via(-3.1 + 2 * i, -3.1, 0.6, 0.3, ("F.Cu", "B.Cu"), "") for i in range(count))
    everywhere = OUTLINE.buffer(1)
    bare, drilled = (
        conducted_w_k(board(OUTLINE, zones=planes, vias=some), everywhere, everywhere, (0, 3)) for some in ((), vias)
    )
    assert drilled - bare == pytest.approx(count / 190.0, rel=0.02)


def test_inner_copper_leads_by_its_thickness() -> None:
    """A plane of 70 um on an inner layer leads twice as much along the board as one of 35 um."""
    plain = board(OUTLINE, layers=4, zones=(pour("In1.Cu", OUTLINE),))
    layers = tuple(
        replace(layer, thickness_mm=0.07) if layer.name == "In1.Cu" else layer for layer in plain.stackup.layers
    )
    thick = replace(plain, stackup=replace(plain.stackup, layers=layers))
    bare = board(OUTLINE, layers=4)
    none, one, two = (conducted_w_k(each, LEFT, RIGHT, (1, 1)) for each in (bare, plain, thick))
    assert two - none == pytest.approx(2 * (one - none), rel=0.02)
