"""The names that KiCad's versions 4 to 10 write differently: copper layers and nets."""

import re
from dataclasses import dataclass

from leeward.board.nodes import atoms, child, children
from leeward.board.sexpr import Node, Quoted

NEWEST_KNOWN = 20260206  # KiCad 10.0
FIRST_WITH_FIXED_NAMES = 20200000  # from KiCad 6 on a file names layers by its own names, titles stand beside them
COPPER_NAME = re.compile(r"F\.Cu|B\.Cu|In([0-9]{1,3})\.Cu")
ORDINAL = re.compile(r"[0-9]{1,3}")
COPPER_KINDS = frozenset({"signal", "power", "mixed", "jumper"})
BOTTOM_ORDINAL = 31  # up to KiCad 8; there copper layers count from 0 at the top

# Signs that KiCad keeps out of the names in its files (its net names, from version 6 on).
SPELLED = {
    "slash": "/", "backslash": "\\", "lt": "<", "gt": ">", "colon": ":", "dblquote": '"', "quote": "'", "brace": "{",
    "space": " ", "tab": " ", "return": " ", "bar": "|",
}  # fmt: skip
SPELLING = re.compile(r"\{([a-z]+)\}")


def spoken(name: str) -> str:
    """Return a net's name as KiCad shows it, for people: `CLK{slash}2` is CLK/2."""
    return SPELLING.sub(lambda found: SPELLED.get(found[1], found[0]), name)


@dataclass(frozen=True, slots=True)
class Names:
    """How one file names its copper layers and nets."""

    copper: tuple[str, ...]  # the format's own names, top first
    titles: dict[str, str]  # the user's names, by the format's own
    own: dict[str, str]  # the format's own names, by whatever the file writes
    nets: dict[str, str]  # net names by number, empty where the file has no table

    def layer(self, written: str) -> str:
        """Return the format's own name of a layer."""
        return self.own.get(written, written)

    def copper_of(self, written: list[str]) -> tuple[str, ...]:
        """Return the copper layers that a list of names or wildcards covers, top first."""
        wanted = {self.layer(name) for name in written}
        if "*.Cu" in wanted:
            return self.copper
        if "F&B.Cu" in wanted:
            wanted |= {"F.Cu", "B.Cu"}
        return tuple(name for name in self.copper if name in wanted)

    @property
    def written_copper(self) -> frozenset[str]:
        """The names by which the file may call its copper layers."""
        return frozenset(self.own)

    def net(self, node: Node) -> str:
        """Return the net of a pad, track, via or zone.

        It is written `(net 7 "GND")`, `(net 7)` or, from KiCad 10 on, `(net "GND")`.
        """
        found = atoms(child(node, "net"))
        if not found:
            return ""
        last = found[-1]
        return (
            last if len(found) > 1 or isinstance(last, Quoted) else self.nets.get(last, last if not self.nets else "")
        )


def read_names(root: Node, version: int) -> Names:
    """Return the naming of a board file."""
    copper, titles, own = _copper(root, version)
    nets = {words[0]: words[1] for words in map(atoms, children(root, "net")) if len(words) > 1}
    return Names(copper, titles, own, nets)


def _copper(root: Node, version: int) -> tuple[tuple[str, ...], dict[str, str], dict[str, str]]:
    found: list[str] = []
    titles: dict[str, str] = {}
    own: dict[str, str] = {}
    for row in child(root, "layers") or []:
        words = atoms(row) if isinstance(row, list) else []
        if len(words) < 2 or words[1] not in COPPER_KINDS:
            continue
        name = _own_name(str(row[0]), words[0], version)
        title = words[0] if name != words[0] else next((w for w in words[2:] if isinstance(w, Quoted)), name)
        found.append(name)
        own[words[0]] = name
        if title != name:
            titles[name] = title
    return tuple(sorted(dict.fromkeys(found), key=_depth)), titles, own


def _own_name(ordinal: str, written: str, version: int) -> str:
    if version >= FIRST_WITH_FIXED_NAMES or not ORDINAL.fullmatch(ordinal):
        return written
    number = int(ordinal)
    if number == 0:
        return "F.Cu"
    return "B.Cu" if number == BOTTOM_ORDINAL else f"In{number}.Cu"


def _depth(name: str) -> float:
    inner = COPPER_NAME.fullmatch(name)
    if name == "F.Cu":
        return 0
    return int(inner[1]) if inner and inner[1] else float("inf")
