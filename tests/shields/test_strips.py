"""Strips and sheets of tape."""

import random
from collections.abc import Sequence
from dataclasses import replace
from functools import cache
from itertools import combinations

import numpy as np
import pytest
import shapely

from leeward.constants import number
from leeward.parts.records import Part
from leeward.shields.candidates import faces_nozzle
from leeward.shields.choose import choose
from leeward.shields.pieces import piece, settled_among
from leeward.shields.records import Piece
from leeward.shields.site import Box, Site, Standing, around, as_array, grown, meets
from leeward.shields.strips import across_needed_mm, cannot_be_taped, ground, sheets, strips
from shields.grounds import air_everywhere, bottom_of, material, top_of
from thermal_boards import chip, footprint, land, part, quad, square

U1 = quad("U1", 0, 0, 14.0)  # leads to 8 mm, nozzle wall's outside at 9.8 mm, room to 10.1 mm


def standing(here: Site, *refs: str) -> list[Standing]:
    """Return parts of a site by reference; all of them where none is named."""
    return [entry for entry in here.standing if not refs or entry.part.ref in refs]


def laid(here: Site, *refs: str) -> list[Piece]:
    """Return the pieces that hold parts, by the project's own choice."""
    where = ground(here, material("tape"))
    wanted = [entry for entry in standing(here, *refs) if cannot_be_taped(where, entry) is None]
    offers = [*strips(where, wanted), *sheets(where, wanted)]
    taken = choose([offer.serves for offer in offers], [offer.cost for offer in offers], lambda _a, _b: False)
    return settled_among([piece(offers[i]) for i in taken])


def wall_room(here: Site) -> Box:
    """Return the nozzle's room of the side that is worked."""
    assert here.nozzle is not None
    return here.nozzle


def test_a_strip_covers_a_row_and_lands_on_the_board() -> None:
    """Three chips in a row get one strip that reaches a millimetre beyond them, from a roll of the bench."""
    here = top_of(U1, *(chip(f"C{i}", 25, 4 * i) for i in range(3)))
    (strip,) = laid(here)
    assert set(strip.covers) == {"id-C0", "id-C1", "id-C2"}
    hull = shapely.union_all([entry.part.body for entry in here.standing])
    assert strip.area.contains(hull.buffer(0.9, join_style="mitre"))
    assert strip.roll_width_mm in material("tape").widths_mm
    assert strip.width_mm <= strip.roll_width_mm


def test_length_and_width_count_the_steps() -> None:
    """Over chips 0.8 mm tall the tape goes up and down: plan width and 1.6 mm across; each step along its length."""
    here = top_of(U1, chip("C1", 25, 0), chip("C2", 25, 6))
    (strip,) = laid(here)
    x0, y0, x1, y1 = strip.area.bounds
    along, across = (x1 - x0, y1 - y0) if strip.angle_deg == 0 else (y1 - y0, x1 - x0)
    assert strip.width_mm == pytest.approx(across + 2 * 0.8, abs=0.01)
    steps = 2 * 0.8  # equal heights: once up, once down
    assert strip.length_mm == pytest.approx(along + steps, abs=0.01)


def test_the_edge_at_the_nozzle_is_folded_up() -> None:
    """A strip beside the nozzle's room has its near edge as a dam; the fold for it is in its pattern."""
    here = top_of(U1, chip("C1", 11.6, 0))
    (strip,) = laid(here)
    room = wall_room(here)
    assert strip.dams.length > 0
    assert strip.dams.distance(shapely.box(*room)) < number("covers", "cut", "dam_reach_mm")
    assert strip.pattern is not None
    assert len(strip.pattern.folds) == 1
    assert strip.height_mm == number("covers", "cut", "dam_mm")


def test_nothing_is_laid_under_the_nozzle() -> None:
    """A chip under the wall cannot be taped, and the reason says so."""
    here = top_of(U1, chip("C1", 10.0, 0))
    why = cannot_be_taped(ground(here, material("tape")), here.standing[0])
    assert why == "no room beside the nozzle"


