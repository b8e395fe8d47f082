"""Pads: land shapes as polygons in the board frame, holes, layers and nets.

A pad's place is given in its footprint's own frame, its angle in the board frame. KiCad stores bottom parts
as seen from the top, so nothing is mirrored here.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from leeward.board.arcs import rounded_box, turned, turned_point
from leeward.board.graphics import graphics
from leeward.board.names import Names
from leeward.board.nodes import UnreadableError, atoms, child, children, flag, measure, number, numbers, text
from leeward.board.records import NO_COPPER, Pad, PadKind, ZoneConnection
from leeward.board.sexpr import Node

HEATSINK = "pad_prop_heatsink"
MASK_MARGIN = "solder_mask_margin"
KINDS: dict[str, PadKind] = {
    "smd": "smd",
    "thru_hole": "through-hole",
    "np_thru_hole": "unplated",
    "connect": "edge",
}
CONNECTIONS: dict[str, ZoneConnection] = {
    "0": "none",
    "1": "thermal",
    "2": "solid",
    "3": "thermal-through-hole-only",
}
INNER = "Inner"  # what a pad stack calls all copper layers between the outer two
SHAPES = frozenset({"circle", "rect", "oval", "roundrect", "trapezoid", "custom"})


@dataclass(frozen=True, slots=True)
class Defaults:
    """What a pad goes by where it says nothing itself: its footprint's or the board's."""

    connection: ZoneConnection = "inherited"
    mask_margin_mm: float = 0.0


@dataclass(frozen=True, slots=True)
class Land:
    """What shapes a simple pad, in the pad's own frame; equal lands share one polygon."""

    shape: str
    width_mm: float
    height_mm: float
    offset_mm: tuple[float, float]
    rotation_deg: float
    round_ratio: float  # of the shorter side
    chamfer_ratio: float
    chamfered: tuple[str, ...]
    delta_mm: tuple[float, float]  # how much longer a trapezoid's one end is, as the file has it


def pad(node: Node, place: tuple[float, float, float], defaults: Defaults, names: Names) -> Pad:
    """Return one pad of a footprint that stands at `place` (x, y, degrees).

    The opening in the mask goes beyond the copper by the pad's own margin or the default's.

    Raises UnreadableError where kind, shape, size or place is missing or unknown.
    """
    number_, kind, shape = _head(node)
    at = numbers(node, "at")
    if len(at) < 2:
        raise UnreadableError(f"pad {number_!r} has no place")
    x, y = turned_point(at[0], at[1], place)
    angle = at[2] if len(at) > 2 else 0.0
    if child(node, "layers") is None:
        raise UnreadableError(f"pad {number_!r} has no layers")
    layers = atoms(child(node, "layers"))
    copper_layers = names.copper_of(layers)
    hole, drill = _hole(node, angle)
    first, others = _stack(node, shape, angle, copper_layers)
    return Pad(
        number=number_,
        kind=kind,
        shape=shape,
        x_mm=x,
        y_mm=y,
        copper=_moved(first, x, y),
        layers=copper_layers,
        hole=None if hole is None else _moved(hole, x, y),
        drill_mm=drill,
        net=names.net(node),
        zone_connection=zone_connection(node, defaults.connection),
        has_paste=any(layer.endswith(".Paste") for layer in layers),
        has_mask_opening=any(layer.endswith(".Mask") for layer in layers),
        mask_margin_mm=measure(node, MASK_MARGIN, defaults.mask_margin_mm),
        purpose=text(node, "property").removeprefix("pad_prop_"),
        optional_layers=optional_layers(node, copper_layers),
        exceptions={layer: _moved(area, x, y) for layer, area in others.items()},
    )


def zone_connection(node: Node, default: ZoneConnection) -> ZoneConnection:
    """Return how a pad (or all pads of a footprint) asks to be joined to a zone."""
    return CONNECTIONS.get(text(node, "zone_connect"), default)


