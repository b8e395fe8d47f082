"""The lists of the job sheet: tables with numbered rows, and short sentences, taken from those of the text report."""

from collections.abc import Iterable
from dataclasses import dataclass

from leeward.board.records import Side
from leeward.known import Known
from leeward.report.board_picture import (
    call_key,
    called_out,
)
from leeward.report.columns import Rows, long, words
from leeward.report.marks import Kind
from leeward.report.picture_marks import piece_key, probe_key
from leeward.report.screen import Block, Line
from leeward.report.text_lists import (
    MELTS_NOTE,
    clearance_rows,
    joint_rows,
    loose_rows,
    neighbour_rows,
    pad_rows,
    thermocouple_rows,
)
from leeward.report.text_review import (
    after_lift_lines,
    lands_note,
    lift_lines,
    other_side_lines,
)
from leeward.report.text_shields import effects, pieces, shields_section
from leeward.report.wording import counted, evidence_words, figure
from leeward.review.records import Review

FEW_EFFECTS, FEW_FINDINGS, FEW_LOOSE, FEW_PADS = 12, 10, 10, 10  # rows that stand open on a screen
FEW_JOINTS, FEW_NOZZLES = 6, 5
PRINTED_NOZZLES, PRINTED_PADS = 2, 4  # rows that a page has room for
SIDES: tuple[Side, ...] = ("top", "bottom")
FINDINGS = (
    words("Priority"),
    words("Finding"),
    long("Parts"),
    long("Figures"),
    long("Why"),
    long("Remedy"),
    long("Source"),
)
SOURCES = (long("What"), words("Taken to be"), words("Sure"), long("From"))


@dataclass(frozen=True, slots=True)
class Mark:
    """A row's number: how it is marked, the row's own key, and the key in a drawing that it leads to, "" if none."""

    text: str
    level: Kind
    row: str
    leads_to: str


@dataclass(frozen=True, slots=True)
class Table:
    """A list: `shown` rows stand open on a screen, `on_paper` (by index) are printed; `marks` number the rows."""

    key: str
    title: str
    rows: Rows
    shown: int
    on_paper: frozenset[int]
    marks: tuple[Mark, ...] = ()
    note: str = ""
    named: int = 0  # the column that names the row
    off_paper: tuple[str, ...] = ()  # headings of the columns that are left out on paper


@dataclass(frozen=True, slots=True)
class Points:
    """Short sentences under a heading."""

    key: str
    title: str
    lines: tuple[str, ...]


def neighbour_list(review: Review) -> Table:
    """Return the neighbours by shielding need, numbered; those that are called out go on paper."""
    shown = max(1, sum(entry.priority != "low" for entry in review.neighbours))
    called = {entry.number for side in SIDES for entry in called_out(review, side)}
    marks = tuple(
        Mark(str(i), entry.priority, f"near-{i}", call_key(i) if i in called else "")
        for i, entry in enumerate(review.neighbours, 1)
    )
    joints = {figure(entry.joint_limit_c) for entry in review.neighbours}
    note = (
        f"The limit is the body's; joints are held to {' or '.join(sorted(joints))} C. The margin is the worse of the "
        "two, with the model's spread. Over and melts are probabilities. North is up as the board is drawn."
    )
    rows = neighbour_rows(review, everything=True)
    paper = frozenset(number - 1 for number in called)
    return Table(
        "near", "Neighbours, by shielding need", rows, shown, paper, marks, note * bool(joints), 1, ("Limit by",)
    )


def shield_list(review: Review) -> Table:
    """Return the pieces to lay, in laying order, with what they bring and who is left without; the steps print them."""
    case, plan = review.case, _rows(pieces(review.case))
    marks = tuple(
        Mark(str(piece.number), "own", f"lay-{piece.number}", piece_key(piece.number)) for piece in case.shields.pieces
    )
    rows = Rows(plan.columns[1:], [cells[1:] for cells in plan.cells])  # the mark is the number
    note = " ".join(told(shields_section(review)))
    return Table("shields", "Shields, in laying order", rows, len(rows.cells), frozenset(), marks, note)


def effect_list(review: Review) -> Table:
    """Return what the shields do to the neighbours that they are about."""
    rows = _rows(effects(review))
    return Table("effects", "Neighbours, without the shields and with them", rows, FEW_EFFECTS, frozenset(), named=2)


def _rows(blocks: Iterable[Block]) -> Rows:
    """Return the table among blocks of the text report, an empty one where there is none."""
    return next((block for block in blocks if isinstance(block, Rows)), Rows((), ()))


def nozzle_list(review: Review) -> Table:
    """Return the nozzles by clearance."""
    rows = clearance_rows(review, everything=True)
    return Table("nozzles", "Nozzles, by clearance", rows, FEW_NOZZLES, frozenset(range(PRINTED_NOZZLES)))


