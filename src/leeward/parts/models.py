"""How tall a part's 3D models stand: files found, read, put in their place, and weighed against the footprint.

A footprint refers to VRML or STEP files, mostly in a folder that KiCad keeps in a variable. What is not found is no
fault; what is found and cannot be read, or does not look like the part, is noted and left aside.
"""

import gzip
import math
import re
import zlib
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path, PurePosixPath

import numpy as np
import shapely
from numpy.typing import NDArray

from leeward.board.records import Board, Footprint, Model3d
from leeward.known import Confidence, Known
from leeward.parts.frame import Box, box_in_part_frame, centre, size
from leeward.parts.height import TALLEST_MM, height_in_fields
from leeward.parts.names import height_in_name
from leeward.parts.order import natural_key
from leeward.parts.step import step_points
from leeward.parts.vrml import vrml_points

Points = NDArray[np.float64]  # (n, 3) float, mm, z up

LIBRARY_VARIABLE = re.compile(r"KICAD\d*_3DMODEL_DIR|KISYS3DMOD")
PROJECT_VARIABLE = "KIPRJMOD"
REFERENCE = re.compile(r"\$[{(](\w+)[})]/*")
ALIAS = re.compile(r"^:[^:]*:/*")  # KiCad 5 named folders so
GZIP = b"\x1f\x8b"
READERS = {".wrl": vrml_points, ".step": step_points, ".stp": step_points}
PACKED = {".wrz": ".wrl", ".stpz": ".step"}  # by gzip
ENDINGS = (".wrl", ".step", ".stp", ".wrz", ".stpZ")  # KiCad takes one form of a model for another
MOST_BYTES = 40_000_000

# The diagonal of a model's box in plan over that of the courtyard, and how far their middles lie apart in parts of
# that diagonal. Of 3124 models in their unmoved place (kicad-packages3d 6.0.10 over kicad-footprints 6.0.11) 99 in 100
# have a ratio of 0.51 to 1.00, all but two are within 0.26 to 1.6, and 999 in 1000 are less than 0.13 apart.
LIKELY_RATIO = (0.45, 1.25)
POSSIBLE_RATIO = (0.2, 2.0)
LIKELY_APART = 0.25


@dataclass(frozen=True, slots=True)
class ModelFolders:
    """Where 3D models are looked for."""

    given: tuple[str, ...] = ()  # by the user, asked first
    variables: Mapping[str, str] = field(default_factory=dict)  # KiCad's library folders by variable


@dataclass(frozen=True, slots=True)
class ModelTops:
    """Heights over the board by the id of the footprint, and what was found amiss, in words."""

    by_id: Mapping[str, Known[float]] = field(default_factory=dict)
    notes: tuple[str, ...] = ()


@dataclass(slots=True)
class _Reading:
    """What has been read so far; a file is read once, however many parts refer to it."""

    folders: ModelFolders
    project: Path
    files: dict[Path, Points | str] = field(default_factory=dict)  # points, or why there are none
    missing: set[str] = field(default_factory=set)
    odd: dict[str, list[str]] = field(default_factory=dict)  # references by the model that does not look like the part


NO_MODELS = ModelTops()


def model_folders(given: Sequence[str], environment: Mapping[str, str]) -> ModelFolders:
    """Return the folders that the user gives and those of the environment: KICAD6_3DMODEL_DIR and the like."""
    found = {name: folder for name, folder in environment.items() if folder and LIBRARY_VARIABLE.fullmatch(name)}
    newest_first = sorted(found, key=natural_key, reverse=True)
    return ModelFolders(tuple(given), {name: found[name] for name in newest_first})


def read_models(board: Board, folders: ModelFolders) -> ModelTops:
    """Return how tall the models stand of all parts whose height no field and no name tells for sure."""
    reading = _Reading(folders, Path(board.file).parent)
    tops = {footprint.id: _top(footprint, reading) for footprint in board.footprints if _is_open(footprint)}
    return ModelTops({part: top for part, top in tops.items() if top is not None}, tuple(_notes(reading)))


def placed(points: Points, model: Model3d) -> Points:
    """Return (n, 3) float, mm: points of a model in the footprint's frame with y up.

    KiCad scales, then turns by the negative angles about x, y and z, then moves (its 3D viewer, from memory).
    """
    about_x, about_y, about_z = (-math.radians(angle) for angle in model.rotation_deg)
    turned = _turned(_turned(_turned(points * np.array(model.scale), 0, about_x), 1, about_y), 2, about_z)
    moved: Points = turned + np.array(model.offset_mm)
    return moved


def _turned(points: Points, axis: int, angle: float) -> Points:
    """Turn points about one axis, counter-clockwise seen against it."""
    one, other = (axis + 1) % 3, (axis + 2) % 3
    turned = points.copy()
    turned[:, one] = math.cos(angle) * points[:, one] - math.sin(angle) * points[:, other]
    turned[:, other] = math.sin(angle) * points[:, one] + math.cos(angle) * points[:, other]
    return turned


def _is_open(footprint: Footprint) -> bool:
    """Say whether a model is worth reading: it comes after fields and what the name says for sure."""
    named = height_in_name(footprint.library_id.rpartition(":")[2])
    known = named is not None and named.height_mm.confidence != "low"
    stated = known or height_in_fields(footprint.fields) is not None
    return bool(footprint.models and footprint.pads and footprint.fitted and not stated)