def optional_layers(node: Node, layers: tuple[str, ...]) -> tuple[str, ...]:
    """Return on which of its copper layers a pad or via has a land only if something is joined to it there.

    From KiCad 7 on the file lists the layers on which a zone is joined to it; these keep their land, and so does a
    heat sink (KiCad source, pcbnew/pad.cpp, PAD::FlashLayer).
    """
    if not flag(node, "remove_unused_layers") or text(node, "property") == HEATSINK:
        return ()
    kept = set(atoms(child(node, "zone_layer_connections")))
    if flag(node, "keep_end_layers"):
        kept |= {layers[0], layers[-1]} if layers else set()
    return tuple(layer for layer in layers if layer not in kept)


def by_layer(node: Node, layers: tuple[str, ...]) -> dict[str, Node]:
    """Return the entry of the pad stack (KiCad 9 on) for each copper layer that has one.

    The pad or via itself says what it is on F.Cu.
    """
    stack = child(node, "padstack")
    found = {} if stack is None else {str(entry[1]): entry for entry in children(stack, "layer") if len(entry) > 1}
    inner = {layer: found[INNER] for layer in layers if layer not in ("F.Cu", "B.Cu") and INNER in found}
    return inner | {layer: found[layer] for layer in layers if layer in found}


def _head(node: Node) -> tuple[str, PadKind, str]:
    if len(node) < 4 or not all(isinstance(word, str) for word in node[1:4]):
        raise UnreadableError("a pad has no number, kind and shape")
    number_, kind, shape = (str(word) for word in node[1:4])
    if kind not in KINDS or shape not in SHAPES:
        raise UnreadableError(f"pad {number_!r} is of an unknown kind or shape: {kind} {shape}")
    return number_, KINDS[kind], shape


def _moved(shape: BaseGeometry, x: float, y: float) -> BaseGeometry:
    return shapely.transform(shape, lambda points: points + np.array((x, y)))


def _stack(
    node: Node, shape: str, angle: float, layers: tuple[str, ...]
) -> tuple[BaseGeometry, Mapping[str, BaseGeometry]]:
    """Return the copper on the pad's topmost layer, and that of the layers where it is another."""
    if not layers:
        return NO_COPPER, {}
    entries = by_layer(node, layers)
    own = _copper(node, shape, angle, _offset(node)) if len(entries) < len(layers) else NO_COPPER
    areas = {layer: _copper_of_entry(entry, angle) for layer, entry in entries.items()}
    first = areas.get(layers[0], own)
    return first, {layer: areas.get(layer, own) for layer in layers[1:] if areas.get(layer, own) is not first}


def _copper_of_entry(entry: Node, angle: float) -> BaseGeometry:
    shape = text(entry, "shape")
    if shape not in SHAPES:
        raise UnreadableError(f"a pad stack's {entry[1]!r} is of an unknown shape: {shape}")
    return _copper(entry, shape, angle, _pair(numbers(entry, "offset")))


def _copper(node: Node, shape: str, angle: float, offset: tuple[float, float]) -> BaseGeometry:
    """Return the polygon of a pad or of a pad stack's entry round the pad's position, turned into the board frame."""
    if shape == "custom":
        return shapely.transform(_custom(node), lambda points: turned(points + np.array(offset), 0.0, 0.0, angle))
    return _land(_land_of(node, shape, angle, offset))


def _land_of(node: Node, shape: str, angle: float, offset: tuple[float, float]) -> Land:
    size = numbers(node, "size")
    if len(size) < 2 or min(size) < 0:
        raise UnreadableError(f"pad {node[1]!r} has no size")
    chamfer_ratio = measure(node, "chamfer_ratio", 0.0)
    return Land(
        shape=shape,
        width_mm=size[0],
        height_mm=size[1],
        offset_mm=offset,
        rotation_deg=angle,
        round_ratio=measure(node, "roundrect_rratio", 0.25) if shape == "roundrect" else 0.0,
        chamfer_ratio=chamfer_ratio,
        chamfered=tuple(atoms(child(node, "chamfer"))) if chamfer_ratio > 0 else (),
        delta_mm=_pair(numbers(node, "rect_delta")),
    )


