"""The 3D models that the command line points to."""

import os
from collections.abc import Sequence
from dataclasses import replace

from leeward.board.records import Board
from leeward.parts.models import ModelTops, model_folders, read_models


def with_models(board: Board, given: Sequence[str]) -> tuple[Board, ModelTops]:
    """Return the board with what is amiss with its 3D models among its notes, and how tall the models stand.

    Looked for in the given folders and in those of the environment's KICAD6_3DMODEL_DIR and the like.
    """
    tops = read_models(board, model_folders(given, os.environ))
    return replace(board, notes=(*board.notes, *tops.notes)), tops
