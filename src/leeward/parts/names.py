"""What a footprint's name says about size: KiCad's name grammar (KLC F2 and F3), IPC-7351 names, chip codes.

Old and free-text names are read as far as they go; a name that says nothing gives an empty reading.
"""

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache
from typing import Any

from leeward.constants import constant, table
from leeward.known import Known

BODY = re.compile(r"(?<![A-Za-z0-9.])B?(\d+(?:\.\d+)?)x(\d+(?:\.\d+)?)(?:x(\d+(?:\.\d+)?))?mm", re.IGNORECASE)
HEIGHT = re.compile(
    r"(?:^|_)(?!W\d)[^_]+_H(\d+(?:\.\d+)?)(?:mm)?(?=_|$)"
)  # width and height name a face of leaded parts
CAN = re.compile(r"^CP?_Elec_(\d+(?:\.\d+)?)x(\d+(?:\.\d+)?)", re.IGNORECASE)
EIA = re.compile(r"EIA-?(\d\d)(\d\d)-(?:(\d\d)|(\d{3}))(?!\d)", re.IGNORECASE)
LYING = re.compile(r"^(?!.*Vertical)(?:.*Axial|.*_DO-|.*_SOD).*_D(\d+(?:\.\d+)?)mm", re.IGNORECASE)
METRIC = re.compile(r"_\d{4,5}_(\d{4,5})Metric", re.IGNORECASE)
CODE = re.compile(r"(?<!\d)(\d{4,5})(?![\d.]|x\d)", re.IGNORECASE)
IPC_LEADED = re.compile(r"^[A-Z]*(?:SO[A-Z]*|QF[PN]|[SD]ON|DFN|LCC)\d*P\d+X(?:\d+X)?(\d+)-\d", re.IGNORECASE)
IPC_NO_LEAD = re.compile(r"^[A-Z]*(?:QFN|SON|DFN)\d*P(\d+)X(\d+)X\d+-\d", re.IGNORECASE)
IPC_CHIP = re.compile(r"^(?:RES|CAP|IND|LED|DIO|FUS)[CM]P?(\d\d)(\d\d)X(\d+)", re.IGNORECASE)
LETTER = re.compile(r"(?:^|[_-])H?([LTVWUX])(?:F|H|S|DR)*(?:QFP|QFN|SOP|SON|BGA|LGA|DFN)", re.IGNORECASE)

# Where a name states a height: the pattern, its group, and how many of its units make a millimetre.
STATED_HEIGHTS = (
    (BODY, 3, 1),
    (HEIGHT, 1, 1),
    (CAN, 2, 1),
    (LYING, 1, 1),
    (EIA, 3, 10),
    (EIA, 4, 100),
    (IPC_LEADED, 1, 100),
    (IPC_CHIP, 3, 100),
)


OUTLINE = "outline in the name"


@dataclass(frozen=True, slots=True)
class NamedBody:
    """A body's size as the name gives it, and by which part of the grammar."""

    size_mm: tuple[float, float]
    by: str
    orientated: bool  # along x and y as written; otherwise the longer side comes first

    @property
    def by_size(self) -> bool:
        """Whether the name states the size itself, not an outline that has it."""
        return self.by != OUTLINE


@dataclass(frozen=True, slots=True)
class NamedHeight:
    """A seated height in words, with how much of it is stand-off where they tell that too."""

    height_mm: Known[float]
    standoff_mm: float | None = None
    stated: bool = False  # outright, not by other sizes or by the outline
    of_body: bool = False  # the thickness of the body, which leads may hold up


@cache
def body_in_name(name: str, land_length_mm: float) -> NamedBody | None:
    """Return the body that a footprint's name gives, None where it gives none.

    `land_length_mm` is the longer side of the box round the lands; it decides between inch and metric chip
    codes.
    """
    if sizes := BODY.search(name):
        return NamedBody((float(sizes[1]), float(sizes[2])), "size in the name", orientated=True)
    if can := CAN.search(name):
        base = float(can[1]) + 0.3  # the base of cans up to 10 mm is so much wider, measured on KiCad's library
        return NamedBody((base, base), "can in the name", orientated=True)
    if eia := EIA.search(name):
        return NamedBody((int(eia[1]) / 10, int(eia[2]) / 10), "EIA case in the name", orientated=False)
    if ipc := IPC_NO_LEAD.match(name):
        return NamedBody((int(ipc[1]) / 100, int(ipc[2]) / 100), "IPC-7351 name", orientated=True)
    if chip := IPC_CHIP.match(name):
        return NamedBody((int(chip[1]) / 10, int(chip[2]) / 10), "IPC-7351 name", orientated=False)
    return _outline_in_name(name) or _chip_in_name(name, land_length_mm)


