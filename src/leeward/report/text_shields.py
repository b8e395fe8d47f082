"""A shield plan as text: what it brings, the pieces in laying order, a decision for each neighbour, cautions."""

from collections.abc import Iterator, Sequence

from leeward.parts.order import natural_key
from leeward.report.bench_words import credited
from leeward.report.columns import Column, Rows, long, words
from leeward.report.screen import Block, Line, Title
from leeward.report.wording import chance, counted, figure, turn
from leeward.review.records import Case, Neighbour, Review
from leeward.review.thermocouples import coldest, coldest_of
from leeward.shields.effect import drying_out, gain_c
from leeward.shields.plan import plan_cautions
from leeward.shields.records import Piece

PIECES = (
    Column("No"),
    words("What"),
    words("Material"),
    words("Side"),
    Column("Length", "mm"),
    Column("Width", "mm"),
    Column("Turned", "deg"),
    Column("Tall", "mm"),
    Column("Brings", "C"),
    long("Covers"),
    long("How"),
)
EFFECTS = (
    words("Priority"),
    words("With plan"),
    words("Part"),
    Column("Body", "C"),
    Column("With plan", "C"),
    Column("Joint", "C"),
    Column("With plan", "C"),
    Column("Over", "P"),
    Column("With plan", "P"),
    words("Shield"),
    long("Why"),
)


def shields_text(review: Review) -> Iterator[Block]:
    """Yield the blocks of the text of `leeward shields`."""
    case = review.case
    count = counted(len(case.shields.pieces), "piece")
    yield Line(f"{case.target.ref}: {count} to lay. {_target(case)} {_need(review)}", style="bold")
    yield from pieces(case)
    yield from effects(review)
    said = (*plan_cautions(case.shields), *drying_out(case.shields, case.heat))
    if said:
        yield Title("Cautions")
        yield from (Line(text, mark="!") for text in said)


def shields_section(review: Review) -> Iterator[Block]:
    """Yield the blocks that stand for the plan in a review."""
    yield from pieces(review.case)
    yield Line(f"{_target(review.case)} {_need(review)}")
    yield from (Line(text, mark="-") for text in left_bare(review))


def pieces(case: Case) -> Iterator[Block]:
    """Yield the pieces of a plan in laying order."""
    yield Title("Shields, in laying order")
    if not case.shields.pieces:
        yield Line("none")
        return
    yield Rows(PIECES, [_piece(case, piece) for piece in case.shields.pieces])


def effects(review: Review) -> Iterator[Block]:
    """Yield what the plan does to every neighbour that it is about."""
    concerned = [entry for entry in review.neighbours if entry.shield != ("none",)]
    yield Title("Neighbours, without the plan and with it")
    if not concerned:
        yield Line("none needs a shield")
        return
    yield Rows(EFFECTS, [_effect(entry) for entry in concerned])
    yield Line(_credit(review.case))


def left_bare(review: Review) -> list[str]:
    """Return who is left without what it needs, by the reason, worst first."""
    by_why: dict[str, list[str]] = {}
    for entry in review.neighbours:
        if "cannot" in entry.shield:
            _, _, why = entry.shield_why.partition("; ")
            by_why.setdefault(why or entry.shield_why, []).append(entry.part.ref)
    return [f"{', '.join(sorted(refs, key=natural_key))}: {why}" for why, refs in by_why.items()]


def _target(case: Case) -> str:
    """Return what the plan does to the target's last joint."""
    bare, worked = coldest_of(case.bare, case.target.id), coldest(case)
    before, after = (_melts(joint.seconds_to_liquidus) for joint in (bare, worked))
    if not case.shields.pieces:
        return f"The last joint, pad {worked.joint.pad}, {after}."
    return f"The last joint, pad {worked.joint.pad}, {after} with the plan on ({before} without)."


def _melts(seconds: float | None) -> str:
    return "does NOT melt" if seconds is None else f"melts {figure(seconds)} s into reflow"


def _need(review: Review) -> str:
    bare = sum(entry.priority == "high" for entry in review.neighbours)
    left = sum(entry.priority_shielded == "high" for entry in review.neighbours)
    return (
        f"{counted(bare, 'neighbour')} at high risk without it, {left} with it, each shield credited "
        f"{credited(review.case)}."
    )


def _credit(case: Case) -> str:
    return f"Temperatures with the plan are as computed; chances and priorities credit a shield {credited(case)}."


def _piece(case: Case, piece: Piece) -> tuple[str, ...]:
    refs = sorted((case.parts.by_id[part_id].ref for part_id in piece.covers), key=natural_key)
    layers = "" if piece.layers == 1 else f", {piece.layers} layers"
    return (
        str(piece.number),
        piece.shape,
        f"{piece.material.id}{layers}",
        piece.side,
        figure(piece.length_mm, 1),
        figure(piece.width_mm, 1),
        turn(piece.angle_deg),
        figure(piece.height_mm, 1) if piece.height_mm else "-",
        "-" if piece.kind == "air-mask" else figure(gain_c(piece, case.bare, case.heat)),
        ", ".join(refs),
        "; ".join(_how(piece)),
    )


def _how(piece: Piece) -> Sequence[str]:
    said = [piece.why]
    if piece.wall_gap_mm is not None:
        said.append(f"{figure(piece.wall_gap_mm, 1)} mm off the nozzle's wall")
    if not piece.dams.is_empty:
        said.append("edge at the nozzle folded up")
    if piece.over:
        said.append(f"laps over {', '.join(str(other) for other in piece.over)}")
    return said


def _effect(entry: Neighbour) -> tuple[str, ...]:
    return (
        entry.priority.upper() if entry.priority == "high" else entry.priority,
        entry.priority_shielded.upper() if entry.priority_shielded == "high" else entry.priority_shielded,
        entry.part.ref + ("" if entry.part.footprint.side == "top" else " (bottom)"),
        figure(entry.body_peak_c),
        figure(entry.shielded.body_c),
        figure(entry.joint_peak_c),
        figure(entry.shielded.joint_c),
        chance(entry.probability_over),
        chance(entry.probability_over_shielded),
        ", ".join(entry.shield),
        entry.shield_why,
    )
