"""What each part was taken to be, as text: by lead style, groups and parts that are unsure first."""

from collections.abc import Iterator, Mapping, Sequence

from leeward.board.records import Board
from leeward.parts.records import FloorLife, Part, Parts
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
    words("MSL"),
    words("Under"),
    long("Value"),
    long("Family by"),
    long("Height by"),
    long("Limit by"),
)
FLOOR_LIFE: Mapping[FloorLife, str] = {
    "within": "in floor life",
    "short": "up to 72 h past floor life",
    "late": "over 72 h past floor life",
}


def parts_text(board: Board, parts: Parts) -> Iterator[Block]:
    """Yield the blocks of the text."""
    found = in_order(parts.by_id.values())
    refs = {footprint.id: footprint.ref for footprint in board.footprints}
    doubtful = sum(is_unsure(part) for part in found)
    yield Line(
        f"{board.file}: {counted(len(found), 'part')} with pads, {doubtful} of them unsure (marked ?), "
        f"{len(parts.not_assessed)} not assessed; solder {parts.alloy}",
        style="bold",
    )
    for style, members in _groups(found):
        unsure = sum(is_unsure(part) for part in members)
        yield Title(f"{style} ({len(members)}{f', {unsure} unsure' if unsure else ''})")
        yield _without_empty_columns(COLUMNS, [_row(part, refs) for part in members])
    if parts.not_assessed:
        yield Title(f"Not assessed ({len(parts.not_assessed)})")
        entries = not_assessed_documents(parts.not_assessed)
        columns = (words("Part"), long("Why"), long("Id"))
        yield Rows(columns, [(entry.ref, entry.reason, entry.id or "-") for entry in entries])
    if found:
        yield Line("follows what is of low confidence; what you know better goes into a file for --parts", mark="?")
        yield Line(_moisture_known(found))


def is_unsure(part: Part) -> bool:
    """Return whether anything that a review rests on is of low confidence."""
    return bool(guessed(part))


def _groups(found: Sequence[Part]) -> list[tuple[str, list[Part]]]:
    """Return parts by lead style, in each the unsure ones first; groups that hold any come before those that do not."""
    unsure_first = sorted(found, key=lambda part: not is_unsure(part))
    styles = sorted({part.lead_style.value for part in found})
    groups = [(style, [part for part in unsure_first if part.lead_style.value == style]) for style in styles]
    return sorted(groups, key=lambda group: not is_unsure(group[1][0]))


def _without_empty_columns(columns: Sequence[Column], cells: Sequence[Sequence[str]]) -> Rows:
    kept = [index for index in range(len(columns)) if any(row[index] for row in cells)]
    return Rows([columns[index] for index in kept], [[row[index] for index in kept] for row in cells])


def _moisture_known(found: Sequence[Part]) -> str:
    known = sum(part.msl is not None for part in found)
    return f"MSL, the moisture level of J-STD-020, is given for {known or 'none'} of {counted(len(found), 'part')}"


def _msl(part: Part) -> str:
    if part.msl is None:
        return ""
    life = "" if part.floor_life is None else f", {FLOOR_LIFE[part.floor_life]}"
    return f"{part.msl.value}{mark(part.msl)}{life}"


def _row(part: Part, refs: Mapping[str, str]) -> tuple[str, ...]:
    return (
        part.ref + ("" if part.footprint.side == "top" else " (bottom)"),
        part.family.value + mark(part.family) + ("" if part.footprint.fitted else ", not fitted"),
        *(("-",) * 4 if part.body.is_empty else _figures(part)),
        _msl(part),
        "" if part.under is None else refs[part.under],
        part.footprint.value,
        short(part.family.source),
        short(part.height_mm.source),
        "-" if part.body.is_empty else short(part.limit_c.source),
    )


def _figures(part: Part) -> tuple[str, ...]:
    along_x, along_y = part.body_mm.value
    return (
        f"{figure(along_x, 2)} x {figure(along_y, 2)}{mark(part.body_mm)}",
        doubted(part.height_mm, 2),
        doubted(part.mass_mg, 1),
        doubted(part.limit_c),
    )
