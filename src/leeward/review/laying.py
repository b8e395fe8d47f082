"""The steps that lay a shield plan: piece by piece, in order, in words that need no drawing."""

from leeward.parts.order import natural_key
from leeward.review.records import Case
from leeward.shields.records import Piece, Shape

VERBS: dict[Shape, str] = {
    "sheet": "Lay the sheet", "strip": "Lay the strip", "coat": "Put on the coat", "blanket": "Lay the blanket",
    "tent": "Stand up the tent", "lid": "Stand the lid", "fence": "Stand up the fence",
}  # fmt: skip
OVER: dict[Shape, str] = {"fence": "before"}
WHY: dict[Shape, str] = {
    "sheet": "it stops moving air and holds parts in place, little heat",
    "strip": "it stops moving air and holds parts in place, little heat",
    "coat": "its water takes out what comes through the board",
    "blanket": "fibre holds the heat off",
    "tent": "the air in it holds the heat off, not the film",
    "lid": "the air in it holds the heat off",
    "fence": "the wall jet is what heats them; it slows the target too",
}


def lay(case: Case) -> list[tuple[str, str]]:
    """Return one step for each piece of the plan, in laying order."""
    return [(_words(case, piece), WHY[piece.shape]) for piece in case.shields.pieces]


def _words(case: Case, piece: Piece) -> str:
    refs = sorted((case.parts.by_id[part_id].ref for part_id in piece.covers), key=natural_key)
    size = f"{piece.length_mm:.0f} x {piece.width_mm:.0f} mm {piece.material.id}"
    below = "" if piece.side == case.target.footprint.side else f" on the {piece.side}"
    where = f"{OVER.get(piece.shape, 'over')} {', '.join(refs)}"
    return f"{VERBS[piece.shape]} {piece.number} ({size}){below} {where}{_folded(piece)}."


def _folded(piece: Piece) -> str:
    if piece.wall_gap_mm is not None:
        return f"; {piece.wall_gap_mm:.1f} mm off the nozzle's wall, {piece.height_mm:g} mm tall"
    if not piece.dams.is_empty:
        return f"; fold its edge at the nozzle up by {piece.height_mm:g} mm"
    return ""
