"""Text as copper, where the file holds the letters' outlines.

KiCad 7 and later write the outlines of text in outline fonts beside it. Its own stroke font has none in the file: such
text is left out, and counted in a note.
"""

from collections.abc import Iterator

import shapely
from shapely.geometry.base import BaseGeometry

from leeward.board.arcs import turned
from leeward.board.graphics import TEXTS, path
from leeward.board.names import Names
from leeward.board.nodes import atoms, child, children, flag, layer_of, number, numbers
from leeward.board.records import Artwork
from leeward.board.sexpr import Node

HEADS = frozenset(TEXTS | {"property"})
# A knocked-out text stands in a box that goes beyond its letters by a quarter of their height (KiCad 9 source,
# include/gr_text.h, GetKnockoutTextMargin; versions 7 and 8 took a ninth).
KNOCKOUT_MARGIN = 1 / 4


def texts(node: Node, names: Names) -> Iterator[Node]:
    """Yield the visible texts on copper layers that a node is, or that a footprint holds."""
    found = [node] if node[0] in HEADS else [entry for entry in node if isinstance(entry, list) and entry[0] in HEADS]
    for entry in found:
        if layer_of(entry) in names.written_copper and "hide" not in atoms(entry) and not flag(entry, "hide"):
            yield entry


def has_outlines(node: Node) -> bool:
    """Say whether the file holds the outlines of a text's letters."""
    cache = child(node, "render_cache")
    return cache is not None and child(cache, "polygon") is not None


def lettering(node: Node, names: Names) -> Artwork:
    """Return a text's letters as copper, or the box that they are knocked out of; outlines are in the board frame."""
    cache = child(node, "render_cache") or []
    letters = shapely.union_all([_letter(entry) for entry in children(cache, "polygon")])
    copper = _box_round(letters, node, cache).difference(letters) if _knocked_out(node) else letters
    return Artwork(names.layer(layer_of(node)), copper)


def _letter(node: Node) -> BaseGeometry:
    rings = [shapely.buffer(_ring(pts), 0) for pts in children(node, "pts")]
    return rings[0].difference(shapely.union_all(rings[1:])) if rings else shapely.Polygon()


def _ring(pts: Node) -> BaseGeometry:
    points = path(pts)
    return shapely.polygons(points) if len(points) > 2 else shapely.Polygon()


def _knocked_out(node: Node) -> bool:
    return flag(node, "knockout") or "knockout" in atoms(child(node, "layer"))


def _box_round(letters: BaseGeometry, node: Node, cache: Node) -> BaseGeometry:
    angle = number(cache[2]) if len(cache) > 2 and isinstance(cache[2], str) else 0.0
    upright = shapely.transform(letters, lambda points: turned(points, 0.0, 0.0, -angle))
    font = child(child(node, "effects") or [], "font") or []
    margin = next(iter(numbers(font, "size")), 0.0) * KNOCKOUT_MARGIN
    box = shapely.box(*upright.bounds).buffer(margin, join_style="mitre") if not letters.is_empty else letters
    return shapely.transform(box, lambda points: turned(points, 0.0, 0.0, angle))
