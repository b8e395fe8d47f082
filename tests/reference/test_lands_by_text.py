"""Reasons given for lands, against the board file's own text.

The ten riskiest lands of one part on each of five boards were looked up in the file: which segments end in them with
which width and to which side, which vias of their net lie there, in which filled polygons those stand. The same
questions are asked of the text for whichever lands rank highest now. `copper_in_text` reads nothing but the text.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache
from pathlib import Path

import pytest

from copper_in_text import Copper, copper_at, pads_of
from leeward.bench.fit import fits
from leeward.bench.read import read_bench
from leeward.board.read import read
from leeward.board.records import Board, Pad
from leeward.heat.bodies import soldered_pads
from leeward.heat.find import RecipeAnswer, Window
from leeward.heat.loads import Loads
from leeward.heat.model import assemble, own_board
from leeward.heat.recipe import Held, starting_recipe
from leeward.heat.solve import solve
from leeward.job import find_target
from leeward.parts.identify import identify
from leeward.parts.records import Part, Parts
from leeward.review.anchors import OUTER, Anchors, anchors
from leeward.review.laminate import laminate
from leeward.review.pads import pads, words
from leeward.review.records import Case
from leeward.review.ties import Ties, ties
from leeward.review.words import direction
from leeward.shields.plan import NO_SHIELDS
from needs import kicad_demo, outside_board
from thermal_boards import certain

SAMPLES = Path(__file__).parents[2] / "sample_boards"
# Board and part: number of the land, what holds it, which planes draw on it.
LOOKED_UP: Mapping[tuple[str, str], Mapping[str, tuple[str, str]]] = {
    ("tide_logger.kicad_pcb", "U1"): {
        "87": ("trace 0.2 mm to the east, 1 via near", ""),
        "78": ("trace 0.2 mm to the west, 1 via near", "tied to planes of GND, through 1 via on In1.Cu, B.Cu"),
        "2": ("trace 0.2 mm to the west, 1 via near", ""),
        "79": ("trace 0.2 mm to the north-west, 1 via near", "tied to planes of 3V3, through 1 via on In2.Cu"),
        "73": ("trace 0.2 mm to the south-east", ""),
        "69": ("trace 0.2 mm to the north, 1 via near", ""),
        "42": ("trace 0.2 mm to the north, 1 via near", "tied to planes of GND, through 1 via on F.Cu, In1.Cu, B.Cu"),
        "66": ("trace 0.2 mm to the north, 1 via near", "tied to planes of GND, through 1 via on In1.Cu"),
        "86": ("trace 0.2 mm to the west, 1 via near", ""),
        "11": ("trace 0.2 mm to the west, 1 via near", ""),
    },
    ("video.kicad_pcb", "U23"): {
        "3": ("trace 0.2 mm to the south, 1 via near", "tied to planes of +5V, through 1 via on In2.Cu"),
        "28": ("trace 0.2 mm to the north", ""),
        "2": ("nothing", ""),
        "30": ("trace 0.2 mm to the south", ""),
        "41": ("trace 0.2 mm to the west", ""),
        "29": ("trace 0.2 mm to the south", ""),
        "36": ("trace 0.2 mm to the east", ""),
        "35": ("trace 0.2 mm to the east", ""),
        "37": ("trace 0.2 mm to the east", ""),
        "38": ("trace 0.2 mm to the east", ""),
    },
    ("luna-r0.kicad_pcb", "IC1"): {
        "A16": ("trace 0.3 mm to the north-east, 1 via near", "tied to planes of GND, through 1 via on In1.Cu"),
        "T16": ("trace 0.2 mm to the east, 1 via near", "tied to planes of GND, through 1 via on In1.Cu"),
        "T1": ("trace 0.3 mm to the west, 1 via near", "tied to planes of GND, through 1 via on In1.Cu"),
        "A1": ("trace 0.3 mm to the north, 1 via near", "tied to planes of GND, through 1 via on In1.Cu"),
        "T13": ("trace 0.13 mm to the south-east, 1 via near", ""),
        "B16": ("trace 0.13 mm to the east", ""),
        "A15": ("trace 0.13 mm to the north", ""),
        "M12": ("nothing", ""),
        "M11": ("nothing", ""),
        "G12": ("nothing", ""),
    },
    ("moteus-c1.kicad_pcb", "U3"): {
        "46": ("nothing", ""),
        "24": ("nothing", ""),
        "6": ("trace 0.15 mm to the north-west, 1 via near", ""),
        "4": ("trace 0.15 mm to the north-west", ""),
        "5": ("trace 0.15 mm to the north-west, 1 via near", ""),
        "47": ("trace 0.15 mm to the south-west, 1 via near", ""),
        "27": ("nothing", ""),
        "36": ("trace 0.15 mm to the south", ""),
        "37": ("trace 0.15 mm to the south-east", ""),
        "25": ("trace 0.15 mm to the east", ""),
    },
    ("vivaldi.kicad_pcb", "U4"): {
        "15": ("trace 0.15 mm to the west, 1 via near", ""),
        "29": ("trace 0.12 mm to the south, 1 via near", ""),
        "32": ("nothing", ""),
        "28": ("trace 0.12 mm to the west, 1 via near", ""),
        "31": ("trace 0.12 mm to the south, 1 via near", ""),
        "34": ("nothing", ""),
        "30": ("trace 0.12 mm to the south", ""),
        "27": ("trace 0.12 mm to the west", ""),
        "33": ("trace 0.25 mm to the north, 1 via near", ""),
        "16": ("nothing", ""),
    },
}
BOARDS = [
    pytest.param("tide_logger.kicad_pcb", "U1", id="sample"),
    pytest.param("video.kicad_pcb", "U23", id="video", marks=pytest.mark.kicad),
    pytest.param("luna-r0.kicad_pcb", "IC1", id="luna", marks=pytest.mark.outside_boards),
    pytest.param("moteus-c1.kicad_pcb", "U3", id="moteus", marks=pytest.mark.outside_boards),
    pytest.param("vivaldi.kicad_pcb", "U4", id="vivaldi", marks=pytest.mark.outside_boards),
]


@dataclass(frozen=True)
class Read:
    """A part with its board, its lands and what we say of each."""

    board: Board
    parts: Parts
    part: Part
    lands: list[Pad]
    held: list[Anchors]
    tied: list[Ties]

    def of(self, number: str, x_mm: float, y_mm: float) -> tuple[Anchors, Ties]:
        """Return what we say of one land."""
        places = [(pad.number, round(pad.x_mm, 3), round(pad.y_mm, 3)) for pad in self.lands]
        index = places.index((number, round(x_mm, 3), round(y_mm, 3)))
        return self.held[index], self.tied[index]


def path_of(board: str) -> Path:
    """Return where a board lies, or skip."""
    if board == "video.kicad_pcb":
        return kicad_demo("video/video.kicad_pcb")
    own = SAMPLES / board
    return own if own.is_file() else outside_board(board)


@cache
def our_reading(board: str, ref: str) -> Read:
    """Return a part as the project reads it."""
    plain = read(str(path_of(board)))
    parts = identify(plain)
    part = find_target(plain, parts, ref)
    lands = soldered_pads(part)
    held = anchors(plain, lands, part.footprint.side)
    return Read(plain, parts, part, lands, held, ties(plain, lands, held, part.footprint.side))


def by_text(board: str, ref: str, x_mm: float, y_mm: float) -> Copper:
    """Return what the text says of the copper at a pad."""
    layer = OUTER[our_reading(board, ref).part.footprint.side]
    pads = [pad for _, pad in pads_of(path_of(board), ref)]
    near = [pad for pad in pads if abs(pad.x - x_mm) < 1e-3 and abs(pad.y - y_mm) < 1e-3]
    return copper_at(path_of(board), near[0], layer)


def as_text_would(held: Anchors, tied: Ties) -> Copper:
    """Return what we say in the text reading's terms."""
    return Copper(
        traces=frozenset((round(trace.neck_mm, 4), direction(trace.direction_deg)) for trace in held.traces),
        vias_in=len(held.vias_in),
        vias_near=len(held.vias_near),
        pour=bool(held.pour_contacts_mm),
        planes=frozenset({*tied.solid_on, *tied.spokes_on, *tied.vias_on}),
    )


