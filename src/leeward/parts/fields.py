"""What the fields of a footprint say of a part: `Leeward.height_mm`, `Leeward.limit_c`, `Leeward.msl` and so on.

A field of that kind takes any key of a parts file but `body_mm`, and is checked as strictly. A plain field `MSL` is
taken where it states a level; what else stands there is nobody's fault and leaves the level unknown.
"""

from collections.abc import Mapping
from typing import Any

from pydantic import ValidationError

from leeward.board.records import Footprint
from leeward.errors import InputError, Place
from leeward.known import Known
from leeward.parts.moisture import msl_in_text
from leeward.parts.overrides import Statement, nearest, said

OWN = "leeward."
PLAIN_MSL = frozenset({"msl", "moisture sensitivity level", "moisture level"})
KEYS = tuple(name for name in Statement.model_fields if name not in ("body_mm", "source"))


def given_in_fields(footprint: Footprint, file: str) -> Mapping[str, Known[Any]]:
    """Return what the fields say, by the names of `Given`.

    Raises InputError, with the line in `file` where the part begins, for an unknown key or an impossible value.
    """
    found: dict[str, Known[Any]] = {}
    for name, text in sorted(footprint.fields.items()):
        word = name.strip().lower()
        if word in PLAIN_MSL and (level := msl_in_text(text)) is not None:
            found.setdefault("msl", Known(level, f"field {name} of the footprint", "high"))
        elif word.startswith(OWN) and text.strip():
            found.update(_own(footprint, file, name, text.strip()))
    return found


def _own(footprint: Footprint, file: str, name: str, text: str) -> Mapping[str, Known[Any]]:
    key = name.strip().lower().removeprefix(OWN)
    place = Place(file, footprint.line)
    if key not in KEYS:
        what = f"{footprint.ref}: unknown field {name!r}{nearest(key, KEYS)}"
        raise InputError(what, do="correct or remove the field", place=place)
    try:
        statement = Statement.model_validate_strings({key: text}, strict=False)
    except ValidationError as error:
        what = error.errors()[0]["msg"].removeprefix("Value error, ")
        raise InputError(f"{footprint.ref}: field {name} {text!r}: {what}", do="correct it", place=place) from error
    return said(statement, f"field {name} of the footprint")