def points(review: Review) -> tuple[Points, ...]:
    """Return what is told in sentences: the lift, the other side, what follows the lift."""
    return (
        Points("lift", "The lift", told(lift_lines(review.lift))),
        Points("below", "The other side", told(other_side_lines(review.opposite, everything=True))),
        Points("after", "After the lift", told(after_lift_lines(review.after_lift))),
    )


def joint_list(review: Review) -> Table:
    """Return the joints, the last to melt first."""
    rows = joint_rows(review, everything=True)
    return Table("joints", "Joints, the last to melt first", rows, FEW_JOINTS, frozenset(), note=MELTS_NOTE)


def land_list(review: Review) -> Table:
    """Return the lands by risk of lifting."""
    high = sum(entry.priority == "high" for entry in review.pads)
    rows = pad_rows(review, everything=True)
    shown, paper = max(FEW_PADS, high), frozenset(range(PRINTED_PADS))
    return Table("lands", "Lands, by risk of lifting", rows, shown, paper, note=lands_note(review), named=1)


def thermocouple_list(review: Review) -> Table:
    """Return the places for thermocouples, numbered as in the drawings."""
    rows = thermocouple_rows(review)
    marks = tuple(Mark(f"T{i}", "low", f"place-{i}", probe_key(i)) for i in range(1, len(rows.cells) + 1))
    return Table("places", "Thermocouples", rows, len(rows.cells), frozenset(), marks)


def loose_list(review: Review) -> Table:
    """Return the parts that may move, with what it takes to put them back."""
    rows = loose_rows(review, everything=True)
    note = "Tape them down, or note how to put them back."
    return Table("loose", "Parts that may move", rows, FEW_LOOSE, frozenset(), note=note)


def finding_list(review: Review) -> Table:
    """Return the findings, the gravest first."""
    cells = [
        (
            entry.priority.upper() if entry.priority == "high" else entry.priority,
            entry.rule,
            ", ".join(entry.refs),
            evidence_words(entry.evidence),
            entry.why,
            entry.remedy + (f" (waived: {entry.waived})" if entry.waived is not None else ""),
            entry.source,
        )
        for entry in review.findings
    ]
    high = sum(entry.priority == "high" for entry in review.findings)
    return Table("findings", "Findings", Rows(FINDINGS, cells), max(FEW_FINDINGS, high), frozenset(), named=1)


def window_list(review: Review) -> Table:
    """Return what other settings of board heater (rows) and air (columns) would do."""
    window = review.case.answer.window
    columns = (words("Board heater"), *(words(f"air {air_c:g} C") for air_c in window.air_c))
    heaters = ("off" if heater_c is None else f"{heater_c:g} C" for heater_c in window.board_heater_c)
    cells = [(heater, *row) for heater, row in zip(heaters, window.verdict, strict=True)]
    title = f"What other settings would do, at {window.flow_l_min:g} l/min"
    return Table("window", title, Rows(columns, cells), len(cells), frozenset())


def not_assessed(review: Review) -> Rows:
    """Return what nothing is said about, by the reason."""
    others = [entry for entry in review.not_assessed if entry.id != review.case.target.id]
    refs: dict[str, list[str]] = {}
    for entry in others:
        refs.setdefault(entry.reason, []).append(entry.ref or "without a reference")
    cells = [(", ".join(named), reason) for reason, named in refs.items()]
    return Rows((long("Part"), long("Why")), cells, more=counted(len(others), "part"))


def sources(review: Review) -> Rows:
    """Return where the values of the target, the limits of its neighbours, and the recipe come from."""
    target = review.case.target
    body = " x ".join(f"{side:g}" for side in target.body_mm.value)
    own: list[tuple[str, str, Known[object]]] = [
        ("family", target.family.value, target.family),
        ("lead style", target.lead_style.value, target.lead_style),
        ("body", f"{body} mm", target.body_mm),
        ("outline", target.outline_source.value, target.outline_source),
        ("height", f"{figure(target.height_mm.value, 2)} mm", target.height_mm),
        ("mass", f"{figure(target.mass_mg.value)} mg", target.mass_mg),
        ("limit", f"{figure(target.limit_c.value)} C", target.limit_c),
    ]
    cells = [(f"{target.ref} {what}", value, known.confidence, known.source) for what, value, known in own]
    return Rows(SOURCES, [*cells, *_limit_sources(review), ("recipe", "", "low", review.case.recipe.source)])


def _limit_sources(review: Review) -> list[tuple[str, str, str, str]]:
    refs: dict[tuple[str, str, str], list[str]] = {}
    for entry in review.neighbours:
        limit = entry.part.limit_c
        refs.setdefault((f"{figure(limit.value)} C", limit.confidence, limit.source), []).append(entry.part.ref)
    return [(f"limit of {', '.join(named)}", *told) for told, named in refs.items()]


def told(blocks: Iterable[Block]) -> tuple[str, ...]:
    """Return the lines of the text report for a list that has marks of its own."""
    said = (block for block in blocks if isinstance(block, Line))
    return tuple(f"{line.mark} {line.text}" if line.mark == "?" else line.text for line in said)
