"""Read a bench file, or the default one that ships with the package."""

import tomllib
from difflib import get_close_matches
from importlib.resources import files
from pathlib import Path

from pydantic import TypeAdapter, ValidationError

from leeward.bench.records import Bench
from leeward.errors import InputError, Place

_BENCH = TypeAdapter(Bench)
DEFAULT_NAME = "default bench"
UNKNOWN_KEY = ("unexpected_keyword_argument", "extra_forbidden")


def default_text() -> str:
    """Return the default bench file as text."""
    return files("leeward.data").joinpath("bench.toml").read_text(encoding="utf-8")


def read_bench(path: str | None = None) -> Bench:
    """Return the bench of a file, the default bench without one. Raises InputError."""
    return parse(text_of(path), DEFAULT_NAME if path is None else path)


def text_of(path: str | None) -> str:
    """Return the text of a bench file, of the default one without a path. Raises InputError."""
    if path is None:
        return default_text()
    try:
        return Path(path).read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        reason = error.strerror if isinstance(error, OSError) else "it is not UTF-8 text"
        raise InputError(f"cannot read the bench file: {reason}", do="check the path", place=Place(path)) from error


def parse(text: str, name: str) -> Bench:
    """Return the bench that a TOML text says. Raises InputError naming the entry that is wrong."""
    try:
        bench = _BENCH.validate_python(tomllib.loads(text), strict=False)
    except tomllib.TOMLDecodeError as error:
        raise InputError(f"not TOML: {error}", do="mend that line", place=Place(name)) from error
    except ValidationError as error:
        raise InputError(_first_fault(error), do="mend that entry", place=Place(name)) from error
    for kind, ids in (("nozzles", [n.id for n in bench.nozzles]), ("cups", [cup.id for cup in bench.cups])):
        repeated = sorted({one for one in ids if ids.count(one) > 1})
        if repeated:
            raise InputError(f"two {kind} are named {repeated[0]}", do="name them apart", place=Place(name))
    _check_calibrations(bench, name)
    return bench


def _check_calibrations(bench: Bench, name: str) -> None:
    """Raise InputError where a calibration is of no nozzle of the bench, or a nozzle has two."""
    nozzles = [entry.nozzle for entry in bench.calibrations]
    for nozzle in nozzles:
        if all(other.id != nozzle for other in bench.nozzles):
            raise InputError(
                f"a calibration is of {nozzle}, which is no nozzle of this bench",
                do="take it out, or name the nozzle as it is called now",
                place=Place(name),
            )
        if nozzles.count(nozzle) > 1:
            raise InputError(f"{nozzle} has two calibrations", do="keep the newer one", place=Place(name))


def _first_fault(error: ValidationError) -> str:
    faults = sorted(error.errors(), key=lambda fault: fault["type"] not in UNKNOWN_KEY)
    fault = faults[0]
    where = ".".join(str(step) for step in fault["loc"])
    if fault["type"] in UNKNOWN_KEY:
        return f"unknown key {where}{_suggestion(str(fault['loc'][-1]))}"
    told = fault["msg"].removeprefix("Value error, ")
    return f"{where}: {told[0].lower()}{told[1:]}"


def _suggestion(key: str) -> str:
    near = get_close_matches(key, _known_keys(), n=1)
    return f" (nearest known key: {near[0]})" if near else ""


def _known_keys() -> list[str]:
    schema = _BENCH.json_schema()
    records = [schema, *schema.get("$defs", {}).values()]
    return sorted({key for record in records for key in record.get("properties", {})})
