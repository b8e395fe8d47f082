"""Parts as records: a footprint, and what it was taken to be."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

from shapely.geometry.base import BaseGeometry

from leeward.board.records import Footprint
from leeward.known import Known, NotAssessed

LeadStyle = Literal[
    "gull-wing",
    "j-lead",
    "end-cap",
    "inward-l",
    "bottom-terminated",
    "ball-grid",
    "castellated",
    "tab",
    "can",
    "through-hole",
    "connector",
    "socket",
    "hardware",
    "other",
]
Alloy = Literal["SAC305", "Sn63Pb37"]
Msl = Literal["1", "2", "2a", "3", "4", "5", "5a", "6"]  # moisture sensitivity level of J-STD-020
FloorLife = Literal["within", "short", "late"]  # not exceeded; by up to 72 h; by more


@dataclass(frozen=True, slots=True)
class Part:
    """One part. Body sizes are along x and y of the footprint's own frame; outlines in the board frame."""

    footprint: Footprint
    family: Known[str]  # a worded id of the family table: "quad gull-wing", "chip resistor", "coin cell holder"
    lead_style: Known[LeadStyle]
    body_mm: Known[tuple[float, float]]
    body: BaseGeometry  # the body's outline in plan, board frame; empty where nothing is fitted
    leads: BaseGeometry  # body with leads in plan, board frame; the body where leads do not stick out
    lead_span_mm: tuple[float, float]  # outer lead tips along x and y of the footprint's frame
    pitch_mm: float | None  # least centre-to-centre distance of neighbouring perimeter or grid pads
    rows: Literal[0, 2, 4]  # sides that carry leads: quad 4, two-row 2, else 0
    exposed_pad: str | None  # number of the exposed pad's land
    height_mm: Known[float]
    mass_mg: Known[float]
    heat_capacity_j_k: float
    limit_c: Known[float]  # what the body may reach
    limit_spread_c: float  # one standard deviation of that limit
    max_ramp_c_s: float | None
    fragile_class: Literal["A", "B", "C", "D", "E"]  # A robust ... D keep cold, E must come off first
    hazards: tuple[str, ...]  # worded ids: "lithium-cell", "electrolytic", "port", "vent"
    outline_source: Known[str]  # which rung of the ladder gave the body outline
    reworkable: bool  # a soldered part that hot air can take off; fiducials, logos, holes are not
    surface_mount: bool
    msl: Known[Msl] | None = None  # None where nothing says it
    floor_life: FloorLife | None = None  # how long it was out of its dry bag, None where nobody said
    under: str | None = None  # id of the shield can that stands over it

    @property
    def id(self) -> str:
        """The footprint's id."""
        return self.footprint.id

    @property
    def ref(self) -> str:
        """The reference; it may repeat."""
        return self.footprint.ref


@dataclass(frozen=True, slots=True)
class Parts:
    """All parts of a board that carry a pad, by id, and those of which nothing is said."""

    by_id: Mapping[str, Part]
    not_assessed: tuple[NotAssessed, ...]
    alloy: Alloy