def _offset(node: Node) -> tuple[float, float]:
    drill = child(node, "drill")
    return (0.0, 0.0) if drill is None else _pair(numbers(drill, "offset"))


def _pair(found: tuple[float, ...]) -> tuple[float, float]:
    return (found[0], found[1]) if len(found) > 1 else (0.0, 0.0)


@lru_cache(maxsize=4096)
def _land(land: Land) -> BaseGeometry:
    shape = _upright(land)
    return shapely.transform(
        shape, lambda points: turned(points + np.array(land.offset_mm), 0.0, 0.0, land.rotation_deg)
    )


def _upright(land: Land) -> BaseGeometry:
    half_w, half_h = land.width_mm / 2, land.height_mm / 2
    shorter = min(half_w, half_h)
    if land.shape == "circle":
        return rounded_box(0.0, 0.0, half_w)
    if land.shape == "oval":
        return rounded_box(half_w - shorter, half_h - shorter, shorter)
    if land.shape == "trapezoid":
        return _trapezoid(half_w, half_h, land.delta_mm)
    radius = 2 * shorter * min(land.round_ratio, 0.5)
    body = rounded_box(half_w - radius, half_h - radius, radius)
    return _chamfered(body, land) if land.chamfered else body


def _trapezoid(half_w: float, half_h: float, delta: tuple[float, float]) -> BaseGeometry:
    """Return KiCad's trapezoid; `delta` is the file's rect_delta: its first number slants top and bottom."""
    by_x, by_y = delta[0] / 2, delta[1] / 2
    corners = [
        (-half_w - by_y, half_h + by_x),
        (half_w + by_y, half_h - by_x),
        (half_w - by_y, -half_h + by_x),
        (-half_w + by_y, -half_h - by_x),
    ]
    return shapely.buffer(shapely.polygons(corners), 0)


def _chamfered(body: BaseGeometry, land: Land) -> BaseGeometry:
    """Return a rounded box with the named corners cut at 45 degrees, and there not rounded."""
    cut = min(land.width_mm, land.height_mm) * min(land.chamfer_ratio, 0.5)
    for name in land.chamfered:
        across, down = ("right" in name) * 2 - 1, ("bottom" in name) * 2 - 1
        x, y = across * land.width_mm / 2, down * land.height_mm / 2
        quarter = shapely.box(min(x, 0.0), min(y, 0.0), max(x, 0.0), max(y, 0.0))
        corner = shapely.polygons([(x, y), (x - across * cut, y), (x, y - down * cut)])
        body = body.union(quarter).difference(corner)
    return body


def _custom(node: Node) -> BaseGeometry:
    """Return anchor and primitives as one area, in the pad's own frame."""
    options = child(node, "options")
    anchor = text(options, "anchor", "circle") if options is not None else "circle"
    size = numbers(node, "size")
    if len(size) < 2:
        raise UnreadableError(f"pad {node[1]!r} has no size")
    half_w, half_h = size[0] / 2, size[1] / 2
    first = rounded_box(half_w, half_h, 0.0) if anchor == "rect" else rounded_box(0.0, 0.0, half_w)
    primitives = child(node, "primitives")
    drawn = [] if primitives is None else [shape.area() for shape in graphics(primitives)]
    return shapely.union_all([first, *drawn])


def _hole(node: Node, angle: float) -> tuple[BaseGeometry | None, float | None]:
    """Return the hole's outline round the pad's position, and its extent along the pad's own x."""
    drill = child(node, "drill")
    sizes = [] if drill is None else [number(word) for word in atoms(drill) if word != "oval"]
    if not sizes or sizes[0] <= 0:
        return None, None
    width, height = sizes[0], sizes[1] if len(sizes) > 1 else sizes[0]
    return _drilled(width, height, angle), width


@lru_cache(maxsize=4096)
def _drilled(width: float, height: float, angle: float) -> BaseGeometry:
    shorter = min(width, height) / 2
    outline = rounded_box(width / 2 - shorter, height / 2 - shorter, shorter)
    return shapely.transform(outline, lambda points: turned(points, 0.0, 0.0, angle))
