"""What draws heat off a joint: the planes that it is joined to, layer by layer."""

from collections.abc import Sequence
from dataclasses import dataclass

import shapely
from shapely.geometry.base import BaseGeometry

from leeward.board.names import spoken
from leeward.board.records import Board, Pad, Side, Via
from leeward.review.anchors import TOUCH_MM, Anchors, disc, land_layer, span

PLANE_MM2 = 100.0  # a pour smaller than this is no plane: it warms up with the joint; house rule


@dataclass(frozen=True, slots=True)
class Ties:
    """The planes that one joint is joined to."""

    net: str = ""
    solid_on: tuple[str, ...] = ()  # layers where the land or its plated hole meets a plane without spokes
    spokes_on: tuple[str, ...] = ()  # layers where it meets one by spokes
    vias_on: tuple[str, ...] = ()  # other layers, where vias in or near the land, or plated holes in it, meet one
    vias: int = 0  # how many of those

    @property
    def layers(self) -> int:
        """On how many layers a plane is reached."""
        return len(self.solid_on) + len(self.spokes_on) + len(self.vias_on)

    @property
    def words(self) -> str:
        """The ties in words, "" where there are none."""
        vias = "1 via" if self.vias == 1 else f"{self.vias} vias"
        told = (("solid on", self.solid_on), ("by spokes on", self.spokes_on), (f"through {vias} on", self.vias_on))
        how = "; ".join(f"{way} {', '.join(layers)}" for way, layers in told if layers)
        return f"tied to planes of {spoken(self.net) or 'no net'}, {how}" if how else ""


@dataclass(frozen=True, slots=True)
class _Plane:
    """One piece of a pour that is large enough to draw heat, cut down to the part's surroundings."""

    net: str
    layer: str
    copper: BaseGeometry
    solid_to: frozenset[int]  # indices of the part's pads that the zone is set to meet without spokes


def ties(board: Board, pads: Sequence[Pad], held: Sequence[Anchors], side: Side) -> list[Ties]:
    """Return the planes that each of a part's joints is joined to; `held` are the anchors of its lands, in order."""
    planes = _planes(board, pads, held)
    by_net = {pad.net: [plane for plane in planes if plane.net == pad.net] for pad in pads}
    return [
        _ties(board, index, pad, anchor, by_net[pad.net], side)
        for index, (pad, anchor) in enumerate(zip(pads, held, strict=True))
    ]


def _planes(board: Board, pads: Sequence[Pad], held: Sequence[Anchors]) -> list[_Plane]:
    nets = {pad.net for pad in pads}
    discs = [disc(via) for anchor in held for via in _vias(anchor)]
    window = shapely.union_all([*(pad.copper for pad in pads), *discs]).envelope
    pours = [zone for zone in board.zones if zone.kind == "pour" and zone.net in nets]
    return [
        _Plane(
            net=zone.net,
            layer=fill.layer,
            copper=piece.intersection(window),
            solid_to=frozenset(i for i, pad in enumerate(pads) if zone.connection(pad) == "solid"),
        )
        for zone in pours
        for fill in zone.fills
        for piece in shapely.get_parts(fill.copper)
        if piece.area >= PLANE_MM2 and piece.intersects(window)
    ]


def _ties(board: Board, index: int, pad: Pad, held: Anchors, planes: Sequence[_Plane], side: Side) -> Ties:
    layers = pad.layers if pad.kind == "through-hole" else (land_layer(pad, side),)
    met = [plane for plane in planes if plane.layer in layers and _meets(pad.copper_on(plane.layer), plane)]
    solid = {plane.layer for plane in met if index in plane.solid_to}
    spokes = {plane.layer for plane in met} - solid
    through = [
        *({p.layer for p in planes if p.layer in span(board, via) and _meets(disc(via), p)} for via in _vias(held)),
        *({p.layer for p in planes if _meets(hole.copper_on(p.layer), p)} for hole in held.holes_in if hole is not pad),
    ]
    others = {layer for found in through for layer in found} - solid - spokes
    return Ties(
        net=pad.net,
        solid_on=_in_order(board, solid),
        spokes_on=_in_order(board, spokes),
        vias_on=_in_order(board, others),
        vias=sum(1 for found in through if found & others),
    )


def _vias(held: Anchors) -> tuple[Via, ...]:
    return (*held.vias_in, *held.vias_near)


def _meets(copper: BaseGeometry, plane: _Plane) -> bool:
    return bool(copper.distance(plane.copper) < TOUCH_MM)


def _in_order(board: Board, layers: set[str]) -> tuple[str, ...]:
    return tuple(layer for layer in board.copper_layers if layer in layers)
