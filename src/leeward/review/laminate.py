"""What the board is made of, as far as lands care: where its resin softens, where it decomposes."""

import re
from dataclasses import dataclass
from typing import Any

from leeward.bench.records import Bench
from leeward.board.records import Board, Side
from leeward.constants import constant, number, table
from leeward.known import Known
from leeward.review.records import Laminate


@dataclass(frozen=True, slots=True)
class _Told:
    glass_transition_c: Known[float]
    decomposition_c: Known[float]


def laminate(board: Board, bench: Bench, side: Side) -> Laminate:
    """Return the laminate under the lands of one side: as its stackup names it, else as the bench says.

    Where neither tells, the glass transition of the data file `materials` is assumed and said to be unknown.
    """
    named = outer_material(board, side)
    told = None if named is None else _by_name(named)
    if told is not None:
        return Laminate(told.glass_transition_c, told.decomposition_c, told=True)
    usual = constant("laminates", "decomposition")
    if bench.glass_transition_c is not None:
        return Laminate(Known(bench.glass_transition_c, "the bench file", "medium"), usual, told=True)
    assumed = number("materials", "laminate", "glass_transition_c")
    stackup = "no material" if named is None else named
    source = f"not known: the stackup says {stackup}, the bench file nothing; {assumed:.0f} C is assumed"
    return Laminate(Known(assumed, source, "low"), usual, told=False)


def outer_material(board: Board, side: Side) -> str | None:
    """Return the name of the dielectric next to a side's outer copper, None where the file gives none."""
    if board.stackup.source.startswith("default"):
        return None
    layers = board.stackup.layers if side == "top" else board.stackup.layers[::-1]
    return next((layer.material for layer in layers if layer.kind == "dielectric"), None)


def _by_name(name: str) -> _Told | None:
    usual, in_name = constant("laminates", "decomposition"), table("laminates")["told_by_name"]
    if found := re.search(in_name["pattern"], name, re.IGNORECASE):
        source = f"stackup material {name}: {in_name['source']}"
        return _Told(Known(float(found.group(1)), source, in_name["confidence"]), usual)
    rows: list[dict[str, Any]] = table("laminates")["material"]
    row = next((row for row in rows if re.search(row["name"], name, re.IGNORECASE)), None)
    if row is None:
        return None
    source, sure = f"stackup material {name}: {row['source']}", row["confidence"]
    return _Told(Known(row["glass_transition_c"], source, sure), Known(row["decomposition_c"], source, sure))
