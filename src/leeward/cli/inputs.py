"""Read a board and what its parts are, as every command does."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import PurePath

from leeward.board.read import read
from leeward.board.records import Board
from leeward.cli.models import with_models
from leeward.parts.identify import identify
from leeward.parts.overrides import NONE, Overrides, idle_lines, read_overrides
from leeward.parts.records import Alloy, Parts

MOST_LINES = 6  # that a note names


def overrides_of(parts_file: str | None) -> Overrides:
    """Return what a parts file says, nothing without one. Raises InputError."""
    return NONE if parts_file is None else read_overrides(parts_file)


def board_and_parts(file: str, overrides: Overrides, models: Sequence[str], alloy: Alloy) -> tuple[Board, Parts]:
    """Return a board and its parts. Raises InputError.

    What is amiss with its 3D models, and entries of the parts file that are about none of its parts, are in its notes.
    """
    board, tops = with_models(read(file), models)
    parts = identify(board, overrides, alloy, tops)
    return replace(board, notes=(*board.notes, *_idle(overrides, board))), parts


def _idle(overrides: Overrides, board: Board) -> tuple[str, ...]:
    """Return a note on the entries of the parts file that fit no part here: one file may serve many boards."""
    lines = idle_lines(overrides, board)
    if not lines:
        return ()
    first = ", ".join(str(line) for line in lines[:MOST_LINES] if line is not None)
    where = f" (from line {first}{', ...' if len(lines) > MOST_LINES else ''})" if first else ""
    fit = "entry fits" if len(lines) == 1 else "entries fit"
    return (f"{len(lines)} {fit} no part of this board in the parts file {PurePath(overrides.file).name}{where}",)
