"""KiCad's bracketed text as nested lists: `(layer "F.Cu")` becomes `["layer", Quoted("F.Cu")]`."""

import gc
import re
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TypeAlias

from leeward.errors import InputError, Place


class Quoted(str):
    """An atom that stood in quotes, its escapes decoded; bare atoms stay plain strings."""

    __slots__ = ()


class Straight(str):
    """The raw text of a whole list of points, `(xy 1 2) (xy 3 4) ...`, for numpy to read at once."""

    __slots__ = ()


class Item(list["str | Node"]):
    """A node directly below the root, which knows the line on which it begins."""

    __slots__ = ("line",)
    line: int


Node: TypeAlias = list["str | Node"]

# The first three alternatives take whole leaves at once: most of a file is leaves, most of those are points.
# Possessive repeats (`++`) keep the matcher from remembering ways back that it never needs.
# A bare atom may hold a quote after its first character: KiCad 5 wrote `0.96"` that way.
TOKEN = re.compile(
    r"""
      \(pts((?:\s*+\(xy[ ]-?+\d++(?:\.\d++)?+[ ]-?+\d++(?:\.\d++)?+\))++)\s*+\)  # 1
    | \(([^\s()"]++(?:[ ]++[^\s()"]++)*+)\)    # 2     (start 1.5 2)
    | \(([^\s()"]++)[ ]++"([^"\\]*+)"\)        # 3, 4  (layer "F.Cu")
    | (\()\s*+(?:([^\s()"]++))?                # 5, 6  (footprint
    | (\))                                    # 7
    | "((?:[^"\\]|\\.)*+)"                    # 8
    | ([^\s()"][^\s()]*+)                     # 9
    | (")                                     # 10    a string that never ends
    """,
    re.VERBOSE | re.DOTALL,
)
POINTS, BARE_LEAF, QUOTED_LEAF, OPEN, OPEN_HEAD, CLOSE, QUOTED, BARE = 1, 2, 4, 5, 6, 7, 8, 9
ESCAPE = re.compile(r"\\(.)", re.DOTALL)
DECODED = {"n": "\n", "r": "\r", "t": "\t"}


def parse(text: str, file: str) -> Node:
    """Return the root node of `text`.

    Every node begins with its head (an empty string where it has none); the nodes below the root are Items.
    Raises InputError, placed at the line, where brackets or quotes do not pair up or text follows the root.
    """
    top: Node = []
    with collector_paused():
        _fill(top, text, file)
    return _root(top, text, file)


@contextmanager
def collector_paused() -> Iterator[None]:
    """Keep Python's cycle collector off: it would walk the tree again and again, which holds no cycles."""
    was_enabled = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_enabled:
            gc.enable()


def _fill(top: Node, text: str, file: str) -> None:  # noqa: C901, PLR0912 -- one flat loop: a call per token would double the time
    current = top
    stack: list[Node] = []
    line, counted = 1, 0
    for match in TOKEN.finditer(text):
        kind = match.lastindex
        if kind == BARE_LEAF:
            node: Node = match[2].split()  # type: ignore[assignment]  # fresh, so nobody holds it as list[str]
        elif kind == QUOTED_LEAF:
            node = [match[3], Quoted(match[4])]
        elif kind in (OPEN, OPEN_HEAD):
            node = [match[6] or ""]
        elif kind == CLOSE:
            if not stack:
                raise _broken(text, file, match.start(), "a closing bracket has no opening one")
            current = stack.pop()
            continue
        elif kind == QUOTED:
            current.append(_decoded(match[8]))
            continue
        elif kind == BARE:
            current.append(match[9])
            continue
        elif kind == POINTS:
            node = ["pts", Straight(match[1])]
        else:
            raise _broken(text, file, match.start(), "a quoted text never ends")
        if len(stack) == 1:
            line += text.count("\n", counted, match.start())
            counted = match.start()
            node = Item(node)
            node.line = line
        current.append(node)
        if kind in (OPEN, OPEN_HEAD):
            stack.append(current)
            current = node
    if stack:
        raise _broken(text, file, len(text), f"the file ends {len(stack)} brackets too early")


def _root(top: Node, text: str, file: str) -> Node:
    if len(top) == 1 and isinstance(top[0], list):
        return top[0]
    what = "the file is empty" if not text.strip() else "the file is not one bracketed expression"
    raise InputError(what, do="give a KiCad board file (.kicad_pcb)", place=Place(file, 1))


def _decoded(raw: str) -> Quoted:
    if "\\" not in raw:
        return Quoted(raw)
    return Quoted(ESCAPE.sub(lambda found: DECODED.get(found[1], found[1]), raw))


def _broken(text: str, file: str, position: int, what: str) -> InputError:
    place = Place(file, text.count("\n", 0, position) + 1)
    return InputError(what, do="fetch the file again or save it anew from KiCad", place=place)
