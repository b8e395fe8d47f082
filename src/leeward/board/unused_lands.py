"""Pads and vias lose their land on layers where nothing is joined to them, where the file asks for that."""

from collections.abc import Callable, Iterable, Sequence
from dataclasses import replace
from typing import TypeAlias

import numpy as np
import shapely
from numpy.typing import NDArray
from shapely.geometry.base import BaseGeometry

from leeward.board.records import NO_COPPER, Footprint, Pad, Track, Via, Zone

IsJoined: TypeAlias = Callable[[str, BaseGeometry, str], bool]  # layer, land, net


def without_unused(
    parts: tuple[Footprint, ...], tracks: Sequence[Track], vias: tuple[Via, ...], zones: Sequence[Zone]
) -> tuple[tuple[Footprint, ...], tuple[Via, ...]]:
    """Return parts and vias whose optional lands are kept only where a track, a fill or a surface-mount pad touches."""
    layers = {layer for part in parts for pad in part.pads for layer in pad.optional_layers}
    layers |= {layer for via in vias for layer in via.optional_layers}
    if not layers:
        return parts, vias
    joined = _joined({layer: list(_shapes(layer, parts, tracks, zones)) for layer in layers})
    return tuple(_part(part, joined) for part in parts), tuple(_via(via, joined) for via in vias)


def _joined(shapes: dict[str, list[tuple[str, BaseGeometry]]]) -> IsJoined:
    """Return the question whether copper of a net touches a land on a layer."""
    trees = {layer: shapely.STRtree([area for _, area in found]) for layer, found in shapes.items()}
    return lambda layer, land, net: any(
        shapes[layer][index][0] == net for index in trees[layer].query(land, predicate="intersects")
    )


def _shapes(
    layer: str, parts: Sequence[Footprint], tracks: Sequence[Track], zones: Sequence[Zone]
) -> Iterable[tuple[str, BaseGeometry]]:
    on = [track for track in tracks if track.layer == layer]
    yield from zip((track.net for track in on), _areas(on), strict=True)
    yield from ((zone.net, fill.copper) for zone in zones for fill in zone.fills if fill.layer == layer)
    yield from ((pad.net, pad.copper) for part in parts for pad in part.pads if pad.layers == (layer,))


def _areas(tracks: Sequence[Track]) -> NDArray[np.object_]:
    lines = np.array([shapely.linestrings(track.points) for track in tracks], dtype=object)
    areas: NDArray[np.object_] = shapely.buffer(lines, np.array([track.width_mm / 2 for track in tracks]), quad_segs=4)
    return areas


def _part(part: Footprint, joined: IsJoined) -> Footprint:
    if not any(pad.optional_layers for pad in part.pads):
        return part
    return replace(part, pads=tuple(_pad(pad, joined) for pad in part.pads))


def _pad(pad: Pad, joined: IsJoined) -> Pad:
    bare = [layer for layer in pad.optional_layers if not joined(layer, pad.copper_on(layer), pad.net)]
    return replace(pad, exceptions={**pad.exceptions, **dict.fromkeys(bare, NO_COPPER)}) if bare else pad


def _via(via: Via, joined: IsJoined) -> Via:
    middle = shapely.points(via.x_mm, via.y_mm)
    bare = [
        layer
        for layer in via.optional_layers
        if not joined(layer, shapely.buffer(middle, via.diameter_on(layer) / 2, quad_segs=4), via.net)
    ]
    return replace(via, exceptions={**via.exceptions, **dict.fromkeys(bare, 0.0)}) if bare else via
