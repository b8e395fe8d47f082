"""The steps that lay a shield plan: one for each kind of piece, by the numbers of the list and the drawing."""

from collections.abc import Sequence

from leeward.parts.order import natural_key
from leeward.review.records import Case
from leeward.shields.records import Piece, ShieldKind

KINDS: tuple[tuple[ShieldKind, str, str], ...] = (
    ("air-mask", "Lay tape, {numbers}, over", "it stops moving air and holds parts in place, little heat"),
    ("wet-sink", "Put on gel, {numbers}, over", "its water takes out what comes through the board"),
    ("barrier", "Put heat barriers, {numbers}, over", "fibre or still air holds the heat off, not a film"),
    ("fence", "Stand up the fence, {numbers},", "the wall jet is what heats them; it slows the target too"),
)


def lay(case: Case) -> list[tuple[str, str]]:
    """Return one step for each kind of piece in the plan, in laying order."""
    return [
        (f"{do.format(numbers=_named(some))} {_whom(case, kind, some)}.{_edges(some)}", why)
        for kind, do, why in KINDS
        if (some := [piece for piece in case.shields.pieces if piece.kind == kind])
    ]


def _whom(case: Case, kind: ShieldKind, pieces: Sequence[Piece]) -> str:
    refs = sorted({case.parts.by_id[i].ref for piece in pieces for i in piece.covers}, key=natural_key)
    if kind != "fence":
        return ", ".join(refs)
    gap = min(piece.wall_gap_mm or 0.0 for piece in pieces)
    return f"{gap:.1f} mm off the nozzle's wall, before {', '.join(refs)}"


def _edges(pieces: Sequence[Piece]) -> str:
    folded = [piece for piece in pieces if not piece.dams.is_empty]
    return f" Fold up the edge at the nozzle of {_numbers(folded)}." if folded else ""


def _named(pieces: Sequence[Piece]) -> str:
    return f"{'piece' if len(pieces) == 1 else 'pieces'} {_numbers(pieces)}"


def _numbers(pieces: Sequence[Piece]) -> str:
    """Return numbers with runs drawn together: "1 to 4, 7"."""
    runs: list[list[int]] = []
    for number in sorted(piece.number for piece in pieces):
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    return ", ".join(str(run[0]) if len(run) == 1 else f"{run[0]} to {run[-1]}" for run in runs)
