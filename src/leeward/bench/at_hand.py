"""What of a bench's shield materials is at hand for one job."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from leeward.bench.records import Bench, Form, ShieldMaterial
from leeward.errors import UsageError


@dataclass(frozen=True, slots=True)
class AtHand:
    """What the user says is there; None is all that the bench has."""

    forms: frozenset[Form] | None = None
    materials: tuple[str, ...] | None = None
    roll_widths_mm: tuple[float, ...] | None = None  # of tape


def with_at_hand(bench: Bench, said: AtHand) -> Bench:
    """Return a bench with the shield materials that are at hand.

    Raises UsageError for a material that the bench does not have.
    """
    known = {material.id for material in bench.shields}
    for name in said.materials or ():
        if name not in known:
            raise UsageError(f"the bench has no shield material {name}", do=f"name one of {_listed(sorted(known))}")
    kept = [
        material
        for material in bench.shields
        if (said.forms is None or material.form in said.forms)
        and (said.materials is None or material.id in said.materials)
    ]
    return replace(bench, shields=tuple(_of_rolls(material, said.roll_widths_mm) for material in kept))


def _of_rolls(material: ShieldMaterial, widths_mm: Sequence[float] | None) -> ShieldMaterial:
    if material.form != "tape" or widths_mm is None:
        return material
    return replace(material, widths_mm=tuple(sorted(widths_mm)))


def _listed(names: Sequence[str]) -> str:
    return ", ".join(names) or "none: it has no shield materials"
