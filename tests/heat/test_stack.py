"""The board's thickness as sheets."""

import pytest

from leeward.heat.stack import slice_stack
from thermal_boards import stackup


def test_thick_dielectrics_are_cut() -> None:
    """A two-layer 1.5 mm board gets sheets between its copper layers, none more than 0.6 mm apart."""
    stack = slice_stack(stackup(1.5), 0.6)
    assert [sheet.layer for sheet in stack.sheets] == ["F.Cu", None, None, "B.Cu"]
    assert stack.gaps_mm == pytest.approx((0.5, 0.5, 0.5))


def test_all_laminate_is_shared_out() -> None:
    """The sheets' shares of dielectric add up to the board's, and copper stays on its own sheet."""
    stack = slice_stack(stackup(1.53, layers=4), 0.3)
    assert sum(sheet.laminate_mm for sheet in stack.sheets) == pytest.approx(1.53)
    assert [sheet.copper_mm for sheet in stack.sheets if sheet.layer] == [0.035] * 4
    assert stack.sheets[stack.index_of("In1.Cu")].layer == "In1.Cu"
