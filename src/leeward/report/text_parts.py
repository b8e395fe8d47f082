"""What each part was taken to be, as text: by lead style, those that are unsure first."""

from collections.abc import Iterator

from leeward.board.records import Board
from leeward.parts.records import Part, Parts
from leeward.parts.unsure import guessed
from leeward.report.board_documents import in_order, not_assessed_documents
from leeward.report.columns import Column, Rows, long, words
from leeward.report.screen import Block, Line, Title
from leeward.report.wording import counted, doubted, figure, mark, short

COLUMNS = (
    words("Part"),
    words("Family"),
    Column("Body", "mm", "left"),
    Column("Height", "mm"),
    Column("Mass", "mg"),
    Column("Limit", "C"),
    long("Value"),
    long("Family by"),
    long("Height by"),
    long("Limit by"),
)


def parts_text(board: Board, parts: Parts) -> Iterator[Block]:
    """Yield the blocks of the text."""
    found = in_order(parts.by_id.values())
    doubtful = sum(is_unsure(part) for part in found)
    yield Line(
        f"{board.file}: {counted(len(found), 'part')} with pads, {doubtful} of them unsure (marked ?), "
        f"{len(parts.not_assessed)} not assessed; solder {parts.alloy}",
        style="bold",
    )
    for style in sorted({part.lead_style.value for part in found}):
        members = [part for part in found if part.lead_style.value == style]
        unsure = sum(is_unsure(part) for part in members)
        yield Title(f"{style} ({len(members)}{f', {unsure} unsure' if unsure else ''})")
        yield Rows(COLUMNS, [_row(part) for part in sorted(members, key=lambda part: not is_unsure(part))])
    if parts.not_assessed:
        yield Title(f"Not assessed ({len(parts.not_assessed)})")
        entries = not_assessed_documents(parts.not_assessed)
        columns = (words("Part"), long("Why"), long("Id"))
        yield Rows(columns, [(entry.ref, entry.reason, entry.id or "-") for entry in entries])
    if found:
        yield Line("follows what is of low confidence; what you know better goes into a file for --parts", mark="?")


def is_unsure(part: Part) -> bool:
    """Return whether anything that a review rests on is of low confidence."""
    return bool(guessed(part))


def _row(part: Part) -> tuple[str, ...]:
    along_x, along_y = part.body_mm.value
    return (
        part.ref + ("" if part.footprint.side == "top" else " (bottom)"),
        part.family.value + mark(part.family) + ("" if part.footprint.fitted else ", not fitted"),
        f"{figure(along_x, 2)} x {figure(along_y, 2)}{mark(part.body_mm)}",
        doubted(part.height_mm, 2),
        doubted(part.mass_mg, 1),
        doubted(part.limit_c),
        part.footprint.value,
        short(part.family.source),
        short(part.height_mm.source),
        short(part.limit_c.source),
    )
