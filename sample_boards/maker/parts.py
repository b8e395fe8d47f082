"""What stands on a board: a part, its place and its nets, and where its pads come to lie in the board's frame."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from math import cos, radians, sin
from typing import Literal

from maker.outlines import Footprint, Pad

Side = Literal["top", "bottom"]


@dataclass(frozen=True, slots=True)
class Part:
    """One part on the board, in mm from the board's upper left corner, turned counter-clockwise in degrees.

    `nets` goes from pad number to net name; a pad that is not in it stays unconnected. The pads named in `solid` are
    joined to the pours without thermal relief and get two vias instead of one.
    """

    ref: str
    value: str
    footprint: Footprint
    x: float
    y: float
    rotation: float = 0.0
    side: Side = "top"
    nets: Mapping[str, str] = field(default_factory=dict)
    fields: Mapping[str, str] = field(default_factory=dict)
    fitted: bool = True
    solid: frozenset[str] = frozenset()
    relief: bool = True


@dataclass(frozen=True, slots=True)
class Land:
    """A pad in the board's frame, with the part that it belongs to and the net that it is on."""

    part: Part
    pad: Pad
    x: float
    y: float
    net: str


def local(part: Part, x: float, y: float) -> tuple[float, float]:
    """Return a point of the drawing as the file keeps it: parts on the bottom are mirrored about their x axis."""
    return (x, -y) if part.side == "bottom" else (x, y)


def placed(part: Part, x: float, y: float) -> tuple[float, float]:
    """Return where a point of the drawing lies on the board, mm."""
    x, y = local(part, x, y)
    c, s = cos(radians(part.rotation)), sin(radians(part.rotation))
    return part.x + x * c + y * s, part.y - x * s + y * c


def lands(parts: tuple[Part, ...]) -> Iterator[Land]:
    """Yield every pad of every part where it lies on the board."""
    for part in parts:
        for pad in part.footprint.pads:
            x, y = placed(part, pad.x, pad.y)
            yield Land(part, pad, x, y, part.nets.get(pad.number, "") if pad.number else "")
