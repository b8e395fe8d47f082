"""The job sheet as records: what goes to the bench for each target, in the order it is read. HTML and PDF render it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from leeward.board.records import Board, Side
from leeward.job import WorkSequence
from leeward.known import Known
from leeward.parts.records import Part
from leeward.report.board_picture import (
    call_key,
    called_out,
    opposite_side,
    piece_key,
    place_on_board,
    probe_key,
    work_side,
)
from leeward.report.chart import chart
from leeward.report.columns import Rows, long, words
from leeward.report.drawing import Drawing
from leeward.report.marks import Kind
from leeward.report.screen import Block, Line
from leeward.report.text_lists import (
    clearance_rows,
    joint_rows,
    loose_rows,
    neighbour_rows,
    pad_rows,
    stage_rows,
    thermocouple_rows,
)
from leeward.report.text_review import (
    after_lift_lines,
    lands_note,
    lift_lines,
    other_side_lines,
    verdict,
    worth,
)
from leeward.report.text_shields import effects, pieces, shields_section
from leeward.report.wording import chance, counted, doubted, evidence_words, figure, sentence
from leeward.review.records import Review, Step
from leeward.review.thermocouples import coldest

FEW_EFFECTS, FEW_FINDINGS, FEW_LOOSE, FEW_PADS = 12, 10, 10, 10  # rows that stand open on a screen
FEW_JOINTS, FEW_NOZZLES = 6, 5
PRINTED_NOZZLES, PRINTED_PADS = 2, 4  # rows that a page has room for
SIDES: tuple[Side, ...] = ("top", "bottom")
CAPTION = "Beside the numbers stands the peak without shields; each number is a line in the list of neighbours."
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
class Fact:
    """One of the few numbers that matter, with what it is compared to."""

    name: str
    value: str
    remark: str


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


@dataclass(frozen=True, slots=True)
class TargetSheet:
    """The job on one target."""

    key: str
    target: Part
    verdict: str
    facts: tuple[Fact, ...]
    work: Drawing
    opposite: Drawing
    place: Drawing | None
    links: Mapping[str, str]  # from a key in a drawing to a row's
    steps: tuple[Step, ...]
    chart: Drawing
    stages: Rows
    recipe: str
    shields: Table
    ranked: tuple[Table, ...]
    points: tuple[Points, ...]
    further: tuple[Table, ...]
    cautions: tuple[str, ...]
    not_assessed: Rows
    worth: tuple[str, ...]
    sources: Rows


@dataclass(frozen=True, slots=True)
class JobSheet:
    """The jobs on one board, in work order, with what the board file left open."""

    board: Board
    order: tuple[str, ...]
    targets: tuple[TargetSheet, ...]


def job_sheet(board: Board, reviews: Sequence[Review], sequence: WorkSequence, held: Sequence[str] = ()) -> JobSheet:
    """Return the sheet of all reviews in work order; `held` names the options on nozzle and place that are held."""
    by_id = {review.case.target.id: review for review in reviews}
    ordered = [by_id[part_id] for part_id in sequence.order]
    sheets = tuple(target_sheet(review, held, f"job{i}") for i, review in enumerate(ordered, 1))
    return JobSheet(board, tuple(_order(sequence, by_id)) if len(ordered) > 1 else (), sheets)


def target_sheet(review: Review, held: Sequence[str], key: str) -> TargetSheet:
    """Return the sheet of one target."""
    neighbours, places = _neighbours(review), _thermocouples(review)
    laid = _pieces(review)
    marks = (*neighbours.marks, *places.marks, *laid.marks)
    return TargetSheet(
        key=key,
        target=review.case.target,
        verdict=verdict(review),
        facts=tuple(_facts(review)),
        work=work_side(review),
        opposite=opposite_side(review),
        place=place_on_board(review),
        links={mark.leads_to: mark.row for mark in marks if mark.leads_to},
        steps=review.work_order,
        chart=chart(review),
        stages=stage_rows(review.case),
        recipe=_recipe(review, held),
        shields=laid,
        ranked=(neighbours, _nozzles(review), _pads(review)),
        points=_points(review),
        further=tuple(table for table in _further(review, places) if table.rows.cells),
        cautions=review.cautions,
        not_assessed=_not_assessed(review),
        worth=_told(worth(review)),
        sources=_sources(review),
    )


def _told(blocks: Iterable[Block]) -> tuple[str, ...]:
    """Return the lines of the text report for a list that has marks of its own."""
    said = (block for block in blocks if isinstance(block, Line))
    return tuple(f"{line.mark} {line.text}" if line.mark == "?" else line.text for line in said)


def _order(sequence: WorkSequence, by_id: Mapping[str, Review]) -> Iterable[str]:
    refs = {part_id: review.case.target.ref for part_id, review in by_id.items()}
    yield f"Work in this order: {', '.join(refs[part_id] for part_id in sequence.order)}."
    for first, then in sequence.take_off_first:
        yield f"{refs[first]} comes off before {refs[then]}."
    for ring in sequence.cycles:
        yield f"No order satisfies {', '.join(refs[part_id] for part_id in ring)}: each wants another off first."


def _facts(review: Review) -> Iterable[Fact]:
    case, joint = review.case, coldest(review.case)
    fit = case.loads.fit
    gap = "no body in reach" if fit.min_gap_mm is None else f"{figure(fit.min_gap_mm, 1)} mm to the nearest body"
    yield Fact("Nozzle", fit.nozzle.id, gap if fit.fits else "does not fit")
    if joint.seconds_to_liquidus is None:
        yield Fact("Last joint", "stays solid", f"pad {joint.joint.pad}, {figure(joint.peak_c)} C")
    else:
        late = f"{figure(joint.seconds_to_liquidus)} s ±{figure(review.seconds_spread)} s"
        yield Fact("Last joint melts", late, f"into reflow, pad {joint.joint.pad}")
    yield Fact("Reflow", *_settings(review))
    top = f"of {doubted(case.target.limit_c)} C; over: {chance(review.target_over_limit)}"
    yield Fact(f"Top of {case.target.ref}", f"{figure(case.heat.target_top_peak_c)} C", top)
    count = {level: sum(entry.priority == level for entry in review.neighbours) for level in ("high", "medium")}
    yield Fact("Neighbours at high risk", str(count["high"]), f"{count['medium']} medium, of {len(review.neighbours)}")
    off = [entry.part.ref for entry in review.neighbours if "take-off-first" in entry.shield]
    yield Fact("Off before any heat", ", ".join(off[:3]) or "none", f"and {len(off) - 3} more" if len(off) > 3 else "")
    weakest = max(review.pads, key=lambda pad: pad.lift_risk, default=None)
    if weakest is not None:
        yield Fact("Weakest land", f"pad {weakest.number}", f"lifts: {chance(weakest.lift_risk)}")


def _settings(review: Review) -> tuple[str, str]:
    """Return the air of reflow, and what goes with it."""
    reflow = next(stage for stage in review.case.recipe.stages if stage.name == "reflow")
    air = "no air" if reflow.air_c is None else f"air {reflow.air_c:g} C"
    flow = "" if reflow.flow_l_min is None else f"{reflow.flow_l_min:g} l/min, "
    heater = "board heater off" if reflow.board_heater_c is None else f"board heater {reflow.board_heater_c:g} C"
    broken = "" if review.case.answer.works else "; keeps NOT every limit"
    return air, f"{flow}{heater}{broken}"


def _neighbours(review: Review) -> Table:
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


def _pieces(review: Review) -> Table:
    """Return the pieces to lay, in laying order, with what they bring and who is left without; the steps print them."""
    case, told = review.case, _rows(pieces(review.case))
    marks = tuple(
        Mark(str(piece.number), "own", f"lay-{piece.number}", piece_key(piece.number)) for piece in case.shields.pieces
    )
    rows = Rows(told.columns[1:], [cells[1:] for cells in told.cells])  # the mark is the number
    note = " ".join(_told(shields_section(review)))
    return Table("shields", "Shields, in laying order", rows, len(rows.cells), frozenset(), marks, note)


def _effects(review: Review) -> Table:
    rows = _rows(effects(review))
    return Table("effects", "Neighbours, without the shields and with them", rows, FEW_EFFECTS, frozenset(), named=2)


def _rows(blocks: Iterable[Block]) -> Rows:
    """Return the table among blocks of the text report, an empty one where there is none."""
    return next((block for block in blocks if isinstance(block, Rows)), Rows((), ()))


def _nozzles(review: Review) -> Table:
    rows = clearance_rows(review, everything=True)
    return Table("nozzles", "Nozzles, by clearance", rows, FEW_NOZZLES, frozenset(range(PRINTED_NOZZLES)))


def _points(review: Review) -> tuple[Points, ...]:
    return (
        Points("lift", "The lift", _told(lift_lines(review.lift))),
        Points("below", "The other side", _told(other_side_lines(review.opposite, everything=True))),
        Points("after", "After the lift", _told(after_lift_lines(review.after_lift))),
    )


def _further(review: Review, places: Table) -> tuple[Table, ...]:
    return (_effects(review), _joints(review), _window(review), places, _loose(review), _findings(review))


def _joints(review: Review) -> Table:
    rows = joint_rows(review, everything=True)
    return Table("joints", "Joints, the last to melt first", rows, FEW_JOINTS, frozenset())


def _pads(review: Review) -> Table:
    high = sum(entry.priority == "high" for entry in review.pads)
    rows = pad_rows(review, everything=True)
    shown, paper = max(FEW_PADS, high), frozenset(range(PRINTED_PADS))
    return Table("lands", "Lands, by risk of lifting", rows, shown, paper, note=lands_note(review), named=1)


def _thermocouples(review: Review) -> Table:
    rows = thermocouple_rows(review)
    marks = tuple(Mark(f"T{i}", "low", f"place-{i}", probe_key(i)) for i in range(1, len(rows.cells) + 1))
    return Table("places", "Thermocouples", rows, len(rows.cells), frozenset(), marks)


def _loose(review: Review) -> Table:
    rows = loose_rows(review, everything=True)
    note = "Tape them down, or note how to put them back."
    return Table("loose", "Parts that may move", rows, FEW_LOOSE, frozenset(), note=note)


def _findings(review: Review) -> Table:
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


def _recipe(review: Review, held: Sequence[str]) -> str:
    case, recipe = review.case, review.case.recipe
    fixed = (*held, *recipe.held)
    told = f" Held by you: {', '.join(fixed)}." if fixed else ""
    return f"{sentence(case.heat.why)}. {sentence(case.answer.why)}. Times: {recipe.source}.{told}"


def _window(review: Review) -> Table:
    """Return what other settings of board heater (rows) and air (columns) would do."""
    window = review.case.answer.window
    columns = (words("Board heater"), *(words(f"air {air_c:g} C") for air_c in window.air_c))
    heaters = ("off" if heater_c is None else f"{heater_c:g} C" for heater_c in window.board_heater_c)
    cells = [(heater, *row) for heater, row in zip(heaters, window.verdict, strict=True)]
    title = f"What other settings would do, at {window.flow_l_min:g} l/min"
    return Table("window", title, Rows(columns, cells), len(cells), frozenset())


def _not_assessed(review: Review) -> Rows:
    others = [entry for entry in review.not_assessed if entry.id != review.case.target.id]
    refs: dict[str, list[str]] = {}
    for entry in others:
        refs.setdefault(entry.reason, []).append(entry.ref or "without a reference")
    cells = [(", ".join(named), reason) for reason, named in refs.items()]
    return Rows((long("Part"), long("Why")), cells, more=counted(len(others), "part"))


def _sources(review: Review) -> Rows:
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
