"""The lists of a review as tables."""

from collections.abc import Sequence
from typing import TypeVar

from leeward.bench.records import NozzleFit
from leeward.board.names import spoken
from leeward.report.columns import Column, Rows, long, words
from leeward.report.review_documents import stages_as_run
from leeward.report.wording import chance, direction, doubted, figure, pad_one, short, turn, within
from leeward.review.records import Case, JointMelt, LoosePart, Neighbour, PadRisk, Priority, Review

Entry = TypeVar("Entry")
MOST_NEIGHBOURS, MOST_NOZZLES, MOST_JOINTS, MOST_PADS, MOST_LOOSE, MOST_BLOCKERS = 12, 5, 4, 8, 8, 4
STYLES: dict[Priority, str] = {"high": "bold red", "medium": "yellow", "low": ""}
NEIGHBOURS = (
    words("Priority"),
    words("Part"),
    Column("Gap", "mm"),
    Column("To wall", "mm"),
    Column("Body", "C"),
    Column("Joint", "C"),
    Column("Limit", "C"),
    Column("Margin", "C"),
    Column("Over", "P"),
    Column("Melts", "P"),
    long("Shield"),
    long("Limit by"),
    long("Why"),
)
NOZZLES = (
    words("Nozzle"),
    Column("Turned", "deg"),
    words("Fits"),
    Column("Nearest body", "mm"),
    long("In the way"),
    long("Why"),
)
JOINTS = (
    words("Pad"),
    words("Net"),
    Column("Melts", "s"),
    Column("Likely", "s"),
    Column("At lift", "C"),
    Column("Solid", "P"),
    long("Why late"),
    long("What helps"),
)
MELTS_NOTE = "Seconds into reflow; likely: two times in three."
PADS = (
    words("Priority"),
    words("Pad"),
    words("Net"),
    Column("Area", "mm2"),
    words("Defined by"),
    Column("Peak", "C"),
    Column("Solid", "P"),
    Column("Bears", "N"),
    Column("Meets", "N"),
    Column("Lifts", "P"),
    long("Why"),
)
LOOSE = (
    words("Part"),
    words("How"),
    Column("Force/hold"),
    Column("Melts", "P"),
    long("Put back"),
)
STAGES = (
    words("Stage"),
    Column("Time", "s"),
    Column("Air", "C"),
    Column("Flow", "l/min"),
    Column("Board heater", "C"),
)
THERMOCOUPLES = (words("On"), words("Side"), Column("x", "mm"), Column("y", "mm"), long("Why"))


def neighbour_rows(review: Review, *, everything: bool) -> Rows:
    """Return the neighbours by shielding need."""
    ranked = review.neighbours
    most = max(MOST_NEIGHBOURS, sum(entry.priority == "high" for entry in ranked))
    shown, more = _cut(ranked, most, everything=everything)
    return Rows(NEIGHBOURS, [_neighbour(entry) for entry in shown], [STYLES[entry.priority] for entry in shown], more)


def clearance_rows(review: Review, *, everything: bool) -> Rows:
    """Return the nozzles by clearance."""
    shown, more = _cut(review.case.fits, MOST_NOZZLES, everything=everything)
    return Rows(NOZZLES, [_fit(fit) for fit in shown], more=more)


def joint_rows(review: Review, *, everything: bool) -> Rows:
    """Return the joints, the last to melt first."""
    shown, more = _cut(review.joints, MOST_JOINTS, everything=everything)
    return Rows(JOINTS, [_joint(entry) for entry in shown], more=more)


def pad_rows(review: Review, *, everything: bool) -> Rows:
    """Return the lands by lift risk."""
    most = max(MOST_PADS, sum(entry.priority == "high" for entry in review.pads))
    shown, more = _cut(review.pads, most, everything=everything)
    return Rows(PADS, [_pad(entry) for entry in shown], [STYLES[entry.priority] for entry in shown], more)


def loose_rows(review: Review, *, everything: bool) -> Rows:
    """Return the parts that may move."""
    shown, more = _cut(review.loose, MOST_LOOSE, everything=everything)
    return Rows(LOOSE, [_loose(entry) for entry in shown], more=more)


