"""Copper as it lies: conductance between cells."""

import numpy as np
import pytest
import shapely

from leeward.board.records import Track, Via
from leeward.heat.copper import barrels, coarse, coverage, sheet_conductances
from leeward.heat.grid import SUBCELLS, Grid
from thermal_boards import board, pour

CELLS = Grid(np.arange(0.0, 5.0), np.arange(0.0, 4.0))  # four by three cells of 1 mm


def sheet(copper: "shapely.Geometry") -> "np.ndarray":
    """Return a sheet of 1 W/K copper on a nearly insulating ground over CELLS."""
    plain = board(shapely.box(0, 0, 4, 3), zones=(pour("F.Cu", copper),))
    return np.maximum(coverage(plain, "F.Cu", CELLS), 1e-6)


def test_a_full_sheet_conducts_as_a_sheet() -> None:
    """Square cells of a full sheet are joined by the sheet's own conductance."""
    along_x, along_y = sheet_conductances(sheet(shapely.box(-1, -1, 5, 4)), CELLS)
    np.testing.assert_allclose(along_x, 1.0)
    np.testing.assert_allclose(along_y, 1.0)


def test_a_slot_stops_heat_across_but_not_along() -> None:
    """A quarter-millimetre slot through the sheet cuts cells apart across it and leaves those along it joined."""
    slotted = shapely.box(-1, -1, 5, 4).difference(shapely.box(1.75, -1, 2.0, 4))
    along_x, along_y = sheet_conductances(sheet(slotted), CELLS)
    assert along_x[:, 1].max() < 1e-4
    assert along_y[:, 1].min() > 0.7


def test_a_trace_carries_what_its_width_carries() -> None:
    """A trace a quarter of a cell wide along x carries a quarter of a full sheet."""
    along_x, _ = sheet_conductances(sheet(shapely.box(-1, 1.25, 5, 1.5)), CELLS)
    np.testing.assert_allclose(along_x[1], 0.25, rtol=1e-3)


def test_copper_that_does_not_meet_hardly_conducts() -> None:
    """Two traces that end side by side in a cell without touching carry under a fifth of one that goes through."""
    apart = shapely.union_all([shapely.box(-1, 1.0, 2, 1.25), shapely.box(2, 1.75, 5, 2.0)])
    along_x, _ = sheet_conductances(sheet(apart), CELLS)
    assert along_x[1, 1] < 0.05
    assert along_x[1, 0] > 0.24


def test_all_kinds_of_copper_count() -> None:
    """Zone, track and via land of a layer are all covered; other layers are not."""
    plain = board(
        shapely.box(0, 0, 4, 3),
        zones=(pour("F.Cu", shapely.box(0, 0, 1, 1)), pour("B.Cu", shapely.box(0, 0, 4, 3))),
        tracks=(Track("F.Cu", "", 0.5, ((1.5, 1.5), (3.5, 1.5))),),
        vias=(Via(3.5, 2.5, 0.8, 0.4, ("F.Cu", "B.Cu"), ""),),
    )
    covered = coarse(coverage(plain, "F.Cu", CELLS), CELLS)
    assert covered[0, 0] == pytest.approx(1.0)
    assert covered[1].sum() == pytest.approx(2 * 0.5 + np.pi * 0.25**2, rel=0.03)
    assert covered[2, 3] == pytest.approx(np.pi * 0.4**2, rel=0.03)
    assert covered[0, 1:].max() == 0
    assert coverage(plain, "F.Cu", CELLS).shape == (3 * SUBCELLS, 4 * SUBCELLS)


def test_a_via_barrel_of_handbook_size_is_190_kelvin_per_watt() -> None:
    """A 0.3 mm hole with 25 um plating through 1.6 mm has R = L / (k pi (d - p) p) = 190 K/W (copper 391 W/mK)."""
    plain = board(shapely.box(0, 0, 4, 3), vias=(Via(1, 1, 0.6, 0.3, ("F.Cu", "B.Cu"), ""),))
    section_m2 = barrels(plain, 0.025).section_mm2[0] * 1e-6
    assert 1.6e-3 / (391 * section_m2) == pytest.approx(190, rel=0.01)
