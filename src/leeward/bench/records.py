"""The bench as records, checked when they are read from a bench file.

Stages: a recipe is preheat, soak, reflow and cool. Lengths mm, temperatures C, air in standard litres a minute.
"""

from dataclasses import dataclass
from typing import Annotated, ClassVar, Literal

from pydantic import ConfigDict, Field
from shapely.geometry.base import BaseGeometry

from leeward.parts.records import LeadStyle

StageName = Literal["preheat", "soak", "reflow", "cool"]
STAGE_NAMES: tuple[StageName, ...] = ("preheat", "soak", "reflow", "cool")
Outlet = Literal["box", "perimeter-slot", "area", "round"]
Form = Literal["tape", "foil", "fibre", "gel"]
FORMS: tuple[Form, ...] = ("tape", "foil", "fibre", "gel")
Millimetres = Annotated[float, Field(gt=0, le=500, allow_inf_nan=False)]
Celsius = Annotated[float, Field(ge=-40, le=600, allow_inf_nan=False)]
Litres = Annotated[float, Field(gt=0, le=500, allow_inf_nan=False)]
Seconds = Annotated[float, Field(ge=0, le=3600, allow_inf_nan=False)]
Sha256 = Annotated[str, Field(pattern=r"^[0-9a-f]{64}$")]
FactorName = Literal[
    "air_h", "reach", "flow", "outlet", "vented", "heater", "laminate_heat", "copper", "body_heat"
]  # as `heat.factors` has them
Share = Annotated[float, Field(ge=0, lt=1, allow_inf_nan=False)]

_STRICT = ConfigDict(extra="forbid")


@dataclass(frozen=True, slots=True)
class Nozzle:
    """One nozzle. A round bore has its diameter twice in `aperture_mm`."""

    __pydantic_config__: ClassVar[ConfigDict] = _STRICT
    id: str
    outlet: Outlet
    aperture_mm: tuple[Millimetres, Millimetres]  # inside, width and length
    wall_mm: Millimetres
    skirt_height_mm: Millimetres  # how far the walls reach up before the head widens
    slot_width_mm: Millimetres | None = None  # box and perimeter-slot: the gap that the air leaves through
    slot_sides: Literal[2, 4] = 4  # perimeter-slot: along how many sides of the box
    vented_up_fraction: Share = 0.0  # share of the air that leaves upward through vents
    head_overhang_mm: Annotated[float, Field(ge=0, le=100)] = 5.0  # how far the head stands out above the walls


@dataclass(frozen=True, slots=True)
class Cup:
    """One suction cup that lifts a part."""

    __pydantic_config__: ClassVar[ConfigDict] = _STRICT
    id: str
    diameter_mm: Millimetres  # of the sealing edge
    bears_c: Celsius  # for the seconds of a lift


@dataclass(frozen=True, slots=True)
class BoardHeater:
    """What warms the board from the other side."""

    __pydantic_config__: ClassVar[ConfigDict] = _STRICT
    kind: Literal["air", "plate", "none"]
    coupling_w_m2k: Annotated[float, Field(ge=0, le=500, allow_inf_nan=False)]
    most_c: Celsius
    room_mm: Millimetres | None = None  # between the board and what stands below it; None where nobody measured


@dataclass(frozen=True, slots=True)
class Station:
    """The hot-air station's range."""

    __pydantic_config__: ClassVar[ConfigDict] = _STRICT
    least_c: Celsius
    most_c: Celsius
    least_l_min: Litres
    most_l_min: Litres


@dataclass(frozen=True, slots=True)
class Stage:
    """One stage of a recipe. Air is off where `air_c` is None; so is the board heater where its setting is None."""

    __pydantic_config__: ClassVar[ConfigDict] = _STRICT
    name: StageName
    seconds: Seconds  # of reflow: the ceiling, unless it is held
    air_c: Celsius | None = None
    flow_l_min: Litres | None = None
    board_heater_c: Celsius | None = None


@dataclass(frozen=True, slots=True)
class StartingRecipe:
    """Stages that parts of a lead style, up to a size over the leads, are usually taken off with."""

    __pydantic_config__: ClassVar[ConfigDict] = _STRICT
    lead_styles: tuple[LeadStyle, ...]
    longest_mm: Millimetres
    stages: tuple[Stage, ...]
    source: str


@dataclass(frozen=True, slots=True)
class ShieldMaterial:
    """Something to shield with: tape from rolls, foil and fibre from sheets or rolls, gel from a jar."""

    __pydantic_config__: ClassVar[ConfigDict] = _STRICT
    id: str
    form: Form
    widths_mm: tuple[Millimetres, ...]  # of rolls or sheets; of gel the widest spot to put it on
    thickness_mm: Millimetres  # adhesive included
    conductivity_w_mk: Annotated[float, Field(gt=0, le=500, allow_inf_nan=False)]  # through its thickness
    most_c: Annotated[float, Field(gt=0, le=2000, allow_inf_nan=False)]
    water_kg_m2: Annotated[float, Field(ge=0, le=20, allow_inf_nan=False)] = 0.0  # gel: what a coat holds