def _top(footprint: Footprint, reading: _Reading) -> Known[float] | None:
    """Return how tall the models of one footprint stand, None where none can be read or they do not look like it."""
    read = [(model, file) for model in footprint.models if (file := _file(model.path, reading)) is not None]
    whole = [(model, file, points) for model, file in read if not isinstance(points := reading.files[file], str)]
    if not whole:
        return None
    corners = np.concatenate([placed(points, model) for model, _, points in whole])
    least, greatest = corners.min(axis=0).tolist(), corners.max(axis=0).tolist()
    plan: Box = (least[0], -greatest[1], greatest[0], -least[1])  # y down, as the part's frame has it
    files = {file for _, file, _ in whole}
    names = ", ".join(sorted(file.name for file in files))
    sure = _likeness(plan, footprint) if 0.0 < greatest[2] <= TALLEST_MM else "low"
    if sure == "low":
        reading.odd.setdefault(names, []).append(footprint.ref)
        return None
    all_of_them = len(whole) == len(footprint.models)
    return Known(greatest[2], f"3D model {names}{_by_corners(files)}", sure if all_of_them else "medium")


def _by_corners(files: Iterable[Path]) -> str:
    exact = all(_form(file) == ".wrl" for file in files)
    return "" if exact else " (box of its vertices and circles)"


def _likeness(plan: Box, footprint: Footprint) -> Confidence:
    """Return how much a model's box in plan looks like the part that the footprint is drawn for."""
    drawn = footprint.courtyard
    if drawn is None or drawn.is_empty:
        drawn = shapely.union_all([pad.copper for pad in footprint.pads])
    if drawn.is_empty:
        return "low"
    own = box_in_part_frame(drawn, footprint)
    diagonal = math.hypot(*size(own))
    ratio = math.hypot(*size(plan)) / diagonal
    apart = math.dist(centre(plan), centre(own)) / diagonal
    if LIKELY_RATIO[0] <= ratio <= LIKELY_RATIO[1] and apart <= LIKELY_APART:
        return "high"
    return "medium" if POSSIBLE_RATIO[0] <= ratio <= POSSIBLE_RATIO[1] and apart <= 1.0 else "low"


def _file(path: str, reading: _Reading) -> Path | None:
    """Return the file of a reference, read; None where there is none."""
    for candidate in _candidates(path, reading):
        if candidate in reading.files:
            return candidate
        if _exists(candidate):
            reading.files[candidate] = _read(candidate)
            return candidate
    reading.missing.add(path)
    return None


def _exists(file: Path) -> bool:
    try:
        return file.is_file()
    except OSError:  # a name too long to be one, a folder that may not be entered
        return False


def _candidates(path: str, reading: _Reading) -> Iterator[Path]:
    """Yield where a model may lie: under each folder, in its own form, then in the others."""
    if not path or "\0" in path:
        return
    wanted = PurePosixPath(path.replace("\\", "/"))
    for folder, rest in _places(str(wanted), reading):
        yield folder / rest
        yield from (folder / rest.with_suffix(ending) for ending in ENDINGS if rest.suffix != ending)


def _places(path: str, reading: _Reading) -> Iterator[tuple[Path, PurePosixPath]]:
    """Yield the folders that the beginning of a reference stands for, with what follows it."""
    library = (*reading.folders.given, *reading.folders.variables.values())
    variable = REFERENCE.match(path)
    if variable is None:
        rest = PurePosixPath(ALIAS.sub("", path))
        yield from ((Path(folder), rest) for folder in (*library, str(reading.project)) if rest.name)
        return
    rest, name = PurePosixPath(path[variable.end() :]), variable[1]
    if not rest.name:
        return
    if name == PROJECT_VARIABLE:
        yield reading.project, rest
    elif LIBRARY_VARIABLE.fullmatch(name):
        own = reading.folders.variables.get(name)
        ordered = (*reading.folders.given, *([own] if own else []), *reading.folders.variables.values())
        yield from ((Path(folder), rest) for folder in ordered)


def _form(file: Path) -> str:
    ending = file.suffix.lower()
    return PACKED.get(ending, ending)


def _read(file: Path) -> Points | str:
    """Return the corner points of a model, or why they cannot be told."""
    reader = READERS.get(_form(file))
    if reader is None:
        return f"no model is read from files that end in {file.suffix or 'nothing'}"
    try:
        data = _bytes(file)
        if len(data) > MOST_BYTES:
            return f"it holds more than {MOST_BYTES // 1_000_000} MB"
        points = reader(data.decode("utf-8", errors="replace"))  # only ASCII matters; old files hold Latin names
    except (OSError, EOFError, zlib.error) as error:
        return f"it cannot be opened ({error})"
    except ValueError as error:
        return str(error)
    if not len(points):
        return "it holds no shape"
    return points if np.isfinite(points).all() else "a coordinate is no number"


def _bytes(file: Path) -> bytes:
    """Return a file's content, unpacked, no more than one byte over the limit."""
    with file.open("rb") as plain:
        packed = plain.read(2) == GZIP
        plain.seek(0)
        if not packed:
            return plain.read(MOST_BYTES + 1)
        with gzip.open(plain) as unpacked:
            return unpacked.read(MOST_BYTES + 1)


def _notes(reading: _Reading) -> Iterator[str]:
    """Yield what a user can mend, in words."""
    for folder in reading.folders.given:
        if not Path(folder).is_dir():
            yield f"no folder {folder} to look for 3D models in"
    for file, points in sorted(reading.files.items()):
        if isinstance(points, str):
            yield f"3D model {file.name} is left aside: {points}"
    for names, refs in sorted(reading.odd.items()):
        yield f"3D model {names} is left aside: it does not look like {', '.join(sorted(refs, key=natural_key)[:5])}"
    if reading.missing and (reading.folders.given or reading.folders.variables):
        yield f"{len(reading.missing)} 3D model(s) not found in the folders, {min(reading.missing)} among them"
