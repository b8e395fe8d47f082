"""Distances that somebody asks for."""

import pytest

from leeward.survey.spacing import Profile, SpacingRow, asked_mm, profiles, too_close
from spaced_boards import socket
from thermal_boards import chip, quad


def test_every_profile_names_its_source() -> None:
    """Each profile has a title, a source and a confidence, and the first, the default, asks for no distance."""
    first, *others = profiles().values()
    assert first.name == "physics"
    assert first.rows == ()
    assert len(others) >= 5
    for profile in others:
        assert profile.rows
        assert len(profile.source) > 20
        assert profile.confidence in ("high", "medium", "low")


def test_the_profiles_disagree_as_their_sources_do() -> None:
    """Round a ball grid the published distances run from 1.0 mm (assembly alone) to 5.0 mm (an assembler's rework)."""
    asked = {
        row.least_mm
        for profile in profiles().values()
        for row in profile.rows
        if row.of == ("ball-grid",) and row.least_mm is not None
    }
    assert {1.0, 2.0, 3.0, 3.125, 3.8, 5.0} == asked


def test_a_connector_asks_for_its_own_height() -> None:
    """By the assembler's rules a connector of 4 mm asks 4 mm of a quad, which asks nothing of it."""
    rules = profiles()["assembler"]
    tall, other = socket("J1", 0, 0), quad("U1", 20, 0, 10.0)
    assert asked_mm(rules, tall, other) == pytest.approx(4.0)
    assert asked_mm(rules, other, tall) == 0.0


def test_a_special_row_goes_before_the_general_one() -> None:
    """Chips longer than 1.3 mm keep the general 0.25 mm, a connector beside them its own 0.5 mm."""
    rules = profiles()["assembly-only"]
    assert asked_mm(rules, chip("C1", 0, 0), chip("C2", 5, 0)) == pytest.approx(0.25)
    assert asked_mm(rules, socket("J1", 0, 0), chip("C1", 9, 0)) == pytest.approx(0.5)


def test_pairs_that_lack_most_come_first() -> None:
    """Three quads in a row, gaps of 2.4 and 1.0 mm where 2.5 mm is asked: both pairs are told, the worse first."""
    row = [quad("U1", 0, 0, 10.0), quad("U2", 14.4, 0, 10.0), quad("U3", 27.4, 0, 10.0)]
    found = too_close(profiles()["assembler"], row)
    assert [(entry.part.ref, entry.other.ref) for entry in found] == [("U2", "U3"), ("U1", "U2")]
    assert [entry.gap_mm for entry in found] == pytest.approx([1.0, 2.4])
    assert {entry.asked_mm for entry in found} == {2.5}


def test_what_stands_far_enough_or_on_the_other_side_is_left_alone() -> None:
    """A gap as wide as asked is no fault, nor is a part under the board."""
    apart = [quad("U1", 0, 0, 10.0), quad("U2", 14.5, 0, 10.0)]
    assert too_close(profiles()["assembler"], apart) == ()
    assert too_close(profiles()["assembler"], [chip("C1", 0, 0), chip("C2", 0, 0, bottom=True)]) == ()
    assert too_close(profiles()["physics"], [chip("C1", 0, 0), chip("C2", 0.5, 0)]) == ()


def test_a_special_row_may_ask_for_less_than_the_general_one() -> None:
    """Where any part keeps 1 mm from any other and chips 0.3 mm from chips, two chips are asked for 0.3 mm."""
    general = SpacingRow(("any",), ("any",), 1.0, None)
    special = SpacingRow(("end-cap",), ("end-cap",), 0.3, None)
    rules = Profile("drawn", "drawn for this test", "none", "low", (general, special))
    assert asked_mm(rules, chip("C1", 0, 0), chip("C2", 5, 0)) == 0.3
    assert asked_mm(rules, chip("C1", 0, 0), quad("U1", 20, 0, 10.0)) == 1.0
