"""Finding targets and ordering several."""

from dataclasses import replace

import pytest
import shapely

from cases import case_of, cell
from leeward.errors import NothingAssessed, UsageError
from leeward.job import find_target, find_targets, order
from thermal_boards import board, footprint, land, part, parts, quad, square

U1, U2 = quad("U1", 0, 0, 7.0), quad("U12", 30, 0, 7.0)
PLAIN = board(square(0, 0, 90), footprints=(U1.footprint, U2.footprint, footprint("LOGO1", (), square(5, 5, 2))))


def test_a_part_is_found_by_reference_and_by_id() -> None:
    """Both names lead to the same part, and naming it twice gives it once."""
    assert find_targets(PLAIN, parts(U1, U2), ["U1", "id-U1"]) == (U1,)


def test_an_unknown_reference_names_near_ones() -> None:
    """A reference that is not on the board is answered with those that resemble it."""
    with pytest.raises(NothingAssessed, match="no part U2 on this board; nearest: U1"):
        find_target(PLAIN, parts(U1, U2), "U2")


def test_a_part_without_pads_is_nothing_to_assess() -> None:
    """A logo is on the board, but there is nothing to solder."""
    with pytest.raises(NothingAssessed, match="LOGO1 has no pads"):
        find_target(PLAIN, parts(U1, U2), "LOGO1")


def test_a_repeated_reference_asks_for_an_id() -> None:
    """Two parts of one reference are told apart by id and place."""
    twin = replace(U2, footprint=replace(U2.footprint, ref="U1"))
    choices = r"2 parts are called U1; name one by its id: id-U1 \(x 0\.00, y 0\.00\), id-U12"
    with pytest.raises(UsageError, match=choices):
        find_target(PLAIN, parts(U1, twin), "U1")


def test_what_stands_in_the_nozzles_way_comes_off_first() -> None:
    """A tall connector under the wall of a quad's nozzle, a target too, is worked before the quad."""
    body = shapely.box(5.0, -2, 9.0, 2)
    tall = part(footprint("J1", (land("1", square(7, 0, 1)),), body), body, style="connector", height_mm=6.0)
    quad_case, tall_case = case_of(U1, tall), case_of(tall, U1)
    assert [blocker.ref for blocker in quad_case.loads.fit.blockers] == ["J1"]
    sequence = order([quad_case, tall_case])
    assert sequence.order == ("id-J1", "id-U1")
    assert sequence.take_off_first == (("id-J1", "id-U1"),)


def test_what_bears_no_heat_comes_off_first() -> None:
    """Of a quad and the cell beside it, both to come off, the cell is first; a quad alone has no such pair."""
    quad_case = case_of(quad("U1", 0, 0, 7.0), cell("BT1", 20, 0))
    cell_case = case_of(cell("BT1", 20, 0), quad("U1", 0, 0, 7.0))
    sequence = order([quad_case, cell_case])
    assert sequence.order == ("id-BT1", "id-U1")
    assert sequence.take_off_first == (("id-BT1", "id-U1"),)
    assert sequence.cycles == ()
    assert order([quad_case]).take_off_first == ()
