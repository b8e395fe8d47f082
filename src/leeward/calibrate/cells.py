"""What one cell of a log says: a number with a point or a comma, a clock time, a unit."""

import math
import re

CLOCK = re.compile(r"(?<![\d.,:])(?:(\d{1,3}):)?(\d{1,3}):(\d{2}(?:[.,]\d+)?)(?:\s*([AaPp])\.?[Mm])?")
FIGURE = re.compile(r"([+-]?(?:\d+[.,]?\d*|[.,]\d+)(?:[eE][+-]?\d+)?)\s*°?\s*([CFK]?)")
IN_NAME = re.compile(r"^(.*?)[\s_]*[\[({]\s*([^\])}]*?)\s*[\])}]$")
DAY_S = 86_400.0
SECONDS = {"s": 1.0, "sec": 1.0, "secs": 1.0, "second": 1.0, "seconds": 1.0, "ms": 1e-3, "msec": 1e-3,
           "millisecond": 1e-3, "milliseconds": 1e-3, "min": 60.0, "minutes": 60.0, "h": 3600.0,
           "hours": 3600.0}  # fmt: skip
DEGREES = {"c": "C", "degc": "C", "celsius": "C", "f": "F", "degf": "F", "fahrenheit": "F", "k": "K", "kelvin": "K"}
CLOCKS = ("hh:mm:ss", "h:m:s", "h:mm:ss", "mm:ss", "hh:mm:ss.fff", "hh:mm:ss.ms")


def figure(cell: str) -> float:
    """Return the number that a cell says, NaN where it says none; a comma may stand for the point, a unit behind."""
    try:
        found = float(cell)
    except ValueError:
        match = FIGURE.fullmatch(cell.strip())
        found = float(match[1].replace(",", ".")) if match else math.nan
    return found if math.isfinite(found) else math.nan


def clock_s(cell: str) -> float:
    """Return the seconds that a clock time in a cell stands for (a date before it is passed over), NaN without one.

    Of two groups of digits the last is taken as seconds: a run lasts minutes.
    """
    match = CLOCK.search(cell)
    if match is None:
        return math.nan
    hours = int(match[1] or 0)
    if match[4]:
        hours = hours % 12 + (12 if match[4] in "Pp" else 0)
    return hours * 3600.0 + int(match[2]) * 60.0 + float(match[3].replace(",", "."))


def degrees(cell: str) -> str:
    """Return C, F or K where a cell's number carries it, else ""."""
    match = FIGURE.fullmatch(cell.strip())
    return match[2] if match else ""


def named(heading: str) -> tuple[str, str]:
    """Return name and unit of a heading: `T1 [C]`, `T1 (C)`, `T1`."""
    match = IN_NAME.match(heading.strip())
    return (match[1].strip(), match[2]) if match and unit(match[2]) and match[1].strip() else (heading.strip(), "")


def unit(text: str) -> str:
    """Return the unit that a text is: C, F, K, a key of SECONDS, `clock`; "" where it is none."""
    plain = text.strip().strip("[](){}").replace("°", "").replace("º", "").replace(" ", "").casefold()
    if plain in DEGREES:
        return DEGREES[plain]
    if plain in CLOCKS:
        return "clock"
    return plain if plain in SECONDS else ""


def celsius(values: float, of: str) -> float:
    """Return a temperature in C from one in C, F or K."""
    return {"F": (values - 32) / 1.8, "K": values - 273.15}.get(of, values)
