"""Put a calibration into the text of a bench file, and leave the rest of it as the user wrote it."""

import tomlkit
from tomlkit.exceptions import TOMLKitError
from tomlkit.items import AoT, Array, InlineTable, Table

from leeward.bench.records import Calibration
from leeward.errors import InputError, Place

VALUE_DECIMALS, CORRELATION_DECIMALS = 5, 6
ABOUT = (
    "From `leeward calibrate`: factors on the model, one relative standard deviation each, and how they go together."
)


def with_calibration(text: str, calibration: Calibration, file: str) -> str:
    """Return the text of a bench file with a calibration in it, in place of an earlier one of the same nozzle.

    Raises InputError where the text cannot be taken apart.
    """
    try:
        document = tomlkit.parse(text)
    except TOMLKitError as error:
        raise InputError(f"not TOML: {error}", do="mend that line", place=Place(file)) from error
    held = document.get("calibrations")
    if not isinstance(held, AoT):
        earlier = list(held.unwrap()) if isinstance(held, Array) else []
        document.pop("calibrations", None)
        held = tomlkit.aot()
        for entry in earlier:
            held.append(tomlkit.item(entry))
        document.append("calibrations", held)
    for i in reversed([i for i, entry in enumerate(held) if entry.get("nozzle") == calibration.nozzle]):
        del held[i]
    held.append(_table(calibration))
    return tomlkit.dumps(document)


def _table(calibration: Calibration) -> Table:
    table = tomlkit.table()
    table.add(tomlkit.comment(ABOUT))
    table.add("nozzle", calibration.nozzle)
    table.add("date", calibration.date)
    table.add("logs", list(calibration.logs))
    table.add("board", calibration.board)
    table.add("misfit_c", round(calibration.misfit_c, 3))
    table.add("left_out", round(calibration.left_out, VALUE_DECIMALS))
    table.add("probe_lag_s", round(calibration.probe_lag_s, 3))
    table.add("shield_seen", calibration.shield_seen)
    table.add("factors", _lines([_factor(f.name, f.value, f.spread) for f in calibration.factors]))
    table.add("correlation", _lines([[round(r, CORRELATION_DECIMALS) for r in row] for row in calibration.correlation]))
    return table


def _factor(name: str, value: float, spread: float) -> InlineTable:
    entry = tomlkit.inline_table()
    entry.update({"name": name, "value": round(value, VALUE_DECIMALS), "spread": round(spread, VALUE_DECIMALS)})
    return entry


def _lines(entries: list[InlineTable] | list[list[float]]) -> Array:
    """Return an array with one entry on each line."""
    array = tomlkit.array()
    array.extend(entries)
    return array.multiline(multiline=True)
