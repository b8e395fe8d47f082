"""Words that several answers of a review share."""

from collections.abc import Sequence

from leeward.heat.records import MeltWindow

GRAVITY_N_G = 9.80665e-3
DIRECTIONS = ("east", "north-east", "north", "north-west", "west", "south-west", "south", "south-east")


def direction(degrees: float) -> str:
    """Return which way an angle points, counter-clockwise from east; north is up as the board is drawn."""
    return DIRECTIONS[round(degrees / 45) % 8]


def counted(count: int, one: str, many: str | None = None) -> str:
    """Return a count with its noun in the right number."""
    return f"{count} {one if count == 1 else many or one + 's'}"


def listed(names: Sequence[str], most: int = 6) -> str:
    """Return names with commas, cut after the first few."""
    more = f" and {len(names) - most} more" if len(names) > most else ""
    return ", ".join(names[:most]) + more


def within(window: MeltWindow | None) -> str:
    """Return the window of a melt in whole seconds, a dash where there is none."""
    return "-" if window is None else f"{round(window.earliest_s)} to {round(window.latest_s)}"


def force(newtons: float) -> str:
    """Return a force in N, and in grams as a spring or a scale shows it."""
    return f"{newtons:.2g} N ({newtons / GRAVITY_N_G:.2g} g)"
