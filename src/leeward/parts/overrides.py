"""The user's parts file: what the user knows better than a footprint tells.

[[part]]
ref = "U3"                      # or: footprint = "*:LQFP-144*", value = "10u*", or both
height_mm = 1.6
limit_c = 245
source = "maker's sheet, page 12"

The fields of a footprint may say the same: see `leeward.parts.fields`.
"""

import difflib
import re
import tomllib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, fields
from fnmatch import fnmatchcase
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError, field_validator, model_validator

from leeward.board.records import Board, Footprint
from leeward.errors import InputError, Place
from leeward.known import Known
from leeward.parts.families import families
from leeward.parts.moisture import msl_in_text
from leeward.parts.order import natural_key
from leeward.parts.records import FloorLife, LeadStyle, Msl
from leeward.parts.resins import resins

HEADER = re.compile(r"^\s*\[\[\s*part\s*\]\]")


class Statement(BaseModel):
    """What a user says of a part."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    family: str | None = None
    lead_style: LeadStyle | None = None
    height_mm: float | None = Field(default=None, gt=0, le=200, allow_inf_nan=False)
    body_mm: tuple[float, float] | None = Field(default=None, strict=False)
    mass_mg: float | None = Field(default=None, gt=0, allow_inf_nan=False)
    limit_c: float | None = Field(default=None, ge=20, le=500, allow_inf_nan=False)
    resin: str | None = None
    msl: Msl | None = None
    floor_life: FloorLife | None = None
    source: str | None = None

    @field_validator("msl", mode="before")
    @classmethod
    def _is_a_level(cls, written: object) -> object:
        """Take 3, "3", "2A" and "MSL 3"; what is no level is refused by its type."""
        return (msl_in_text(str(written)) or written) if isinstance(written, (str, int)) else written

    @field_validator("family")
    @classmethod
    def _is_a_family(cls, named: str | None) -> str | None:
        if named is not None and named not in families():
            raise ValueError(f"no family {named!r}{nearest(named, families())}")
        return named

    @field_validator("resin")
    @classmethod
    def _is_a_resin(cls, named: str | None) -> str | None:
        if named and named not in resins():
            raise ValueError(f"no resin {named!r} in the table, which has {', '.join(resins())}")
        return named or None  # left empty in a file to fill in

    @field_validator("body_mm")
    @classmethod
    def _is_possible(cls, sides: tuple[float, float] | None) -> tuple[float, float] | None:
        if sides is not None and not all(0 < side <= 500 for side in sides):
            raise ValueError("two lengths over 0 and up to 500")
        return sides


class PartEntry(Statement):
    """One `[[part]]` table of a parts file: which parts it is about, and what it says of them."""

    ref: str | None = None
    footprint: str | None = None  # a pattern with * and ? over "library:name"
    value: str | None = None  # a pattern over the value

    @model_validator(mode="after")
    def _is_about_something(self) -> "PartEntry":
        by_pattern = self.footprint is not None or self.value is not None
        if (self.ref is not None) == by_pattern:
            raise ValueError("an entry names either ref or footprint, value or both of these")
        return self

    def is_about(self, footprint: Footprint) -> bool:
        """Say whether the entry's pattern or patterns fit a footprint."""
        named = (self.footprint, footprint.library_id), (self.value, footprint.value)
        asked = [(pattern, text) for pattern, text in named if pattern is not None]
        return bool(asked) and all(fnmatchcase(text, pattern) for pattern, text in asked)


