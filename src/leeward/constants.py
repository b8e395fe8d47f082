"""Read the project's numbers from the TOML files in `leeward/data`.

An entry is a table with `value`, `unit`, `source` and `confidence`; a file may hold other tables beside them.
"""

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any

from leeward.known import Known


@cache
def table(name: str) -> dict[str, Any]:
    """Return the data file `name` (without its ending) as nested tables."""
    return tomllib.loads(files("leeward.data").joinpath(f"{name}.toml").read_text(encoding="utf-8"))


def constant(name: str, *path: str) -> Known[Any]:
    """Return the entry at `path` of a data file, for example `constant("materials", "solder", "conductivity_w_mk")`."""
    entry: Any = table(name)
    for key in path:
        entry = entry[key]
    return Known(entry["value"], entry["source"], entry["confidence"])


@cache
def number(name: str, *path: str) -> float:
    """Return the value of a numeric entry."""
    return float(constant(name, *path).value)
