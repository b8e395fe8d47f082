"""The job sheet as records: what goes to the bench for each target, in the order it is read. HTML and PDF render it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from leeward.board.records import Board
from leeward.job import WorkSequence
from leeward.parts.records import Part
from leeward.report.board_picture import (
    opposite_side,
    place_on_board,
    work_side,
)
from leeward.report.chart import chart
from leeward.report.columns import Rows
from leeward.report.drawing import Drawing
from leeward.report.sheet_lists import (
    Points,
    Table,
    effect_list,
    finding_list,
    joint_list,
    land_list,
    loose_list,
    neighbour_list,
    not_assessed,
    nozzle_list,
    points,
    shield_list,
    sources,
    thermocouple_list,
    told,
    window_list,
)
from leeward.report.text_lists import (
    stage_rows,
)
from leeward.report.text_review import (
    verdict,
    worth,
)
from leeward.report.wording import chance, doubted, figure, sentence, within
from leeward.review.records import Review, Step
from leeward.review.thermocouples import coldest

CAPTION = (
    "Zones, and the peaks beside the numbers, are without shields; each number is a line in the list of neighbours."
)


@dataclass(frozen=True, slots=True)
class Fact:
    """One of the few numbers that matter, with what it is compared to."""

    name: str
    value: str
    remark: str


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
    neighbours, places = neighbour_list(review), thermocouple_list(review)
    laid = shield_list(review)
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
        ranked=(neighbours, nozzle_list(review), land_list(review)),
        points=points(review),
        further=tuple(table for table in _further(review, places) if table.rows.cells),
        cautions=review.cautions,
        not_assessed=not_assessed(review),
        worth=told(worth(review)),
        sources=sources(review),
    )


def _order(sequence: WorkSequence, by_id: Mapping[str, Review]) -> Iterable[str]:
    refs = {part_id: review.case.target.ref for part_id, review in by_id.items()}
    yield f"Work in this order: {', '.join(refs[part_id] for part_id in sequence.order)}."
    for (first, then), why in zip(sequence.take_off_first, sequence.because, strict=True):
        yield f"{refs[first]} comes off before {refs[then]}: {why}."
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
        late = f"into reflow (likely {within(joint.window)}), pad {joint.joint.pad}"
        yield Fact("Last joint melts", f"{figure(joint.seconds_to_liquidus)} s", late)
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
    reflow = review.case.recipe.reflow
    air = "no air" if reflow.air_c is None else f"air {reflow.air_c:g} C"
    flow = "" if reflow.flow_l_min is None else f"{reflow.flow_l_min:g} l/min, "
    heater = "board heater off" if reflow.board_heater_c is None else f"board heater {reflow.board_heater_c:g} C"
    broken = "" if review.case.answer.works else "; keeps NOT every limit"
    return air, f"{flow}{heater}{broken}"


def _recipe(review: Review, held: Sequence[str]) -> str:
    case, recipe = review.case, review.case.recipe
    fixed = (*held, *recipe.held)
    kept = f" Held by you: {', '.join(fixed)}." if fixed else ""
    return f"{sentence(case.heat.why)}. {sentence(case.answer.why)}. Times: {recipe.source}.{kept}"


def _further(review: Review, places: Table) -> tuple[Table, ...]:
    made = (effect_list, joint_list, window_list, loose_list, finding_list)
    effects, joints, window, loose, findings = (table(review) for table in made)
    return (effects, joints, window, places, loose, findings)
