"""Boxes of KiCad's own 3D models (Debian package kicad-packages3d 6.0.10), and the parts that they stand for.

A box is ((least x, y, z), (greatest x, y, z)) in mm over the board, keyed by "library/model". Some defaults of the
family table were set from the boxes of the models whose key has an even SHA-256; the others are held out, and heights
are judged on those alone. `tests/data/model_boxes.json` holds a sample of these, chosen by the rule of `sampled`.
"""

import gzip
import hashlib
import json
import re
import tempfile
from functools import cache
from pathlib import Path
from typing import TypeAlias

from leeward.parts.identify import identify
from leeward.parts.records import Part
from needs import kicad_footprints, outside_board
from parts.library import footprints_as_board

Point: TypeAlias = tuple[float, float, float]
ModelBox: TypeAlias = tuple[Point, Point]

SAMPLE = Path(__file__).parents[1] / "data" / "model_boxes.json"
# The libraries on which heights are judged. Models of leaded packages and capacitors are left out: many are stand-ins
# (all radial capacitors are as tall as wide, all dual in-line bodies stand on the board).
PACKAGES = re.compile(
    r"Package_(BGA|CSP|DFN|DirectFET|LCC|LGA|QFP|SO|SON|TO_SOT_SMD)|(Resistor|Capacitor|Inductor|Diode|LED)_.*SMD|Crystal"
)
CONNECTORS = re.compile(r"Connector|TerminalBlock|Battery")


def is_held_out(key: str) -> bool:
    """Say whether nothing in the family table was set from this model."""
    return hashlib.sha256(key.encode()).digest()[-1] % 2 == 1


def sampled(boxes: dict[str, ModelBox]) -> dict[str, ModelBox]:
    """Return the committed sample of the held-out models: every second package, every fifth connector, by key."""
    held_out = [key for key in sorted(boxes) if is_held_out(key)]
    packages = [key for key in held_out if PACKAGES.match(key)]
    connectors = [key for key in held_out if CONNECTORS.match(key)]
    return {key: boxes[key] for key in sorted([*packages[::2], *connectors[::5]])}


def sample_boxes() -> dict[str, ModelBox]:
    """Return the boxes of the committed sample."""
    return _checked(json.loads(SAMPLE.read_text(encoding="utf-8"))["boxes"])


@cache
def outside_boxes() -> dict[str, ModelBox]:
    """Return the boxes of half of all models, from the directory that LEEWARD_BOARDS names."""
    return _checked(json.loads(gzip.decompress(outside_board("models.json.gz").read_bytes())))


@cache
def parts_with_models(*, sample: bool) -> tuple[tuple[str, Part], ...]:
    """Return key and part of every footprint of KiCad's library whose model's box is known; heights without models."""
    boxes = sample_boxes() if sample else outside_boxes()
    directories = {key.partition("/")[0] for key in boxes}
    with tempfile.TemporaryDirectory() as directory:
        files = [file for name in directories for file in (kicad_footprints() / f"{name}.pretty").glob("*.kicad_mod")]
        stems = {key.partition("/")[2] for key in boxes}
        board = footprints_as_board(
            files, Path(directory), lambda text: any(stem in stems for stem in _models_named(text))
        )
    parts = [part for part in identify(board).by_id.values() if not part.body.is_empty]
    return tuple((key, part) for part in parts if (key := model_key(part)) in boxes and key is not None)


def model_key(part: Part) -> str | None:
    """Return "library/model" of the first 3D model of a part, None where it has none."""
    path = part.footprint.models[0].path if part.footprint.models else ""
    directory, _, name = path.partition(".3dshapes/")
    return f"{directory.rpartition('/')[2]}/{name.rpartition('.')[0]}" if name else None


def _models_named(text: str) -> list[str]:
    return [piece.partition(".wrl")[0] for piece in text.split(".3dshapes/")[1:]]


def _checked(boxes: dict[str, list[list[float]]]) -> dict[str, ModelBox]:
    return {key: ((least[0], least[1], least[2]), (most[0], most[1], most[2])) for key, (least, most) in boxes.items()}
