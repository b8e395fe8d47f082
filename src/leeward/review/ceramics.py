"""Large ceramic capacitors in the heat, which crack where they are warmed in haste."""

from collections.abc import Iterator, Sequence

from leeward.constants import number
from leeward.parts.families import families
from leeward.parts.limits import is_large_ceramic
from leeward.review.records import Neighbour
from leeward.review.words import listed


def hurried(neighbours: Sequence[Neighbour]) -> Iterator[str]:
    """Yield a caution that names the large ceramic capacitors whose predicted ramp is over their makers' limit."""
    large = [entry for entry in neighbours if _is_large(entry)]
    fast = [
        f"{entry.part.ref} ({entry.max_ramp_c_s:.1f} C/s)"
        for entry in sorted(large, key=lambda entry: -(entry.max_ramp_c_s or 0.0))
        if entry.max_ramp_c_s is not None and entry.max_ramp_c_s > (entry.part.max_ramp_c_s or float("inf"))
    ]
    if fast:
        ramp, step = number("limits", "ramp", "large ceramic capacitor"), number("limits", "large_ceramic", "step_c")
        yield (
            f"Large ceramics may crack: {listed(fast)}; makers prefer {ramp:g} C/s, and steps of {step:g} C at most. "
            "Soak longer; replace or test them."
        )


def _is_large(entry: Neighbour) -> bool:
    family = families().get(entry.part.family.value)
    return family is not None and is_large_ceramic(family, entry.part.body_mm.value)
