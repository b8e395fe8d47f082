"""Look things up in a node of the tree: children by head, atoms, numbers, flags."""

from collections.abc import Iterator
from math import isfinite

import numpy as np
from numpy.typing import NDArray

from leeward.board.sexpr import Item, Node

Points = NDArray[np.float64]  # shape (n, 2), mm
# KiCad counts nanometres in 32 bits (KiCad source, include/base_units.h): no length goes beyond 2147.48 mm.
REACH_MM = 2147.5
STEP_MM = 1e-6


class UnreadableError(Exception):
    """An atom or a node that cannot be what its place demands; the reader adds file and line."""


def children(node: Node, head: str) -> Iterator[Node]:
    """Yield the nodes below `node` that begin with `head`, in file order."""
    return (child for child in node if isinstance(child, list) and child[0] == head)


def child(node: Node, head: str) -> Node | None:
    """Return the first node below `node` that begins with `head`."""
    for entry in node:
        if isinstance(entry, list) and entry[0] == head:
            return entry
    return None


def atoms(node: Node | None) -> list[str]:
    """Return the atoms that follow the head, in file order."""
    return [] if node is None else [entry for entry in node[1:] if isinstance(entry, str)]


def text(node: Node, head: str, default: str = "") -> str:
    """Return the first atom of the child `head`."""
    found = child(node, head)
    if found is not None and len(found) > 1 and isinstance(found[1], str):
        return found[1]
    return default


def number(atom: "str | Node") -> float:
    """Return an atom as a finite number within KiCad's reach, UnreadableError otherwise; less than its step is 0."""
    try:
        value = float(atom)  # type: ignore[arg-type]  # a node raises TypeError, which is answered below
    except (TypeError, ValueError):
        raise UnreadableError(f"{_shown(atom)} stands where a number must") from None
    if not isfinite(value) or abs(value) > REACH_MM:
        raise UnreadableError(f"{_shown(atom)} is no length or angle that a board can have")
    return value if abs(value) >= STEP_MM else 0.0


def flag(node: Node, head: str) -> bool:
    """Say whether a flag is set: `(head)` or `(head yes)`; `(head no)`, from KiCad 8 on, says that it is not."""
    found = child(node, head)
    return found is not None and "no" not in found[1:]


def layer_of(node: Node) -> str:
    """Return the layer that something is drawn on; where it opens the mask too (KiCad 9 on), copper comes first."""
    return text(node, "layer") or text(node, "layers")


def numbers(node: Node, head: str) -> tuple[float, ...]:
    """Return the numbers of the child `head`, none where there is no such child.

    UnreadableError where an atom is no number: left out, it would let the next stand in its place.
    """
    return tuple(number(atom) for atom in atoms(child(node, head)) if atom != "unlocked")


def measure(node: Node, head: str, default: float) -> float:
    """Return the first number of the child `head`."""
    found = child(node, head)
    return number(found[1]) if found is not None and len(found) > 1 else default


def extent(node: Node, head: str, default: float) -> float:
    """Return the first number of the child `head` as a width or thickness; UnreadableError where it is negative."""
    value = measure(node, head, default)
    if value < 0:
        raise UnreadableError(f"({head} {value:g}) stands where a length must")
    return value


def point(node: Node, head: str) -> tuple[float, float]:
    """Return the x and y of the child `head`; UnreadableError where it has none."""
    found = child(node, head)
    if found is None or len(found) < 3:
        raise UnreadableError(f"({node[0]} ...) has no ({head} x y)")
    return number(found[1]), number(found[2])


def coordinates(pairs: list[tuple[float, float]]) -> Points:
    """Return pairs as an array of shape (n, 2), also where there are none."""
    return np.array(pairs, dtype=np.float64).reshape(-1, 2)


def line_of(node: Node) -> int:
    """Return the line on which an item below the root begins."""
    return node.line if isinstance(node, Item) else 1


def _shown(atom: "str | Node") -> str:
    word = atom if isinstance(atom, str) else f"({atom[0]} ...)"
    return repr(word if len(word) <= 40 else f"{word[:40]}...")
