"""The run file: where each thermocouple sat and what was set, stage by stage, as the run was made.

nozzle = "quad-24x24"
start = "12:03:05"              # what the log's time said as the first stage began; its first sample if not given

[[stages]]
name = "preheat"
seconds = 100.0
board_heater_c = 160.0

[[channels]]
name = "T1"                     # as the log's header has it
pad = "87"                      # of the target, or of `ref`

[[channels]]
name = "T2"
ref = "C12"                     # the middle of its top

[[channels]]
name = "T3"
x_mm = 41.0                     # on the board itself
y_mm = 22.5
side = "bottom"

[[shields]]                     # what was on, if anything was
kind = "cover"                  # or "fence" (the polygon is the area behind it), or "gel"
side = "top"
material = "aluminium-foil"
gap_mm = 1.0
polygon = [[30, 10], [36, 10], [36, 18], [30, 18]]
"""

import tomllib
from math import isnan
from pathlib import Path
from typing import Literal

from pydantic import BaseModel, ConfigDict, Field, ValidationError, field_validator, model_validator

from leeward.bench.read import UNKNOWN_KEY
from leeward.bench.records import Celsius, Millimetres, Stage
from leeward.board.records import Side
from leeward.calibrate.cells import clock_s, figure
from leeward.errors import InputError, Place
from leeward.parts.overrides import nearest

MOST_CHANNELS, MOST_STAGES = 32, 24


class Channel(BaseModel):
    """Where one thermocouple sat: on a pad, on top of a part, or on the board."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    name: str = Field(min_length=1)
    pad: str | None = None
    ref: str | None = None
    x_mm: float | None = Field(default=None, allow_inf_nan=False)
    y_mm: float | None = Field(default=None, allow_inf_nan=False)
    side: Side | None = None

    @field_validator("pad", mode="before")
    @classmethod
    def _number(cls, written: object) -> object:
        """Take pad = 87 for pad = "87"."""
        return str(written) if isinstance(written, int) and not isinstance(written, bool) else written

    @model_validator(mode="after")
    def _sits_somewhere(self) -> "Channel":
        place = (self.x_mm, self.y_mm, self.side)
        on_part = self.pad is not None or self.ref is not None
        if on_part == any(value is not None for value in place) or (not on_part and None in place):
            raise ValueError(
                f"channel {self.name} sits on a pad, on a ref, or at x_mm, y_mm and side: give one of these"
            )
        return self


class ShieldOn(BaseModel):
    """A shield that was on during the run: a cover of some material over an area, a fence and the area behind it, gel.

    `gap_mm` is the air under a tent or a lid, 0 where a cover lies flush.
    """

    model_config = ConfigDict(extra="forbid", frozen=True)

    kind: Literal["cover", "fence", "gel"]
    side: Side
    polygon: tuple[tuple[float, float], ...] = Field(min_length=3)  # corners, mm, board frame
    material: str | None = None
    layers: int = Field(default=1, ge=1, le=20)
    gap_mm: float = Field(default=0.0, ge=0, le=50, allow_inf_nan=False)

    @model_validator(mode="after")
    def _is_of_something(self) -> "ShieldOn":
        if (self.kind == "cover") == (self.material is None):
            raise ValueError("a cover names its material, a fence and gel do not")
        return self


class RunFile(BaseModel):
    """A run as it was made. What is left out is taken as a review would set it."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    channels: tuple[Channel, ...] = Field(min_length=1, max_length=MOST_CHANNELS)
    stages: tuple[Stage, ...] = Field(min_length=1, max_length=MOST_STAGES)
    shields: tuple[ShieldOn, ...] = ()
    nozzle: str | None = None
    rotation_deg: float | None = Field(default=None, ge=-360, le=360)
    standoff_mm: Millimetres | None = None
    ambient_c: Celsius | None = None
    start: float | str | None = None
    degrees: Literal["C", "F"] | None = None  # where the log does not say it

    @field_validator("start")
    @classmethod
    def _is_a_time(cls, written: float | str | None) -> float | None:
        if not isinstance(written, str):
            return written
        told = clock_s(written) if ":" in written else figure(written)
        if isnan(told):
            raise ValueError(f"start is a time as the log has it, seconds or hh:mm:ss, not {written!r}")
        return told

    @model_validator(mode="after")
    def _is_sound(self) -> "RunFile":
        names = [channel.name.casefold() for channel in self.channels]
        twice = next((name for name in names if names.count(name) > 1), None)
        if twice is not None:
            raise ValueError(f"two channels are named {twice}")
        if not any(stage.seconds > 0 for stage in self.stages):
            raise ValueError("no stage lasts any time")
        lone = next((s.name for s in self.stages if (s.air_c is None) != (s.flow_l_min is None)), None)
        if lone is not None:
            raise ValueError(f"stage {lone} gives air_c or flow_l_min alone: air that blows has both")
        return self

    @property
    def start_s(self) -> float | None:
        """The log's time as the first stage began, in seconds; None where it is not given."""
        return None if self.start is None else float(self.start)


def read_run_file(path: str) -> RunFile:
    """Return the run of a file. Raises InputError naming the entry that is wrong."""
    try:
        tree = tomllib.loads(Path(path).read_text(encoding="utf-8"))
    except OSError as error:
        raise InputError(
            f"cannot read the run file: {error.strerror}",
            do="name the one that says where each probe sat and what was set; --plan -o FILE.toml writes one",
            place=Place(path),
        ) from error
    except UnicodeDecodeError as error:
        raise InputError("the run file is no UTF-8 text", do="save it as UTF-8", place=Place(path)) from error
    except tomllib.TOMLDecodeError as error:
        raise InputError(f"not TOML: {error}", do="mend that line", place=Place(path)) from error
    try:
        return RunFile.model_validate(tree)
    except ValidationError as error:
        raise InputError(_first_fault(error), do="mend that entry", place=Place(path)) from error


def _first_fault(error: ValidationError) -> str:
    fault = min(error.errors(), key=lambda each: each["type"] not in UNKNOWN_KEY)
    where = ".".join(str(step) for step in fault["loc"])
    if fault["type"] in UNKNOWN_KEY:
        known = (*RunFile.model_fields, *Channel.model_fields, *ShieldOn.model_fields, *Stage.__dataclass_fields__)
        return f"unknown key {where}{nearest(str(fault['loc'][-1]), known)}"
    told = fault["msg"].removeprefix("Value error, ")
    return told if fault["type"] == "value_error" else f"{where}: {told[0].lower()}{told[1:]}"
