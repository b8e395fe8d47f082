"""How tall a part stands over the board.

Rungs: the parts file, a field of the footprint, a height stated in its name, its description, a size code, the outline
in its name, its 3D model, a guess by its name, the family.
"""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import lru_cache

from leeward.board.records import Footprint
from leeward.known import Known
from leeward.parts.described import height_in_description
from leeward.parts.families import Family, drawn_for_another_chip
from leeward.parts.lands import Lands
from leeward.parts.names import NamedHeight, height_in_name
from leeward.parts.size_codes import height_by_size_code

FIELD_NAMES = frozenset({"height", "h", "height_mm", "component height", "max height", "seated height"})
LENGTH = re.compile(r"^\s*(\d+(?:[.,]\d+)?)\s*(mm|in|inch|mil|mils|\")?\s*(?:max\.?)?\s*$", re.IGNORECASE)
UNITS_MM = {"mm": 1.0, "in": 25.4, "inch": 25.4, '"': 25.4, "mil": 0.0254, "mils": 0.0254}
AS_WIDE_MM = 0.1  # a model whose height and width differ less was drawn for want of a height
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
    """Return a part's height; `given_mm` is what the user says, `model_mm` how tall its own 3D model stands."""
    name = footprint.library_id.rpartition(":")[2]
    named = _of_the_part(height_in_name(name), family)
    standoff = family.standoff_mm if named is None or named.standoff_mm is None else named.standoff_mm
    sure, guess = _in_words(name, footprint.description, family, body_mm)
    rungs = (given_mm, height_in_fields(footprint.fields), sure, model_mm, guess)
    found = next((known for known in rungs if known is not None), family.height_mm.at(max(body_mm)))
    return Height(found, min(standoff, found.value / 2))


def model_of_its_own(
    model_mm: Known[float] | None, footprint: Footprint, family: Family, body_mm: tuple[float, float], lands: Lands
) -> Known[float] | None:
    """Return the height of a part's 3D model, None where the model is not its own.

    It is another's where a chip sits on a footprint drawn for a chip of another kind, and nobody's where it stands in
    for cans of any height, as tall as wide: KiCad's radial cans do.
    """
    if model_mm is None or drawn_for_another_chip(footprint.library_id, family, lands):
        return None
    stands_in = family.model_as_wide and abs(model_mm.value - max(body_mm)) < AS_WIDE_MM
    return None if stands_in else model_mm


@lru_cache(maxsize=10_000)  # a board holds the same part often
def _in_words(
    name: str, description: str, family: Family, body_mm: tuple[float, float]
) -> tuple[Known[float] | None, Known[float] | None]:
    """Return what name and description tell of the height for sure, and what they let one guess."""
    named = _of_the_part(height_in_name(name), family)
    by_name = _as_it_stands(named, family)
    by_description = _as_it_stands(height_in_description(description, body_mm, family.standoff_mm), family)
    by_code = height_by_size_code(name, body_mm) if family.size_codes else None
    stated = named is not None and named.stated
    words = (by_name, by_description, by_code) if stated else (by_description, by_code, by_name)
    told = [known for known in words if known is not None]
    sure = next((known for known in told if known.confidence != "low"), None)
    return sure, next((known for known in told if known.confidence == "low"), None)


def _of_the_part(named: NamedHeight | None, family: Family) -> NamedHeight | None:
    """Return the height in a name, none where it follows from the outline of the package that a socket takes."""
    return None if named is not None and family.lead_style == "socket" and not named.stated else named


def _as_it_stands(words: NamedHeight | None, family: Family) -> Known[float] | None:
    """Return the height that words give, believed little where it is that of a body that stands on leads."""
    if words is None or not words.of_body or family.lead_style != "through-hole":
        return None if words is None else words.height_mm
    source = f"{words.height_mm.source}; how high its leads hold it is not said"
    return replace(words.height_mm, source=source, confidence="low")


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
