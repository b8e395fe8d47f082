"""The board as records. Lengths in mm, areas in mm2, angles in degrees counter-clockwise as drawn.

Frame: x to the right, y down, as KiCad draws a board seen from the top. Bottom parts are given in the same
frame, seen through the board.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Literal

import shapely
from shapely.geometry.base import BaseGeometry

Side = Literal["top", "bottom"]
OUTER_LAYERS: Mapping[Side, str] = {"top": "F.Cu", "bottom": "B.Cu"}
PadKind = Literal["smd", "through-hole", "unplated", "edge"]
ViaKind = Literal["through", "blind", "buried", "micro"]
ZoneConnection = Literal["inherited", "none", "thermal", "solid", "thermal-through-hole-only"]
NO_COPPER = shapely.Polygon()


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
    copper: BaseGeometry  # polygon(s) on its topmost layer, before drilling, board frame; empty where it has none
    layers: tuple[str, ...]  # copper layers by the format's own names, top first
    hole: BaseGeometry | None  # the drilled outline, board frame
    drill_mm: float | None  # the hole's extent along the pad's own x
    net: str  # "" where none
    zone_connection: ZoneConnection
    has_paste: bool
    has_mask_opening: bool
    mask_margin_mm: float = 0.0  # how far the mask's opening goes beyond the copper, negative where it stays inside
    purpose: str = ""  # what the file says the pad is for: castellated, heatsink, bga, testpoint, fiducial_loc ...
    optional_layers: tuple[str, ...] = ()  # copper layers on which it has a land only if something is joined to it
    exceptions: Mapping[str, BaseGeometry] = field(default_factory=dict)  # copper by layer, where it is not `copper`

    def copper_on(self, layer: str) -> BaseGeometry:
        """Return the polygon(s) before drilling on one copper layer, empty where there are none."""
        return self.exceptions.get(layer, self.copper) if layer in self.layers else NO_COPPER

    @property
    def area_mm2(self) -> float:
        """Copper before drilling."""
        return float(self.copper.area)

    @property
    def mask_defined(self) -> bool:
        """Whether the solder mask covers the land's edge, so that its opening is what solder wets."""
        return self.has_mask_opening and self.mask_margin_mm < 0 and not self.copper.is_empty

    @property
    def mask_opening(self) -> BaseGeometry:
        """The opening in the solder mask, board frame; empty where there is none."""
        return shapely.buffer(self.copper, self.mask_margin_mm) if self.has_mask_opening else NO_COPPER

    @property
    def sides(self) -> tuple[Side, ...]:
        """The outer sides on which the pad has copper, top first."""
        return tuple(side for side, name in OUTER_LAYERS.items() if name in self.layers)


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
    courtyard_gap_mm: float = 0.0  # the widest gap in its courtyard lines that was closed
    net_ties: tuple[frozenset[str], ...] = ()  # numbers of pads that join different nets on purpose
    board_index: int = 0  # which board it lies on, where the file holds several: from the left, then from the top


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
    kind: ViaKind = "through"
    optional_layers: tuple[str, ...] = ()  # copper layers on which it has a land only if something is joined to it
    exceptions: Mapping[str, float] = field(default_factory=dict)  # diameter by layer, where it is not `diameter_mm`

    def diameter_on(self, layer: str) -> float:
        """Return the land's diameter on a layer between the outermost two, 0 where it has no land."""
        return self.exceptions.get(layer, self.diameter_mm)


@dataclass(frozen=True, slots=True)
class Fill:
    """The copper that a zone was filled with on one layer."""

    layer: str
    copper: BaseGeometry  # polygons with holes
    estimated: bool = False  # the file holds no fill: this is what KiCad would about pour


@dataclass(frozen=True, slots=True)
class Pouring:
    """How KiCad is told to fill a zone."""

    filled: bool = True  # the file says it was filled, be it with nothing
    priority: int = 0  # a zone of higher priority keeps its copper, the others give way
    clearance_mm: float = 0.0
    narrowest_mm: float = 0.0  # copper narrower than this is not poured
    connection: ZoneConnection = "thermal"  # to pads that leave it to the zone
    thermal_gap_mm: float = 0.0
    thermal_bridge_mm: float = 0.0  # width of the spokes
    hatch_gap_mm: float = 0.0  # between the lines of a hatched fill, 0 where it is solid
    hatch_line_mm: float = 0.0
    keeps_islands: bool = False  # also copper that nothing of its net touches


@dataclass(frozen=True, slots=True)
class Zone:
    """A copper area, a teardrop or a keep-out."""

    kind: Literal["pour", "teardrop", "keepout"]
    net: str
    layers: tuple[str, ...]
    outline: BaseGeometry
    fills: tuple[Fill, ...]  # empty where the file holds no fill and none was estimated
    line: int
    pouring: Pouring = Pouring()
    bars_pours: bool = False  # a keep-out for zones' copper

    def connection(self, pad: Pad) -> ZoneConnection:
        """Return how a pad of the zone's net is joined to it: "none", "thermal" or "solid"."""
        wanted = self.pouring.connection if pad.zone_connection == "inherited" else pad.zone_connection
        if wanted == "thermal-through-hole-only":
            return "thermal" if pad.kind == "through-hole" else "solid"
        return wanted


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