@dataclass(frozen=True, slots=True)
class FittedFactor:
    """A factor on the model as a log told it: the most likely value, and one relative standard deviation."""

    __pydantic_config__: ClassVar[ConfigDict] = _STRICT
    name: FactorName
    value: Annotated[float, Field(gt=0, le=20, allow_inf_nan=False)]
    spread: Annotated[float, Field(ge=0, le=5, allow_inf_nan=False)]


@dataclass(frozen=True, slots=True)
class Calibration:
    """What thermocouple runs taught about one nozzle; as `leeward calibrate` writes it.

    Row i of `correlation` holds the correlations of the logarithms of factor i + 1 with all factors before it.
    The factors on laminate, copper and bodies hold for the board of the run alone.
    """

    __pydantic_config__: ClassVar[ConfigDict] = _STRICT
    nozzle: str
    date: Annotated[str, Field(max_length=40)]  # as the user gave it
    logs: Annotated[tuple[Sha256, ...], Field(min_length=1)]
    board: Sha256
    factors: Annotated[tuple[FittedFactor, ...], Field(min_length=1)]
    correlation: tuple[tuple[Annotated[float, Field(ge=-1, le=1, allow_inf_nan=False)], ...], ...]
    misfit_c: Annotated[float, Field(ge=0, le=200, allow_inf_nan=False)]  # what the fit leaves, noise taken out
    left_out: Annotated[float, Field(ge=0, le=2, allow_inf_nan=False)]  # a share of each rise that nothing accounts for
    probe_lag_s: Annotated[float, Field(ge=0, le=120, allow_inf_nan=False)]
    shield_seen: bool = False  # a shield was on in a run, and did what was computed

    def __post_init__(self) -> None:
        """Raise ValueError where the correlations do not go with the factors."""
        names = [factor.name for factor in self.factors]
        if len(set(names)) < len(names):
            raise ValueError("a factor is named twice")
        if [len(row) for row in self.correlation] != list(range(1, len(names))):
            raise ValueError("correlation has a row for each factor after the first, one figure longer each time")


@dataclass(frozen=True, slots=True)
class Bench:
    """Everything that the operator owns, as the bench file says."""

    __pydantic_config__: ClassVar[ConfigDict] = _STRICT
    name: str
    ambient_c: Celsius
    station: Station
    board_heater: BoardHeater
    boxed_standoff_mm: Millimetres
    round_standoff_mm: Millimetres
    round_most_m_s: Annotated[float, Field(gt=0, le=300, allow_inf_nan=False)]  # air from a round bore, as it leaves
    placement_mm: Millimetres  # how far off its place a nozzle may be set down
    nozzles: tuple[Nozzle, ...]
    recipes: tuple[StartingRecipe, ...]
    cups: tuple[Cup, ...] = ()
    shields: tuple[ShieldMaterial, ...] = ()
    vacuum_kpa: Annotated[float, Field(gt=0, le=100, allow_inf_nan=False)] = 30.0  # under the room's pressure
    glass_transition_c: Celsius | None = None  # of the boards worked on, where their files do not tell
    calibrations: tuple[Calibration, ...] = ()

    def calibration_of(self, nozzle_id: str) -> Calibration | None:
        """Return what was learnt about a nozzle, None where nothing was."""
        return next((entry for entry in self.calibrations if entry.nozzle == nozzle_id), None)


@dataclass(frozen=True, slots=True)
class Blocker:
    """A neighbour that stands in a nozzle's way."""

    id: str
    ref: str
    gap_mm: float  # from the outside of the wall to the body, in plan; 0 where the wall stands on it
    height_mm: float


@dataclass(frozen=True, slots=True)
class NozzleFit:
    """A nozzle in one rotation over the target, in the board frame."""

    nozzle: Nozzle
    rotation_deg: float
    standoff_mm: float
    x_mm: float
    y_mm: float
    aperture: BaseGeometry  # inside of the walls
    outside: BaseGeometry  # outside of the walls
    clearance_mm: tuple[float, float]  # per side between aperture and what it must take, by width and length
    fits: bool
    min_gap_mm: float | None  # from the walls' outside to the nearest body tall enough to be touched; None if none
    blockers: tuple[Blocker, ...]
    why: str
    path: BaseGeometry | None = None  # of a bore that is moved over the part: the closed line its axis follows