def body_at(x: float, y: float, size: float, **made: object) -> Part:
    """Return a square part with one land."""
    body = square(x, y, size)
    return part(footprint("J1", (land("1", square(x, y, 1)),), body), body, **made)  # type: ignore[arg-type]  # passed on


@pytest.mark.parametrize(
    ("made", "why"),
    [
        ({"hazards": ("electrolytic",)}, "its vent must stay free"),
        ({"hazards": ("port",)}, "its port must stay free"),
        ({"style": "connector"}, "its contacts stand open"),
        ({"height_mm": 4.0}, "4.0 mm tall"),
    ],
)
def test_tape_stays_off_vents_ports_contacts_and_tall_bodies(made: dict[str, object], why: str) -> None:
    """A strip between two chips is not drawn over what stands between them, and that itself cannot be taped."""
    here = top_of(U1, chip("C1", 20, 0), body_at(25, 0, 3.0, **made), chip("C2", 30, 0))
    where = ground(here, material("tape"))
    (middle,) = standing(here, "J1")
    assert cannot_be_taped(where, middle) == why
    for strip in laid(here, "C1", "C2"):
        assert strip.area.intersection(middle.part.body).area == 0


def test_one_sheet_with_a_window_serves_round_a_tall_body() -> None:
    """Chips on all sides of a connector get one sheet with the connector cut out, not four strips."""
    ring = [chip(f"C{i}", 25 + x, y) for i, (x, y) in enumerate([(-4, 0), (4, 0), (0, -4), (0, 4)])]
    here = top_of(U1, *ring, body_at(25, 0, 3.0, style="connector"))
    (sheet,) = laid(here, *(entry.ref for entry in ring))
    assert sheet.shape == "sheet"
    assert sheet.area.interiors
    assert sheet.pattern is not None
    assert len(sheet.pattern.windows) == 1


def test_the_tapes_face_stays_under_its_limit() -> None:
    """Where the face under the tape is hotter than the adhesive bears, no tape is laid; a little cooler, it is."""
    hot, cool = (top_of(U1, chip("C1", 25, 0), exposure=air_everywhere(100.0, 330.0, c)) for c in (262.0, 250.0))
    assert cannot_be_taped(ground(hot, material("tape")), hot.standing[0]) == "the tape would pass 260 C there"
    assert cannot_be_taped(ground(cool, material("tape")), cool.standing[0]) is None


def test_below_there_is_no_nozzle_to_keep_clear_of() -> None:
    """Chips under the target are held by tape on the other side."""
    here = bottom_of(U1, chip("C1", 0, 0, bottom=True), chip("C2", 3, 3, bottom=True))
    (strip,) = laid(here)
    assert strip.side == "bottom"
    assert strip.dams.is_empty


def scattered(seed: int, count: int) -> Site:
    """Return a ground with chips strewn where they can be taped: clear of the nozzle's room."""
    chance = random.Random(seed)  # noqa: S311  # seeded cases, no secret
    chips: list[Part] = []
    while len(chips) < count:
        entry = chip(f"C{len(chips)}", round(chance.uniform(-28, 28), 2), round(chance.uniform(-28, 28), 2))
        clear = max(abs(entry.body.centroid.x), abs(entry.body.centroid.y)) > 11.8
        if clear and all(entry.body.distance(other.body) > 1.2 for other in chips):
            chips.append(entry)
    return top_of(U1, *chips)


@pytest.mark.parametrize("seed", range(25))
def test_what_can_be_covered_is_covered_within_a_third_of_the_fewest(seed: int) -> None:
    """Over 25 seeded boards of eight chips all are covered, and by at most 1.3 times the fewest plain strips there are.

    The fewest are found by themselves here: the least number of groups of chips such that the box round each group,
    either way round, fits a roll and meets nothing that must stay free.
    """
    here = scattered(seed, 8)
    pieces = laid(here)
    covered = {part_id for each in pieces for part_id in each.covers}
    assert covered == {entry.part.id for entry in here.standing}
    for entry in here.standing:
        mine = shapely.union_all([each.area for each in pieces if entry.part.id in each.covers])
        assert mine.buffer(1e-6).contains(here.frame.board(shapely.box(*entry.plan)))
    assert len(pieces) <= 1.3 * fewest_strips(here)


