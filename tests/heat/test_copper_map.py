"""The copper of a whole board on a raster."""

import numpy as np
import pytest
import shapely

from leeward.board.records import Board, Track
from leeward.heat.copper import coverage
from leeward.heat.copper_map import LocalCopper, copper_map, local_cover, mapped_cover, remapped
from leeward.heat.grid import Box, Grid, Resolution
from leeward.heat.model import assemble
from thermal_boards import board, chip, parts, pour, square

OUTLINE = shapely.box(3.0, -2.0, 33.0, 18.0)


def copper_board(*tracks: Track) -> Board:
    """Return a board with a pour on one layer and tracks on the other."""
    return board(OUTLINE, zones=(pour("B.Cu", shapely.box(5, 0, 20, 9.3)),), tracks=tracks)


def test_cover_on_the_rasters_lines_is_exact() -> None:
    """Cells whose edges lie on lines of the raster hold what the polygons hold."""
    trace = Track("F.Cu", "A", 0.4, ((6.0, 1.0), (14.0, 7.0)))
    plain = copper_board(trace)
    grid = Grid(np.arange(4.0, 30.0, 2.0), np.arange(-1.0, 17.0, 3.0))
    known = copper_map(plain, 0.25)
    for layer in plain.copper_layers:
        exact = coverage(plain, layer, grid).reshape(5, 4, 12, 4).mean(axis=(1, 3))
        np.testing.assert_allclose(mapped_cover(known, layer, grid), exact, atol=1e-6)


def test_cover_off_the_lines_keeps_the_area() -> None:
    """Cells anywhere over a straight pour hold its area within what half a raster cell of its edge makes."""
    plain = copper_board()
    grid = Grid(np.array([4.03, 6.11, 9.87, 21.4]), np.array([-1.3, 3.14, 9.9]))
    found = mapped_cover(copper_map(plain, 0.2), "B.Cu", grid)
    assert float((found * grid.areas_mm2).sum()) == pytest.approx(15 * 9.3, rel=1e-6)
    assert found.min() >= 0.0
    assert found.max() <= 1.0


def test_nothing_is_known_beyond_the_board() -> None:
    """A window that reaches past the board's bounds finds no copper there."""
    known = copper_map(copper_board(), 0.5)
    beyond = mapped_cover(known, "B.Cu", Grid(np.array([-20.0, 3.0, 40.0]), np.array([-30.0, -2.0, 18.0, 60.0])))
    assert beyond[0].max() == beyond[2].max() == beyond[:, 0].max() == 0.0
    assert beyond[1, 1] == pytest.approx(15 * 9.3 / (37 * 20), rel=1e-6)


def test_a_patch_is_as_good_as_a_new_map() -> None:
    """After a track has come and the box round it was gone through again, the map is that of the new board."""
    before, after = copper_board(), copper_board(Track("F.Cu", "A", 0.4, ((20.0, 12.0), (28.0, 13.0))))
    patched = remapped(copper_map(before, 0.2), after, {"F.Cu"}, Box(19.0, 11.0, 29.0, 14.0))
    fresh = copper_map(after, 0.2)
    for layer in after.copper_layers:
        np.testing.assert_allclose(patched.share[layer], fresh.share[layer], atol=1e-6)


def test_a_box_off_the_board_changes_nothing() -> None:
    """A patch beside the board leaves the map as it was."""
    known = copper_map(copper_board(), 0.5)
    assert remapped(known, copper_board(), {"F.Cu"}, Box(100, 100, 101, 101)) is known


def test_a_model_of_the_map_is_that_of_the_polygons() -> None:
    """Heat capacity and conductance of a model read from the map differ little from the polygons' own."""
    planes = (pour("In1.Cu", shapely.box(1, 1, 39, 24)), pour("In2.Cu", square(20, 20, 30)))
    target = chip("R1", 20.0, 20.0)
    plain = board(square(20, 20, 40), layers=4, footprints=(target.footprint,), zones=planes)
    coarse = Resolution(0.5, 4.0, 1.5, 20.0)
    exact = assemble(plain, parts(target), target, coarse)
    known = LocalCopper(copper_map(plain, 0.2), Box(18.0, 18.0, 22.0, 22.0), plain)
    mapped = assemble(plain, parts(target), target, coarse, copper=known)
    assert mapped.capacity_j_k.sum() == pytest.approx(exact.capacity_j_k.sum(), rel=1e-3)
    np.testing.assert_allclose(mapped.conductance_w_k.diagonal(), exact.conductance_w_k.diagonal(), rtol=0.05)


def test_at_a_target_the_gaps_of_a_relief_stay_open() -> None:
    """A gap of 0.15 mm, blurred by the raster, is as empty in the box round a target as it is drawn."""
    split = (pour("B.Cu", shapely.box(5, 0, 12.07, 9)), pour("B.Cu", shapely.box(12.22, 0, 20, 9)))
    plain = board(OUTLINE, zones=split)
    grid = Grid(np.arange(10.0, 14.0, 0.05), np.arange(2.0, 8.0, 1.0))
    known = LocalCopper(copper_map(plain, 0.2), Box(11.0, 3.0, 13.0, 6.0), plain)
    gap = slice(42, 44)  # 12.10 to 12.20 mm
    assert local_cover(known, "B.Cu", grid)[1:4, gap].max() == pytest.approx(0.0, abs=1e-9)
    assert local_cover(known, "B.Cu", grid)[0, gap].min() > 0.2
