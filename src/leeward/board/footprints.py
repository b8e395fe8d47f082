"""Footprints: fields, flags, pads and outlines of the parts."""

from collections import Counter
from collections.abc import Sequence
from dataclasses import replace
from math import ceil

import shapely
from shapely.geometry.base import BaseGeometry

from leeward.board.arcs import turned
from leeward.board.graphics import Graphic, graphics
from leeward.board.names import Names
from leeward.board.nodes import UnreadableError, atoms, child, children, line_of, measure, numbers, text
from leeward.board.outlines import box, courtyard, enclosed, widest_gap_mm
from leeward.board.pads import MASK_MARGIN, Defaults, pad, zone_connection
from leeward.board.records import Footprint, Model3d, Side
from leeward.board.sexpr import Node

HEADS = ("footprint", "module")  # "module" up to KiCad 5
MM_PER_INCH = 25.4
SIDES: dict[str, Side] = {"F.Cu": "top", "B.Cu": "bottom"}
SHORT_STAMP = 8  # digits of a time stamp up to version 5


def with_ids(found: Sequence[Footprint]) -> tuple[Footprint, ...]:
    """Return the footprints, each that has no id of its own, or shares it, named by its position instead."""
    repeats, seen = Counter(part.id for part in found), Counter[str]()
    named = []
    for part in found:
        if part.id and repeats[part.id] == 1:
            named.append(part)
            continue
        position = f"@{part.x_mm:.4f},{part.y_mm:.4f},{part.side}"
        seen[position] += 1
        named.append(replace(part, id=position if seen[position] == 1 else f"{position}#{seen[position]}"))
    return tuple(named)


def footprint(node: Node, names: Names, mask_margin_mm: float = 0.0) -> Footprint:
    """Return one footprint, its id the file's own or empty; `mask_margin_mm` is the board's.

    Raises UnreadableError where its place, a pad or a drawn line cannot be read.
    """
    x, y, rotation = place = place_of(node)
    side = _side(node, names)
    fields = _fields(node)
    attributes = frozenset(atoms(child(node, "attr")))
    defaults = Defaults(zone_connection(node, "inherited"), measure(node, MASK_MARGIN, mask_margin_mm))
    letter = "F" if side == "top" else "B"
    drawn: dict[str, list[Graphic]] = {f"{letter}.{kind}": [] for kind in ("CrtYd", "Fab", "SilkS")}
    for shape in graphics(node, drawn):
        drawn[shape.layer].append(shape)
    return Footprint(
        id=_own_id(node),
        ref=fields.get("Reference", _text_of(node, "reference")),
        value=fields.get("Value", _text_of(node, "value")),
        library_id=_library_id(node),
        line=line_of(node),
        side=side,
        x_mm=x,
        y_mm=y,
        rotation_deg=rotation,
        fitted=not _left_out(attributes, fields),
        attributes=attributes,
        description=text(node, "descr"),
        keywords=text(node, "tags"),
        fields=fields,
        pads=tuple(pad(entry, place, defaults, names) for entry in children(node, "pad")),
        courtyard=_placed(courtyard(drawn[f"{letter}.CrtYd"]), place),
        fab=_placed(enclosed(drawn[f"{letter}.Fab"]), place),
        silk=_placed(box(drawn[f"{letter}.SilkS"]), place),
        models=tuple(_model(entry) for entry in children(node, "model")),
        courtyard_gap_mm=widest_gap_mm(drawn[f"{letter}.CrtYd"]),
        net_ties=_net_ties(node),
    )


def place_of(node: Node) -> tuple[float, float, float]:
    """Return where a footprint stands: x, y and degrees counter-clockwise, above -180 up to 180 as KiCad has them."""
    at = numbers(node, "at")
    if len(at) < 2:
        raise UnreadableError("a footprint has no place")
    turn = at[2] if len(at) > 2 else 0.0
    return at[0], at[1], turn - 360 * ceil((turn - 180) / 360)


def _own_id(node: Node) -> str:
    """Return the file's id, "" where there is none.

    A time stamp of eight digits, as versions up to 5 have it, is filled up as KiCad 6 and later save it, so that a
    part keeps its id when its board is saved anew; a stamp of zeros is none.
    """
    found = text(node, "uuid") or text(node, "tstamp")
    if len(found) != SHORT_STAMP:
        return found
    return f"00000000-0000-0000-0000-{found.lower():0>12}" if found.strip("0") else ""


def _side(node: Node, names: Names) -> Side:
    layer = names.layer(text(node, "layer"))
    if layer not in SIDES:
        raise UnreadableError(f"a footprint stands on layer {layer!r}, which is no outer copper layer")
    return SIDES[layer]


def _library_id(node: Node) -> str:
    return node[1] if len(node) > 1 and isinstance(node[1], str) else ""


def _fields(node: Node) -> dict[str, str]:
    """Return the properties by name; from KiCad 8 on Reference and Value are among them."""
    found: dict[str, str] = {}
    for entry in children(node, "property"):
        words = [word for word in atoms(entry) if word != "private"]
        if len(words) > 1:
            found[words[0]] = words[1]
    return found


def _net_ties(node: Node) -> tuple[frozenset[str], ...]:
    """Return groups of pad numbers that join different nets on purpose: `(net_tie_pad_groups "1,2" "3, 4")`."""
    groups = atoms(child(node, "net_tie_pad_groups"))
    return tuple(frozenset(number.strip() for number in group.split(",")) for group in groups)


def _text_of(node: Node, role: str) -> str:
    """Return the text of `(fp_text reference "R1" ...)`, where KiCad kept it up to version 7."""
    for entry in children(node, "fp_text"):
        if len(entry) > 2 and entry[1] == role and isinstance(entry[2], str):
            return entry[2]
    return ""


def _left_out(attributes: frozenset[str], fields: dict[str, str]) -> bool:
    marked = next((value for name, value in fields.items() if name.lower() == "dnp"), "")
    return "dnp" in attributes or marked.strip().lower() in ("yes", "true")


def _placed(area: BaseGeometry | None, place: tuple[float, float, float]) -> BaseGeometry | None:
    return None if area is None else shapely.transform(area, lambda points: turned(points, *place))


def _model(node: Node) -> Model3d:
    x, y, z = _triple(node, "offset", 0.0)
    if child(node, "offset") is None:  # up to KiCad 5 `at` gave inches
        x, y, z = (MM_PER_INCH * inches for inches in _triple(node, "at", 0.0))
    path = node[1] if len(node) > 1 and isinstance(node[1], str) else ""
    return Model3d(path, (x, y, z), _triple(node, "scale", 1.0), _triple(node, "rotate", 0.0))


def _triple(node: Node, head: str, default: float) -> tuple[float, float, float]:
    holder = child(node, head)
    found = () if holder is None else numbers(holder, "xyz")
    return (found[0], found[1], found[2]) if len(found) > 2 else (default, default, default)
