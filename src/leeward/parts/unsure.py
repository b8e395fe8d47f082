"""Which parts are guessed: something that a review rests on is of low confidence."""

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from leeward.known import Known
from leeward.parts.families import families
from leeward.parts.limits import is_of_plastic
from leeward.parts.records import Part, Parts

RESTS_ON = ("family", "lead_style", "body_mm", "height_mm", "limit_c")


def guessed(part: Part) -> Mapping[str, Known[Any]]:
    """Return what is guessed of a part that stands on the board, by the keys of a parts file."""
    if part.body.is_empty:
        return {}
    known = {name: getattr(part, name) for name in RESTS_ON}
    return {name: value for name, value in known.items() if value.confidence == "low"}


def wants_resin(part: Part) -> bool:
    """Say whether the resin of the part's housing would tell its limit, which is guessed."""
    limit = guessed(part).get("limit_c")
    return limit is not None and is_of_plastic(families()[part.family.value], surface_mount=part.surface_mount)


def only_unsure(parts: Parts) -> Parts:
    """Return the parts of which something is guessed, and nothing else."""
    unsure = {name: part for name, part in parts.by_id.items() if guessed(part)}
    return replace(parts, by_id=unsure, not_assessed=tuple(each for each in parts.not_assessed if each.id in unsure))
