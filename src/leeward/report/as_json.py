"""Documents as plain dictionaries and lists: fixed decimals, null for what is no number, never -0.

A figure's decimals follow from the unit at the end of its name: `gap_mm` 4, `peak_c` 1, `probability_over` 3.
"""

import json
import math
from collections.abc import Mapping, Sequence
from dataclasses import fields, is_dataclass
from typing import Any

UNITS: Mapping[str, int] = {
    "c_s": 2,
    "l_min": 2,
    "mm": 4,
    "mm2": 4,
    "deg": 3,
    "mg": 3,
    "c": 1,
    "s": 1,
    "j": 1,
    "n": 5,
}
NAMES: Mapping[str, int] = {"polygon": 4, "polygons": 4, "imbalance": 5}
SHARES = 3  # probabilities, ratios and other bare numbers


def decimals(name: str) -> int | None:
    """Return the decimals of a figure by its name, None where the name tells none."""
    if name in NAMES:
        return NAMES[name]
    words = name.split("_")
    if words[0] == "seconds":
        return UNITS["s"]
    if words[0] in ("probability", "share"):
        return SHARES
    return UNITS.get("_".join(words[-2:]), UNITS.get(words[-1]))


def plain(document: object) -> Any:  # noqa: ANN401  # what JSON holds: dictionaries, lists, texts, numbers
    """Return a document, or anything in one, as what JSON can hold. Raises TypeError for what is no document."""
    return _plain(document, SHARES)


def to_json(document: object) -> str:
    """Return a document as JSON text that ends in a line break; the same document gives the same text."""
    return json.dumps(plain(document), ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def _plain(thing: object, places: int) -> object:
    if thing is None or isinstance(thing, (bool, str, int)):
        return thing
    if isinstance(thing, float):
        return rounded(thing, places)
    if is_dataclass(thing):
        named = ((field.name, getattr(thing, field.name)) for field in fields(thing))
        return {name: _plain(value, _places(name, SHARES)) for name, value in named}
    if isinstance(thing, Mapping):
        return {str(name): _plain(value, _places(str(name), places)) for name, value in thing.items()}
    if isinstance(thing, Sequence):
        return [_plain(entry, places) for entry in thing]
    raise TypeError(f"{type(thing).__name__} has no place in a document")


def _places(name: str, otherwise: int) -> int:
    """Return a figure's decimals by its own name, or those of what holds it (a layer's name tells no unit)."""
    own = decimals(name)
    return otherwise if own is None else own


def rounded(figure: float, places: int) -> float | None:
    """Return a figure with fixed decimals, None where it is no finite number, 0 for -0."""
    if not math.isfinite(figure):
        return None
    return round(float(figure), places) + 0.0  # adding 0 turns -0 into 0