@cache
def height_in_name(name: str) -> NamedHeight | None:
    """Return the seated height that a footprint's name gives, None where it gives none."""
    if (millimetres := _stated_height(name)) is not None:
        by_size = BODY.search(name)
        of_body = by_size is not None and bool(by_size[3])
        return NamedHeight(_with_thread(name, millimetres), stated=True, of_body=of_body)
    if (known := _height_by_size(name)) is not None:
        return NamedHeight(known)
    for row in _named_rows("heights", "named_heights", "heights"):
        if row["name"].search(name):
            known = Known(float(row["height_mm"]), row["source"], row["confidence"])
            return NamedHeight(known, float(row["standoff_mm"]))
    if letter := LETTER.search(name):
        letters = table("heights")["height_letter"]
        height = float(letters[letter[1].upper()])
        return NamedHeight(Known(height, letters["source"], letters["confidence"]))
    return None


def _height_by_size(name: str) -> Known[float] | None:
    """Return the height that follows from other sizes in the name."""
    for row in _named_rows("heights", "heights_by_size", "rows"):
        if found := row["name"].search(name):
            lengths = zip(row["shares"], found.groups(), strict=True)
            height = row["plus_mm"] + sum(share * float(length) for share, length in lengths)
            return Known(round(height, 3), row["source"], row["confidence"])
    return None


def _with_thread(name: str, stated_mm: float) -> Known[float]:
    if "external" not in name.lower():
        return Known(stated_mm, f"height in the name {name}", "high")
    thread = constant("heights", "external_thread_mm")
    return Known(stated_mm + thread.value, f"height in the name and the thread over it; {thread.source}", "medium")


def _stated_height(name: str) -> float | None:
    for pattern, group, per_mm in STATED_HEIGHTS:
        if (found := pattern.search(name)) and found[group]:
            return float(found[group]) / per_mm
    return None


def _outline_in_name(name: str) -> NamedBody | None:
    for row in _named_rows("families", "named_outlines", "sizes"):
        if row["name"].search(name):
            length, width = row["body_mm"]
            return NamedBody((float(length), float(width)), OUTLINE, orientated=False)
    return None


def _chip_in_name(name: str, land_length_mm: float) -> NamedBody | None:
    sizes = table("families")["chip_size"]
    if metric := METRIC.search(name):
        if size := sizes["metric"].get(metric[1].lstrip("0").zfill(4)):
            return NamedBody((size[0], size[1]), "chip code in the name", orientated=False)
        return None
    candidates = [
        tuple(size)
        for code in CODE.findall(name)
        for system in ("inch", "metric")
        if (size := sizes[system].get(code)) is not None
    ]
    return _nearest(candidates, land_length_mm)


def has_chip_code(name: str) -> bool:
    """Say whether a name holds the code of a chip's size, in inch or metric."""
    sizes = table("families")["chip_size"]
    return any(code in sizes[system] for code in CODE.findall(name) for system in ("inch", "metric"))


def _nearest(candidates: Iterable[tuple[float, float]], land_length_mm: float) -> NamedBody | None:
    """Return the chip whose lands, reaching some 0.4 mm beyond it, would be as long as the given ones."""
    overhang = 2 * float(table("families")["land_overhang_mm"]["end-cap"]["value"])
    fitting = [size for size in candidates if -0.3 <= land_length_mm - max(size) <= 2.5]
    if not fitting:
        return None
    best = min(fitting, key=lambda size: (abs(land_length_mm - overhang - max(size)), size))
    return NamedBody(best, "chip code in the name", orientated=False)


@cache
def _named_rows(file: str, section: str, rows: str) -> tuple[Mapping[str, Any], ...]:
    return tuple({**row, "name": re.compile(row["name"], re.IGNORECASE)} for row in table(file)[section][rows])
