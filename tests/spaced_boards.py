"""A board whose parts stand well apart, and a crowded copy of it, for tests of the survey."""

from functools import cache

from leeward.bench.read import read_bench
from leeward.board.edit import Move, apply
from leeward.board.records import Board
from leeward.parts.follow import follow
from leeward.parts.records import Part, Parts
from leeward.survey.ground import Ground, ground
from thermal_boards import board, chip, footprint, land, part, parts, pour, quad, square

OUTLINE = square(50, 50, 100.0)
PLACES = {"U1": (30.0, 30.0), "U2": (70.0, 70.0), "J1": (70.0, 28.0), "C1": (28.0, 70.0), "C2": (50.0, 50.0)}
CLOSE = {"U2": (46.5, 31.0), "J1": (30.0, 41.5), "C1": (20.6, 30.0), "C2": (30.0, 20.5)}


def socket(ref: str, x_mm: float, y_mm: float) -> Part:
    """Return a connector of plastic that bears 200 C."""
    body = square(x_mm, y_mm, 5.0)
    lands = tuple(land(str(i), square(x_mm - 1.5 + i, y_mm + 2.0, 0.6)) for i in range(4))
    return part(footprint(ref, lands, body), body, style="connector", height_mm=4.0, limit_c=200.0, fragile="C")


@cache
def spaced() -> tuple[Board, Parts]:
    """Return a four-layer board with two quads, a connector and two chips, 28 mm and more from one another."""
    made = {
        "U1": quad("U1", *PLACES["U1"], 10.0),
        "U2": quad("U2", *PLACES["U2"], 10.0),
        "J1": socket("J1", *PLACES["J1"]),
        "C1": chip("C1", *PLACES["C1"]),
        "C2": chip("C2", *PLACES["C2"]),
    }
    known = parts(*made.values())
    planes = (pour("In1.Cu", OUTLINE), pour("In2.Cu", OUTLINE, net="3V3"))
    return board(OUTLINE, layers=4, footprints=tuple(p.footprint for p in made.values()), zones=planes), known


@cache
def crowded() -> tuple[Board, Parts]:
    """Return the same board with everything moved up to U1."""
    close, known = spaced()
    for ref, (x, y) in CLOSE.items():
        was = PLACES[ref]
        close = apply(close, Move(f"id-{ref}", x - was[0], y - was[1]))
    return close, follow(known, close)


def ground_of(made: tuple[Board, Parts], *, geometry_only: bool = False) -> Ground:
    """Return the ground of a board with the default bench."""
    return ground(*made, read_bench(), geometry_only=geometry_only)