def fewest_strips(here: Site) -> int:
    """Return the least number of plain strips that cover all chips, by trying every partition into groups."""
    entries = list(here.standing)
    count = len(entries)
    fits = [
        mask for mask in range(1, 1 << count) if one_strip(here, [entries[i] for i in range(count) if mask >> i & 1])
    ]

    @cache
    def least(left: int) -> int:
        if not left:
            return 0
        first = left & -left
        return 1 + min(least(left & ~mask) for mask in fits if mask & first and mask & left == mask)

    return least((1 << count) - 1)


def one_strip(here: Site, group: Sequence[Standing]) -> bool:
    """Return whether one plain strip holds a group."""
    box = around(entry.plan for entry in group)
    if meets(box, as_array([wall_room(here)])).any():
        return False
    tape = material("tape")
    longest = number("covers", "cut", "longest_mm")
    ways = ((box[2] - box[0], "u"), (box[3] - box[1], "v"))
    return any(
        long <= longest and across_needed_mm(here, box, along) <= max(tape.widths_mm)  # type: ignore[arg-type]  # u or v
        for long, along in ways
    )


@pytest.mark.parametrize("seed", range(25, 40))
def test_pieces_keep_off_wall_lands_and_folded_edges(seed: int) -> None:
    """Over 15 seeded crowded boards no piece meets the nozzle's wall, a land of the target or another's folded edge."""
    here = scattered(seed, 24)
    pieces = laid(here)
    room = here.frame.board(shapely.box(*grown(wall_room(here), -0.3)))
    lands = shapely.union_all([each.copper for each in U1.footprint.pads])
    for one, other in combinations(pieces, 2):
        for dam, area in ((one.dams, other.area), (other.dams, one.area)):
            assert dam.is_empty or area.buffer(-1e-3).intersection(dam).length < 1e-6
    for each in pieces:
        assert each.area.intersection(room).area < 1e-9
        assert each.area.intersection(lands).area < 1e-9
        assert np.isclose(each.area.intersection(shapely.box(-60, -60, 60, 60)).area, each.area.area)


@pytest.mark.parametrize(("x", "y", "edge"), [(1, 0, 0), (0, 1, 1), (-1, 0, 2), (0, -1, 3)])
def test_the_edge_that_faces_the_nozzle_is_told_on_all_four_sides(x: int, y: int, edge: int) -> None:
    """A box right of the nozzle faces it with its left edge, one below with its upper, and so on round; no other."""
    here = top_of(U1)
    room = wall_room(here)
    reach = number("covers", "cut", "dam_reach_mm")
    half = 1.0
    for gap_mm, faces in ((reach - 0.05, True), (reach + 0.05, False)):
        middle = (x * (room[2] + gap_mm + half), y * (room[3] + gap_mm + half))
        box = (middle[0] - half, middle[1] - half, middle[0] + half, middle[1] + half)
        assert faces_nozzle(here, box) == tuple(faces and at == edge for at in range(4))


def test_pieces_are_numbered_clockwise_sheets_first() -> None:
    """Seen from the top: sheets before strips, and strips round their middle from twelve o'clock on."""
    places = {"C1": (25, 0), "C2": (0, 25), "C3": (-25, 0), "C4": (0, -25)}  # right, below, left, above
    here = top_of(U1, *(chip(ref, x, y) for ref, (x, y) in places.items()))
    where = ground(here, material("tape"))
    found = settled_among([piece(strips(where, [entry])[0]) for entry in here.standing])
    assert [strip.covers for strip in found] == [("id-C4",), ("id-C1",), ("id-C2",), ("id-C3",)]
    mixed = settled_among([replace(strip, shape="sheet") if strip.number == 3 else strip for strip in found])
    assert [strip.covers[0] for strip in mixed] == ["id-C2", "id-C4", "id-C1", "id-C3"]
