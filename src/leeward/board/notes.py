"""Say what was guessed or left out in reading a board."""

from collections.abc import Iterator, Mapping, Sequence

from leeward.board.graphics import graphics
from leeward.board.lettering import HEADS as TEXT_HEADS
from leeward.board.lettering import has_outlines, texts
from leeward.board.names import NEWEST_KNOWN, Names
from leeward.board.nodes import child, children, layer_of
from leeward.board.pours import unfilled
from leeward.board.records import Footprint, Zone
from leeward.board.sexpr import Node

UNDRAWN = ("dimension", "barcode", "table")  # would be copper, were they drawn by the reader


def version_notes(version: int) -> Iterator[str]:
    """Yield what there is to say of the file's format version."""
    if version > NEWEST_KNOWN:
        yield f"format version {version} is newer than the newest known, {NEWEST_KNOWN}; what it adds is lost"


def zone_notes(zones: Sequence[Zone]) -> Iterator[str]:
    """Yield what there is to say of zones whose copper the file does not hold."""
    count = len(unfilled(zones))
    if count:
        yield (
            f"{count} zone(s) hold no fill: their copper is estimated from the outline less clearances; "
            "fill them in KiCad and save"
        )


def courtyard_notes(parts: Sequence[Footprint], part_nodes: Sequence[Node]) -> Iterator[str]:
    """Yield which parts have courtyard lines that enclose nothing."""
    broken = [
        part.ref or part.id
        for part, node in zip(parts, part_nodes, strict=True)
        if part.courtyard is None and any(graphics(node, {"F.CrtYd" if part.side == "top" else "B.CrtYd"}))
    ]
    if broken:
        yield f"the courtyard lines of {', '.join(broken)} do not close and are not used"
    closed = [part for part in parts if part.courtyard is not None and part.courtyard_gap_mm > 0]
    if closed:
        widest = max(part.courtyard_gap_mm for part in closed)
        names = ", ".join(part.ref or part.id for part in closed)
        yield f"gaps of up to {widest:.3f} mm in the courtyard lines of {names} were closed"


def text_nodes(groups: Mapping[str, list[Node]], part_nodes: Sequence[Node], names: Names) -> Iterator[Node]:
    """Yield the visible texts on copper layers, of board and parts."""
    for node in [*(node for head in sorted(TEXT_HEADS) for node in groups.get(head, ())), *part_nodes]:
        yield from texts(node, names)


def dropped_notes(groups: Mapping[str, list[Node]], part_nodes: list[Node], names: Names) -> Iterator[str]:
    """Yield what the file holds and the reader leaves out; `groups` are the nodes below the root by head."""
    written = sum(1 for node in text_nodes(groups, part_nodes, names) if not has_outlines(node))
    if written:
        yield f"{written} text(s) on copper layers are left out of the copper"
    for head in UNDRAWN:
        nodes = [*groups.get(head, ()), *(entry for node in part_nodes for entry in children(node, head))]
        count = sum(1 for node in nodes if layer_of(node) in names.written_copper)
        if count:
            yield f"{count} {head}(s) on copper layers are left out of the copper"
    bare = sum(1 for node in groups.get("zone", ()) if not _on_copper(node, names))
    if bare:
        yield f"{bare} zone(s) that lie on no copper layer are left out"


def _on_copper(node: Node, names: Names) -> bool:
    return bool(names.copper_of([str(word) for head in ("layer", "layers") for word in (child(node, head) or [])[1:]]))
