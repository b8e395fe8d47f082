"""The board as records. Lengths in mm, areas in mm2, angles in degrees counter-clockwise as drawn.

Frame: x to the right, y down, as KiCad draws a board seen from the top. Bottom parts are given in the same
frame, seen through the board.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from shapely.geometry.base import BaseGeometry

Side = Literal["top", "bottom"]
PadKind = Literal["smd", "through-hole", "unplated", "edge"]
ZoneConnection = Literal["inherited", "none", "thermal", "solid", "thermal-through-hole-only"]


@dataclass(frozen=True, slots=True)
class StackLayer:
    """One layer of the stackup, from the top down."""

    name: str  # the format's own: "F.Cu", "dielectric 1", "F.Mask"
    kind: Literal["copper", "dielectric", "mask"]
    thickness_mm: float
    material: str | None


@dataclass(frozen=True, slots=True)
class Stackup:
    """Layers from top to bottom; `source` says whether the file gave them or a default did."""

    layers: tuple[StackLayer, ...]
    source: str

    @property
    def copper(self) -> tuple[StackLayer, ...]:
        """The copper layers, top first."""
        return tuple(layer for layer in self.layers if layer.kind == "copper")


@dataclass(frozen=True, slots=True)
class Pad:
    """One pad of a footprint."""

    number: str
    kind: PadKind
    shape: str  # as the file words it: rect, roundrect, circle, oval, trapezoid, custom
    x_mm: float  # KiCad's position of the pad (its hole where it has one), board frame
    y_mm: float
    copper: BaseGeometry  # polygon(s) before drilling, board frame; empty where the pad has no copper
    layers: tuple[str, ...]  # copper layers by the format's own names, top first
    hole: BaseGeometry | None  # the drilled outline, board frame
    drill_mm: float | None  # the hole's extent along the pad's own x
    net: str  # "" where none
    zone_connection: ZoneConnection
    has_paste: bool
    has_mask_opening: bool

    @property
    def area_mm2(self) -> float:
        """Copper before drilling."""
        return float(self.copper.area)

    @property
    def sides(self) -> tuple[Side, ...]:
        """The outer sides on which the pad has copper, top first."""
        outer: tuple[tuple[Side, str], ...] = (("top", "F.Cu"), ("bottom", "B.Cu"))
        return tuple(side for side, name in outer if name in self.layers)


@dataclass(frozen=True, slots=True)
class Model3d:
    """A reference to a 3D model with its placement in the footprint's frame (y up, as KiCad's models)."""

    path: str
    offset_mm: tuple[float, float, float]
    scale: tuple[float, float, float]
    rotation_deg: tuple[float, float, float]


@dataclass(frozen=True, slots=True)
class Footprint:
    """One footprint as the file gives it: a part's lands, outlines and fields."""

    id: str  # the file's own id; "@x,y,side" where it has none or it repeats
    ref: str
    value: str
    library_id: str  # "Package_QFP:LQFP-144_20x20mm_P0.5mm"
    line: int  # where it begins in the file, from 1
    side: Side
    x_mm: float
    y_mm: float
    rotation_deg: float
    fitted: bool
    attributes: frozenset[str]  # as the file words them: smd, through_hole, exclude_from_bom, board_only ...
    description: str
    keywords: str
    fields: Mapping[str, str]
    pads: tuple[Pad, ...]
    courtyard: BaseGeometry | None  # None where the file draws none that closes
    fab: BaseGeometry | None  # the area enclosed by the fab drawing, None where it draws none
    silk: BaseGeometry | None  # the box round the silk lines, None where there are none
    models: tuple[Model3d, ...]


@dataclass(frozen=True, slots=True)
class Track:
    """A straight or curved run of copper."""

    layer: str
    net: str
    width_mm: float
    points: tuple[tuple[float, float], ...]  # two, or an arc broken into chords


@dataclass(frozen=True, slots=True)
class Via:
    """A plated barrel between two copper layers."""

    x_mm: float
    y_mm: float
    diameter_mm: float
    drill_mm: float
    layers: tuple[str, str]  # outermost two, top first
    net: str


@dataclass(frozen=True, slots=True)
class Fill:
    """The copper that a zone was filled with on one layer."""

    layer: str
    copper: BaseGeometry  # polygons with holes


@dataclass(frozen=True, slots=True)
class Zone:
    """A copper area, a teardrop or a keep-out."""

    kind: Literal["pour", "teardrop", "keepout"]
    net: str
    layers: tuple[str, ...]
    outline: BaseGeometry
    fills: tuple[Fill, ...]  # empty where the file holds no fill
    line: int


@dataclass(frozen=True, slots=True)
class Artwork:
    """Copper that is neither pad, track nor zone: graphics and text on a copper layer."""

    layer: str
    copper: BaseGeometry


@dataclass(frozen=True, slots=True)
class Board:
    """Everything that the review needs of one board file."""

    file: str  # the path as given
    sha256: str
    format_version: int
    copper_layers: tuple[str, ...]  # by the format's own names, top first
    layer_titles: Mapping[str, str]  # the user's names of the copper layers, where they differ
    thickness_mm: float
    stackup: Stackup
    outline: BaseGeometry  # board area with cut-outs taken out
    outline_source: str
    footprints: tuple[Footprint, ...]
    tracks: tuple[Track, ...]
    vias: tuple[Via, ...]
    zones: tuple[Zone, ...]
    artwork: tuple[Artwork, ...]
    notes: tuple[str, ...]  # what was guessed, dropped or not understood, in words
