"""How tall a part stands over the board.

Rungs: the parts file, a field of the footprint, a height stated in its name, its description, a size code, the outline
in its name, its 3D model, a guess by its name, the family.
"""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace

from leeward.board.records import Footprint
from leeward.known import Known
from leeward.parts.described import height_in_description
from leeward.parts.families import Family
from leeward.parts.names import NamedHeight, height_in_name
from leeward.parts.size_codes import height_by_size_code

FIELD_NAMES = frozenset({"height", "h", "height_mm", "component height", "max height", "seated height"})
LENGTH = re.compile(r"^\s*(\d+(?:[.,]\d+)?)\s*(mm|in|inch|mil|mils|\")?\s*(?:max\.?)?\s*$", re.IGNORECASE)
UNITS_MM = {"mm": 1.0, "in": 25.4, "inch": 25.4, '"': 25.4, "mil": 0.0254, "mils": 0.0254}
TALLEST_MM = 150.0  # a field that says more is no height


@dataclass(frozen=True, slots=True)
class Height:
    """The seated height, and the stand-off under the body that is part of it."""

    height_mm: Known[float]
    standoff_mm: float

    @property
    def thickness_mm(self) -> float:
        """The thickness of the body itself."""
        return max(self.height_mm.value - self.standoff_mm, 0.0)


def height(
    footprint: Footprint,
    family: Family,
    body_mm: tuple[float, float],
    given_mm: Known[float] | None,
    model_mm: Known[float] | None = None,
) -> Height:
    """Return a part's height; `given_mm` is what the user says, `model_mm` how tall its 3D model stands."""
    named = height_in_name(footprint.library_id.rpartition(":")[2])
    standoff = family.standoff_mm if named is None or named.standoff_mm is None else named.standoff_mm
    by_hand = given_mm or height_in_fields(footprint.fields)
    if by_hand is not None:
        return _height(by_hand, standoff)
    rungs = _rungs(footprint, family, body_mm, named, model_mm)
    found = next((known for known in rungs if known is not None), family.height_mm.at(max(body_mm)))
    return _height(found, standoff)


def _rungs(
    footprint: Footprint,
    family: Family,
    body_mm: tuple[float, float],
    named: NamedHeight | None,
    model_mm: Known[float] | None,
) -> Iterator[Known[float] | None]:
    """Yield what is known of the height, best first; what words make one guess comes after the model."""
    name = footprint.library_id.rpartition(":")[2]
    described = height_in_description(footprint.description, body_mm, family.standoff_mm)
    by_name, by_description = (_as_it_stands(words, family) for words in (named, described))
    if named is not None and named.stated:
        yield _if_sure(by_name)
    yield _if_sure(by_description)
    if family.size_codes:
        yield height_by_size_code(name, body_mm)
    yield _if_sure(by_name)
    yield from (model_mm, by_description, by_name)


def _as_it_stands(words: NamedHeight | None, family: Family) -> Known[float] | None:
    """Return the height that words give, believed little where it is that of a body that stands on leads."""
    if words is None or not words.of_body or family.lead_style != "through-hole":
        return None if words is None else words.height_mm
    source = f"{words.height_mm.source}; how high its leads hold it is not said"
    return replace(words.height_mm, source=source, confidence="low")


def _if_sure(known: Known[float] | None) -> Known[float] | None:
    return None if known is None or known.confidence == "low" else known


def height_in_fields(fields: Mapping[str, str]) -> Known[float] | None:
    """Return the height that a field of the footprint states, in mm unless it says otherwise."""
    for name, text in sorted(fields.items()):
        found = LENGTH.match(text) if name.strip().lower() in FIELD_NAMES else None
        if found is None:
            continue
        millimetres = float(found[1].replace(",", ".")) * UNITS_MM[(found[2] or "mm").lower()]
        if 0.0 < millimetres <= TALLEST_MM:
            return Known(millimetres, f"field {name} of the footprint", "high")
    return None


def _height(known: Known[float], standoff_mm: float) -> Height:
    return Height(known, min(standoff_mm, known.value / 2))
