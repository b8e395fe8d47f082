"""What the board tests share."""

from collections.abc import Callable
from pathlib import Path

import pytest

from leeward.board.read import read
from leeward.board.records import Board

Reader = Callable[[str], Board]


@pytest.fixture
def read_text(tmp_path: Path) -> Reader:
    """Return a function that reads a board from its text."""

    def from_text(text: str) -> Board:
        path = tmp_path / "made.kicad_pcb"
        path.write_text(text, encoding="utf-8", newline="")
        return read(str(path))

    return from_text
