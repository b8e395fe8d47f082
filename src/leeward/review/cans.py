"""Parts under shield cans: what nobody sees, and what must come off before the air can reach it."""

from collections.abc import Iterator, Sequence

from leeward.parts.order import natural_key
from leeward.parts.records import Part
from leeward.review.records import Case, Neighbour


def under(case: Case, can: Part) -> list[str]:
    """Return the references of what stands under a can, in natural order."""
    return sorted((part.ref for part in case.parts.by_id.values() if part.under == can.id), key=natural_key)


def lift_can(case: Case) -> list[tuple[str, str]]:
    """Return the step that takes the can off the target, none where it stands in the open."""
    if case.target.under is None:
        return []
    can = case.parts.by_id[case.target.under]
    others = [ref for ref in under(case, can) if ref != case.target.ref]
    beside = f" Under it too: {', '.join(others)}." if others else ""
    do = f"{case.target.ref} stands under the can of {can.ref}: the can comes off first.{beside}"
    return [(do, "no air reaches a joint under a can; the figures here still count the can as standing")]


def hidden(case: Case, neighbours: Sequence[Neighbour]) -> Iterator[str]:
    """Yield a caution for each can in the heat that something stands under, the target or its can among them."""
    concerned = [case.target, *(entry.part for entry in neighbours)]
    cans = {part.id: part for part in concerned} | {
        part.under: case.parts.by_id[part.under] for part in concerned if part.under is not None
    }
    for can in sorted(cans.values(), key=lambda part: natural_key(part.ref)):
        if refs := under(case, can):
            yield (
                f"Under the can of {can.ref}: {', '.join(refs)}. They get the heat unseen and its seam may melt; "
                "to work on them or look at them the can comes off first."
            )
