"""What of the bench's shield materials is at hand."""

import pytest

from leeward.bench.at_hand import AtHand, with_at_hand
from leeward.bench.read import read_bench
from leeward.errors import UsageError

BENCH = read_bench()


def test_all_is_at_hand_unless_something_is_said() -> None:
    """Saying nothing leaves the bench as it is."""
    assert with_at_hand(BENCH, AtHand()) == BENCH


def test_forms_and_materials_narrow_it() -> None:
    """Forms and names keep what is of one of them; both together what is of both; no form at all keeps nothing."""
    assert {each.form for each in with_at_hand(BENCH, AtHand(frozenset({"tape", "gel"}))).shields} == {"tape", "gel"}
    assert [each.id for each in with_at_hand(BENCH, AtHand(materials=("ceramic-fibre",))).shields] == ["ceramic-fibre"]
    both = AtHand(frozenset({"tape"}), ("ceramic-fibre", "polyimide-tape"))
    assert [each.id for each in with_at_hand(BENCH, both).shields] == ["polyimide-tape"]
    assert with_at_hand(BENCH, AtHand(frozenset())).shields == ()


def test_roll_widths_are_those_of_tape() -> None:
    """Widths that are named replace the rolls', in rising order; foil and fibre keep theirs."""
    found = with_at_hand(BENCH, AtHand(roll_widths_mm=(25.0, 9.0)))
    assert [each.widths_mm for each in found.shields if each.form == "tape"] == [(9.0, 25.0)]
    others = [each for each in BENCH.shields if each.form != "tape"]
    assert [each for each in found.shields if each.form != "tape"] == others


def test_a_material_that_is_not_there_is_refused() -> None:
    """The error lists what the bench has."""
    with pytest.raises(UsageError, match="no shield material lead; name one of aluminium-foil, ceramic-fibre"):
        with_at_hand(BENCH, AtHand(materials=("lead",)))
