"""Read a board and what its parts are, as every command does."""

from collections.abc import Sequence

from leeward.board.read import read
from leeward.board.records import Board
from leeward.cli.models import with_models
from leeward.parts.identify import identify
from leeward.parts.overrides import NONE, Overrides, read_overrides
from leeward.parts.records import Alloy, Parts


def overrides_of(parts_file: str | None) -> Overrides:
    """Return what a parts file says, nothing without one. Raises InputError."""
    return NONE if parts_file is None else read_overrides(parts_file)


def board_and_parts(file: str, overrides: Overrides, models: Sequence[str], alloy: Alloy) -> tuple[Board, Parts]:
    """Return a board, with what is amiss with its 3D models among its notes, and its parts. Raises InputError."""
    board, tops = with_models(read(file), models)
    return board, identify(board, overrides, alloy, tops)
