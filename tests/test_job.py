"""Finding targets and ordering several."""

import random
from collections.abc import Sequence
from dataclasses import replace
from itertools import permutations

import pytest
import shapely

from cases import case_of, cell
from leeward.errors import NothingAssessed, UsageError
from leeward.job import fewest_cycles, find_target, find_targets, order
from leeward.known import Known
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


def fewest_by_trying(ids: list[str], pairs: list[tuple[str, str]], again: dict[tuple[str, str], float]) -> float:
    """Return the least cost of any order that keeps the pairs, by trying every order."""
    orders = [order for order in permutations(ids) if all(order.index(a) < order.index(b) for a, b in pairs)]
    return min(cost_of(order, again) for order in orders)


def cost_of(order_: Sequence[str], again: dict[tuple[str, str], float]) -> float:
    """Return how often targets are melted again before they come off."""
    return sum(again[worked, later] for i, worked in enumerate(order_) for later in order_[i + 1 :])


@pytest.mark.parametrize("seed", range(20))
def test_targets_see_the_fewest_heat_cycles(seed: int) -> None:
    """Over 20 seeded sets of five targets with pairs to keep, the order costs as little as any that keeps them."""
    chance = random.Random(seed)  # noqa: S311  # seeded cases, no secret
    ids = ["A", "B", "C", "D", "E"]
    again = {(a, b): chance.random() for a in ids for b in ids}
    pairs = [(a, b) for i, a in enumerate(ids) for b in ids[i + 1 :] if chance.random() < 0.2]
    found = fewest_cycles(ids, pairs, again)
    assert sorted(found) == ids
    assert all(found.index(a) < found.index(b) for a, b in pairs)
    assert cost_of(found, again) == pytest.approx(fewest_by_trying(ids, pairs, again))


def test_many_targets_are_ordered_step_by_step() -> None:
    """Twelve targets keep their pairs and are all there; of equals the first by reference."""
    ids = [f"U{i}" for i in range(12)]
    again = {(a, b): 0.0 for a in ids for b in ids}
    assert fewest_cycles(ids, [("U11", "U0")], again) == (*ids[1:], "U0")


def test_what_one_job_would_melt_again_comes_off_before_it() -> None:
    """A quad beside which another melts is worked after that other, where nothing else decides."""
    ids = ["U1", "U2"]
    assert fewest_cycles(ids, [], {("U1", "U2"): 0.6, ("U2", "U1"): 0.1, ("U1", "U1"): 0, ("U2", "U2"): 0}) == (
        "U2",
        "U1",
    )


def test_targets_that_block_each_other_are_a_ring() -> None:
    """Two tall quads, each under the other's nozzle: no order satisfies both, and that is said."""
    one, other = (
        replace(quad(ref, x, 0, 7.0), height_mm=Known(8.0, "test", "high")) for ref, x in (("U1", 0), ("U2", 9.2))
    )
    sequence = order([case_of(one, other), case_of(other, one)])
    assert sequence.cycles == (("id-U1", "id-U2"),)
    assert sequence.take_off_first == (("id-U1", "id-U2"), ("id-U2", "id-U1"))
    assert sorted(sequence.order) == ["id-U1", "id-U2"]
    assert all("in the way of the nozzle" in why for why in sequence.because)