def stage_rows(case: Case) -> Rows:
    """Return the stages as they ran."""
    cells = [
        (
            stage.name,
            figure(stage.seconds),
            _setting(stage.air_c),
            _setting(stage.flow_l_min),
            _setting(stage.board_heater_c),
        )
        for stage in stages_as_run(case)
    ]
    return Rows(STAGES, cells)


def thermocouple_rows(review: Review) -> Rows:
    """Return the places for thermocouples."""
    cells = [(t.on, t.side, figure(t.x_mm, 2), figure(t.y_mm, 2), t.why) for t in review.thermocouples]
    return Rows(THERMOCOUPLES, cells)


def _cut(entries: Sequence[Entry], most: int, *, everything: bool) -> tuple[Sequence[Entry], str]:
    if everything or len(entries) <= most:
        return entries, ""
    return entries[:most], f"and {len(entries) - most} more; --all prints them"


def _neighbour(entry: Neighbour) -> tuple[str, ...]:
    part = entry.part
    return (
        entry.priority.upper() if entry.priority == "high" else entry.priority,
        part.ref + _below(part.footprint.side),
        figure(entry.gap_mm, 1),
        figure(entry.nozzle_gap_mm, 1),
        figure(entry.body_peak_c),
        figure(entry.joint_peak_c),
        doubted(part.limit_c),
        f"{figure(entry.margin_c)} ±{figure(entry.spread_c)}",
        chance(entry.probability_over),
        chance(entry.probability_joint_melts),
        ", ".join(entry.shield) or "none",
        short(part.limit_c.source),
        _why(entry),
    )


def _why(entry: Neighbour) -> str:
    under = ", low enough to pass under the wall" if entry.passes_under_wall else ""
    return f"{entry.why}; {direction(entry.direction_deg)} of the target{under}"


def _fit(fit: NozzleFit) -> tuple[str, ...]:
    named = [f"{blocker.ref} at {figure(blocker.gap_mm, 1)} mm" for blocker in fit.blockers[:MOST_BLOCKERS]]
    left = len(fit.blockers) - len(named)
    return (
        fit.nozzle.id,
        turn(fit.rotation_deg),
        "yes" if fit.fits else "NO",
        figure(fit.min_gap_mm, 1),
        ", ".join(named) + (f" and {left} more" if left else "") or "-",
        fit.why,
    )


def _joint(entry: JointMelt) -> tuple[str, ...]:
    return (
        entry.pad,
        spoken(entry.net) or "-",
        figure(entry.seconds_to_liquidus),
        within(entry.window),
        figure(entry.lift_c),
        chance(entry.probability_solid),
        "; ".join(entry.reasons) or "-",
        ", ".join(entry.remedies) or "-",
    )


def _pad(entry: PadRisk) -> tuple[str, ...]:
    return (
        entry.priority.upper() if entry.priority == "high" else entry.priority,
        entry.number,
        spoken(entry.net) or "-",
        figure(entry.area_mm2, 2),
        entry.defined_by,
        figure(entry.peak_c),
        chance(entry.probability_solid),
        figure(entry.capability_n, 2),
        figure(entry.demand_n, 2),
        chance(entry.lift_risk),
        entry.why,
    )


def _loose(entry: LoosePart) -> tuple[str, ...]:
    part, footprint = entry.part, entry.part.footprint
    polarity = pad_one(part)
    place = (
        f"x {figure(footprint.x_mm, 2)} y {figure(footprint.y_mm, 2)} mm, turned {turn(footprint.rotation_deg)} degrees"
    )
    return (
        part.ref + _below(footprint.side),
        entry.how,
        figure(entry.ratio, 2),
        chance(entry.probability),
        f"{footprint.value}, {footprint.library_id}, {place}" + (f", {polarity}" if polarity else ""),
    )


def _setting(value: float | None) -> str:
    return "off" if value is None else f"{value:g}"


def _below(side: str) -> str:
    return "" if side == "top" else " (bottom)"
