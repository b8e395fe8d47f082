"""Say what was guessed or left out in reading a board."""

from collections.abc import Iterator, Mapping, Sequence

from leeward.board.graphics import TEXTS, graphics
from leeward.board.names import NEWEST_KNOWN, Names
from leeward.board.nodes import child, children, text
from leeward.board.pads import has_own_stack
from leeward.board.records import Footprint, Zone
from leeward.board.sexpr import Node


def version_notes(version: int) -> Iterator[str]:
    """Yield what there is to say of the file's format version."""
    if version > NEWEST_KNOWN:
        yield f"format version {version} is newer than the newest known, {NEWEST_KNOWN}; what it adds is lost"


def zone_notes(zones: Sequence[Zone]) -> Iterator[str]:
    """Yield what there is to say of zones whose copper the file does not hold."""
    unfilled = sum(1 for zone in zones if zone.kind == "pour" and not zone.fills)
    if unfilled:
        yield f"{unfilled} zone(s) hold no fill: their copper is underestimated; fill them in KiCad and save"


def courtyard_notes(parts: Sequence[Footprint], part_nodes: Sequence[Node]) -> Iterator[str]:
    """Yield which parts have courtyard lines that enclose nothing."""
    broken = [
        part.ref or part.id
        for part, node in zip(parts, part_nodes, strict=True)
        if part.courtyard is None and any(graphics(node, {"F.CrtYd" if part.side == "top" else "B.CrtYd"}))
    ]
    if broken:
        yield f"the courtyard lines of {', '.join(broken)} do not close and are not used"


def dropped_notes(groups: Mapping[str, list[Node]], part_nodes: list[Node], names: Names) -> Iterator[str]:
    """Yield what the file holds and the reader leaves out; `groups` are the nodes below the root by head."""
    copper = names.written_copper
    texts = [node for head in TEXTS for node in groups.get(head, ())]
    texts += [entry for node in part_nodes for head in TEXTS for entry in children(node, head)]
    written = sum(1 for node in texts if text(node, "layer") in copper)
    if written:
        yield f"{written} text(s) on copper layers are left out of the copper"
    stacked = sum(1 for node in part_nodes for entry in children(node, "pad") if has_own_stack(entry))
    if stacked:
        yield f"{stacked} pad(s) have another shape on some layers: their first shape is used on all"
    bare = sum(1 for node in groups.get("zone", ()) if not _on_copper(node, names))
    if bare:
        yield f"{bare} zone(s) that lie on no copper layer are left out"


def _on_copper(node: Node, names: Names) -> bool:
    return bool(names.copper_of([str(word) for head in ("layer", "layers") for word in (child(node, head) or [])[1:]]))
