"""Which resin a connector's housing is moulded of, where the footprint says it. The table is in `data/limits.toml`."""

import re
from collections.abc import Mapping
from functools import cache
from typing import Any

from leeward.board.records import Footprint
from leeward.constants import table
from leeward.known import Known

MATERIAL_FIELD = re.compile(
    r"^((housing|insulator|insulation|body|connector)[ _-]*)?(material|resin|plastic)$", re.IGNORECASE
)
WEB = re.compile(r"\bhttps?:\S*")


@cache
def resins() -> Mapping[str, Mapping[str, Any]]:
    """Return the rows of the table of resins by the resin's short name."""
    rows: Mapping[str, Mapping[str, Any]] = table("limits")["resin"]
    return rows


def resin_of(footprint: Footprint) -> Known[str] | None:
    """Return the resin that a field for the material names, else the description or the keywords; None without any.

    In running text only short names count that are no other word of the trade: PC and PET are not looked for there.
    """
    for name, text in sorted(footprint.fields.items()):
        if MATERIAL_FIELD.match(name.strip()) and (found := _named(text, in_running_text=False)) is not None:
            return Known(found, f"field {name} of the footprint", "high")
    for where, text in (("description", footprint.description), ("keywords", footprint.keywords)):
        if (found := _named(text, in_running_text=True)) is not None:
            return Known(found, f"{found} in the {where}", "medium")
    return None


@cache
def _named(text: str, *, in_running_text: bool) -> str | None:
    """Return the resin whose name stands first in a text, addresses left out."""
    words = WEB.sub("", text)
    hits = (
        (found.start(), resin)
        for resin, pattern in _patterns()
        if not (in_running_text and resins()[resin]["also_a_word"])
        if (found := pattern.search(words)) is not None
    )
    return min(hits, default=(0, None))[1]


@cache
def _patterns() -> tuple[tuple[str, re.Pattern[str]], ...]:
    return tuple((resin, re.compile(row["words"], re.IGNORECASE)) for resin, row in resins().items())
