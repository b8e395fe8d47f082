"""The kinds of findings by their stable ids, from the data file `findings`."""

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache

from leeward.constants import table


@dataclass(frozen=True, slots=True)
class Rule:
    """One kind of finding."""

    id: str
    title: str
    why: str
    do: str  # in the layout
    source: str
    needs_heat: bool  # only the computed heat can tell


@cache
def rules() -> Mapping[str, Rule]:
    """Return every kind of finding by id."""
    return {name: Rule(name, **entry) for name, entry in table("findings")["finding"].items()}
