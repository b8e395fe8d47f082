"""Names as the file writes them, and as people read them."""

import pytest

from leeward.board.names import spoken


@pytest.mark.parametrize(
    ("written", "read"),
    [
        ("CLK{slash}2", "CLK/2"),
        ("/sheet/A{lt}0..3{gt}", "/sheet/A<0..3>"),
        ("{brace}x{brace}", "{x{"),
        ("a{unheard}b", "a{unheard}b"),
        ("", ""),
    ],
)
def test_net_names_are_told_as_kicad_shows_them(written: str, read: str) -> None:
    """Signs that KiCad spells out in its files are put back, whatever else stands in braces is left."""
    assert spoken(written) == read