def at_the_bench(ours: Read) -> Case:
    """Return the part solved by the bench's starting recipe, without a search for a better one and without shields."""
    bench, target = read_bench(), ours.part
    fit = fits(ours.parts, target, bench)[0]
    recipe = starting_recipe(bench, target, fit.nozzle, "SAC305", Held())
    loads = Loads(fit, target.footprint.side, bench.board_heater, bench.ambient_c)
    model = assemble(ours.board, ours.parts, target)
    heat = solve(model, loads, recipe, own_board(ours.board, target), (150.0,), certain(model))
    answer = RecipeAnswer(recipe, works=True, why="the bench's own", window=Window(0.0, (None, None), (), (), ()))
    return Case(ours.board, ours.parts, target, bench, (fit,), loads, answer, heat, 0, heat, NO_SHIELDS)


@pytest.mark.parametrize(("board", "ref"), BOARDS)
def test_the_lands_that_were_looked_up(board: str, ref: str) -> None:
    """What holds each of ten named lands, and what draws on it, is what was found in the file by eye."""
    ours = our_reading(board, ref)
    told = {
        pad.number: (", ".join(words(held)), tied.words)
        for pad, held, tied in zip(ours.lands, ours.held, ours.tied, strict=True)
    }
    assert {number: told[number] for number in LOOKED_UP[board, ref]} == LOOKED_UP[board, ref]


@pytest.mark.parametrize(("board", "ref"), BOARDS)
def test_the_riskiest_lands_are_held_as_the_text_says(board: str, ref: str) -> None:
    """For the ten lands that rank highest, traces, vias, pours and planes are those of the file's text."""
    ours = our_reading(board, ref)
    case = at_the_bench(ours)
    ranked = pads(case, laminate(ours.board, case.bench, ours.part.footprint.side), ours.held)[:10]
    assert len(ranked) == 10
    for land in ranked:
        held, tied = ours.of(land.number, land.x_mm, land.y_mm)
        assert as_text_would(held, tied) == by_text(board, ref, land.x_mm, land.y_mm), land.number
        assert land.anchors == words(held)
        assert land.unconnected == (land.anchors == ("nothing",))
