"""KiCad's bracketed text as nested lists: `(layer "F.Cu")` becomes `["layer", Quoted("F.Cu")]`."""

import gc
import re
from collections.abc import Iterator
from contextlib import contextmanager
from itertools import islice
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

# The first three alternatives take whole leaves at once: most of a file is leaves, most of those are points. The
# lengths that they are held to leave the rare leaf of many or long atoms to the later ones, which are checked.
# Possessive repeats (`++`) keep the matcher from remembering ways back that it never needs. White space is ASCII's,
# as KiCad's own reader has it: a no-break space is part of a name.
# Quoted text ends on its line, as KiCad's own reader has it, and before a space or bracket, as its writer has it:
# one quote too many or too few is told where it stands, and does not turn the text inside out.
# A bare atom may hold a quote after its first character: KiCad 5 wrote `0.96"` that way.
TOKEN = re.compile(
    r"""
      \(pts((?:\s*+\(xy[ ]-?+\d++(?:\.\d++)?+[ ]-?+\d++(?:\.\d++)?+\))++)\s*+\)  # 1
    | \(([^\s()"]{1,999}+(?:[ ][^\s()"]{1,999}+){0,3}+)\)  # 2   (start 1.5 2)
    | \(([^\s()"]{1,999}+)[ ]"([^"\\\n]{0,9999}+)"\)         # 3, 4  (layer "F.Cu")
    | (\()\s*+([^\s()"][^\s()]*+)?            # 5, 6  (footprint
    | (\))                                    # 7
    | "([^"\\\n]*+(?:\\[^\n][^"\\\n]*+)*+)"(?![^\s()])  # 8
    | ([^\s()"][^\s()]*+)                     # 9
    | (")                                     # 10    a text that does not end as it should
    | (\s{16,}+)                              # 11    shorter white space is passed over unmatched
    """,
    re.VERBOSE | re.DOTALL | re.ASCII,
)
POINTS, BARE_LEAF, QUOTED_LEAF, OPEN, OPEN_HEAD, CLOSE, QUOTED, BARE, SPACE = 1, 2, 4, 5, 6, 7, 8, 9, 11
ESCAPE = re.compile(r"\\(.)", re.DOTALL)
DECODED = {"n": "\n", "r": "\r", "t": "\t"}

# Far beyond any real board, and near enough that whatever a file holds is refused in seconds: boards nest 5 deep,
# and one of 85 MB has some four million tokens.
MOST_TOKENS = 5_000_000
DEEPEST = 200
LONGEST_ATOM = 16_000_000
NOT_ONE = "the file is not one bracketed expression"
GIVE = "give a KiCad board file (.kicad_pcb)"
AGAIN = "fetch the file again or save it anew from KiCad"


def parse(text: str, file: str) -> Node:
    """Return the root node of `text`.

    Every node begins with its head; the nodes below the root are Items.
    Raises InputError, placed at the line, where brackets or quotes do not pair up, a node has no head, text stands
    outside the root, or the text goes beyond MOST_TOKENS, DEEPEST or LONGEST_ATOM.
    """
    top: Node = []
    with collector_paused():
        _fill(top, text, file)
    if not top:
        raise InputError("the file is empty", do=GIVE, place=Place(file, 1))
    return top[0]  # type: ignore[return-value]  # atoms beside the root are refused, so this is a node


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
    tokens = TOKEN.finditer(text)
    for match in islice(tokens, MOST_TOKENS):
        kind = match.lastindex
        if kind == BARE_LEAF:
            node: Node = match[2].split(" ")  # type: ignore[assignment]  # fresh, so nobody holds it as list[str]
        elif kind == QUOTED_LEAF:
            node = [match[3], Quoted(match[4])]
        elif kind == OPEN_HEAD:
            node = [_held(text, file, match)]
            if len(stack) == DEEPEST:
                raise _broken(text, file, match.start(), f"brackets nest deeper than {DEEPEST}")
        elif kind == CLOSE:
            if not stack:
                raise _broken(text, file, match.start(), "a closing bracket has no opening one")
            current = stack.pop()
            continue
        elif kind in (QUOTED, BARE):
            if not stack:
                raise _broken(text, file, match.start(), NOT_ONE, GIVE)
            current.append(_decoded(_held(text, file, match)) if kind == QUOTED else _held(text, file, match))
            continue
        elif kind == POINTS:
            node = ["pts", Straight(match[1])]
        elif kind == SPACE:
            continue
        elif kind == OPEN:
            raise _broken(text, file, match.start(), "an opening bracket has no word after it")
        else:
            raise _broken(text, file, match.start(), "a quoted text never ends on its line, or runs into a word")
        if len(stack) == 1:
            line += text.count("\n", counted, match.start())
            counted = match.start()
            node = Item(node)
            node.line = line
        elif not stack and top:
            raise _broken(text, file, match.start(), NOT_ONE, GIVE)
        current.append(node)
        if kind == OPEN_HEAD:
            stack.append(current)
            current = node
    for match in tokens:
        raise _broken(text, file, match.start(), f"the file holds more than {MOST_TOKENS:,} words and brackets")
    if stack:
        raise _broken(text, file, len(text), f"the file ends {len(stack)} brackets too early")


def _held(text: str, file: str, match: re.Match[str]) -> str:
    """Return the atom that a match found, where it is of a length to be held."""
    kind = match.lastindex or 0
    if match.end(kind) - match.start(kind) > LONGEST_ATOM:
        raise _broken(text, file, match.start(), f"a word or quoted text is longer than {LONGEST_ATOM:,} characters")
    return match[kind]


def _decoded(raw: str) -> Quoted:
    if "\\" not in raw:
        return Quoted(raw)
    return Quoted(ESCAPE.sub(lambda found: DECODED.get(found[1], found[1]), raw))


def _broken(text: str, file: str, position: int, what: str, do: str = AGAIN) -> InputError:
    return InputError(what, do=do, place=Place(file, text.count("\n", 0, position) + 1))