class PartsFile(BaseModel):
    """A whole parts file."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    part: list[PartEntry] = []


@dataclass(frozen=True, slots=True)
class Overrides:
    """The entries of a parts file with the lines on which they begin."""

    file: str
    entries: tuple[PartEntry, ...]
    lines: tuple[int | None, ...]


@dataclass(frozen=True, slots=True)
class Given:
    """What the user says of one part, in the parts file or in a field; None where nothing is said."""

    family: Known[str] | None = None
    lead_style: Known[LeadStyle] | None = None
    height_mm: Known[float] | None = None
    body_mm: Known[tuple[float, float]] | None = None
    mass_mg: Known[float] | None = None
    limit_c: Known[float] | None = None
    resin: Known[str] | None = None
    msl: Known[Msl] | None = None
    floor_life: Known[FloorLife] | None = None


NONE = Overrides(file="", entries=(), lines=())


def read_overrides(path: str | Path) -> Overrides:
    """Read a parts file.

    Raises InputError where the file is missing, is no UTF-8 or no TOML, or holds a key or value not known.
    """
    file = str(path)
    try:
        text = Path(path).read_text(encoding="utf-8")
        tree = tomllib.loads(text)
    except OSError as error:
        raise InputError(
            "cannot read the parts file", do=f"check the path ({error.strerror})", place=Place(file)
        ) from error
    except UnicodeDecodeError as error:
        raise InputError("the parts file is no UTF-8 text", do="save it as UTF-8", place=Place(file)) from error
    except tomllib.TOMLDecodeError as error:
        raise InputError(
            f"the parts file is no TOML: {error}", do="mend that line", place=_place(file, error)
        ) from error
    starts = _starts(text)
    try:
        entries = tuple(PartsFile.model_validate(tree).part)
    except ValidationError as error:
        raise _refusal(error, file, text, starts) from error
    return Overrides(file, entries, tuple(starts[: len(entries)]) + (None,) * (len(entries) - len(starts)))


def check_references(overrides: Overrides, board: Board) -> None:
    """Raise InputError where an entry names a reference that the board does not have."""
    refs = sorted({footprint.ref for footprint in board.footprints}, key=natural_key)
    for entry, line in zip(overrides.entries, overrides.lines, strict=True):
        if entry.ref is not None and entry.ref not in refs:
            raise InputError(
                f"no part {entry.ref} on this board{nearest(entry.ref, refs)}",
                do="correct the reference or take the entry out",
                place=Place(overrides.file, line),
            )


def idle_lines(overrides: Overrides, board: Board) -> tuple[int | None, ...]:
    """Return the lines of the entries whose patterns fit no part of a board."""
    return tuple(
        line
        for entry, line in zip(overrides.entries, overrides.lines, strict=True)
        if entry.ref is None and not any(entry.is_about(footprint) for footprint in board.footprints)
    )


def given_for(overrides: Overrides, footprint: Footprint) -> Mapping[str, Known[Any]]:
    """Return what the parts file says of a part, by the names of `Given`: patterns first, then references on top."""
    by_pattern = [entry for entry in overrides.entries if entry.is_about(footprint)]
    by_ref = [entry for entry in overrides.entries if entry.ref == footprint.ref]
    values: dict[str, Known[Any]] = {}
    for entry in (*by_pattern, *by_ref):
        source = f"parts file {Path(overrides.file).name}" + (f": {entry.source}" if entry.source else "")
        values.update(said(entry, source))
    return values


def said(statement: Statement, source: str) -> Mapping[str, Known[Any]]:
    """Return what a statement says by the names of `Given`."""
    names = (field.name for field in fields(Given))
    return {name: Known(value, source, "high") for name in names if (value := getattr(statement, name)) is not None}


def _refusal(error: ValidationError, file: str, text: str, starts: list[int]) -> InputError:
    """Word the first fault that pydantic found."""
    fault = error.errors()[0]
    where = fault["loc"]
    index = where[1] if len(where) > 1 and isinstance(where[1], int) else None
    key = next((str(part) for part in reversed(where) if isinstance(part, str)), "")
    start = starts[index] if index is not None and index < len(starts) else None
    place = Place(file, _line_of(key, text, start) or start)
    if index is None and key in PartEntry.model_fields:
        return InputError(f"{key!r} stands outside a [[part]]", do="put [[part]] on the line before it", place=place)
    if where == ("part",) and fault["type"] == "list_type":
        return InputError("there may be many parts", do="write [[part]] with two brackets a side", place=place)
    if fault["type"] == "extra_forbidden":
        known = PartsFile.model_fields if index is None else PartEntry.model_fields
        return InputError(f"unknown key {key!r}{nearest(key, known)}", do="correct or remove it", place=place)
    what = fault["msg"].removeprefix("Value error, ")
    named = key if key not in ("", "part") else "entry"
    return InputError(f"{named}: {what}", do="correct that entry", place=place)


def _starts(text: str) -> list[int]:
    """Return the lines on which the `[[part]]` tables begin, from 1."""
    return [line for line, words in enumerate(text.splitlines(), start=1) if HEADER.match(words)]


def _line_of(key: str, text: str, start: int | None) -> int | None:
    """Return the first line from `start` on that sets a key, within its table."""
    setting = re.compile(rf"^\s*\[{{0,2}}\s*[\"']?{re.escape(key)}[\"']?\s*[\]=]")
    lines = text.splitlines()
    for line in range(start or 0, len(lines)):
        if start is not None and HEADER.match(lines[line]):
            return None
        if key and setting.match(lines[line]):
            return line + 1
    return None


def _place(file: str, error: tomllib.TOMLDecodeError) -> Place:
    found = re.search(r"line (\d+)", str(error))
    return Place(file, int(found[1]) if found else None)


def nearest(word: str, known: Iterable[str]) -> str:
    """Return ", nearest ..." with the known words closest to one, "" where none is close."""
    near = difflib.get_close_matches(word, list(known), n=3, cutoff=0.5)
    return f", nearest {', '.join(near)}" if near else ""
