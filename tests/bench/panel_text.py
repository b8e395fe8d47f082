"""Panels made of a board file's text: everything on it copied to the right, each copy by one board's width and a gap.

Copies share the nets' names, which no tool would do and heat does not ask about. Ids go: copies then have their place
for one.
"""

import re
from collections.abc import Iterator

TOKEN = re.compile(r'"(?:[^"\\]|\\.)*"|[()]')
KIND = re.compile(r"\((\w+)")
PLACE = re.compile(r"(\((?:at|start|mid|end|center|xy) )(-?[\d.]+)( -?[\d.]+)")
UNIQUE = re.compile(r'\((?:tstamp|uuid) "?[0-9a-fA-F-]+"?\)')
PARTS = ("footprint", "module")  # what they hold lies in their own frame
COPIED = ("segment", "via", "arc", "zone", "gr_line", "gr_arc", "gr_circle", "gr_rect", "gr_poly", "gr_curve", *PARTS)


def panel(text: str, copies: int, step_mm: float) -> str:
    """Return the text of a board file with so many copies of the board side by side, the original among them."""
    own = [item for item in items(text) if kind(item) in COPIED]
    more = [shifted(item, step_mm * number) for number in range(1, copies) for item in own]
    end = text.rstrip().rindex(")")
    return text[:end] + "\n".join(more) + "\n)\n"


def items(text: str) -> Iterator[str]:
    """Yield what a file's outermost list holds, list by list."""
    depth, start = 0, 0
    for token in TOKEN.finditer(text):
        if token[0] == "(":
            depth += 1
            start = token.start() if depth == 2 else start
        elif token[0] == ")":
            depth -= 1
            if depth == 1:
                yield text[start : token.end()]


def kind(item: str) -> str:
    """Return the first word of a list."""
    found = KIND.match(item)
    return "" if found is None else found[1]


def shifted(item: str, by_mm: float) -> str:
    """Return an item moved to the right."""
    count = 1 if kind(item) in PARTS else 0  # of a part its own place alone
    moved = PLACE.sub(lambda place: f"{place[1]}{float(place[2]) + by_mm:.6f}{place[3]}", item, count=count)
    return UNIQUE.sub("", moved)
