"""Tests of leeward.report.wording."""

from dataclasses import replace
from math import inf, nan

import pytest

from builders import footprint, pad, part
from leeward.known import Known
from leeward.report.wording import chance, counted, direction, doubted, figure, pad_one, short, turn


@pytest.mark.parametrize(
    ("degrees", "word"),
    [(0, "east"), (90, "north"), (-90, "south"), (180, "west"), (-179, "west"), (44, "north-east"), (359, "east")],
)
def test_directions_are_compass_points(degrees: float, word: str) -> None:
    """Angles counter-clockwise from the right become compass points with north up."""
    assert direction(degrees) == word


@pytest.mark.parametrize(("value", "text"), [(None, "-"), (nan, "-"), (inf, "-"), (-0.04, "0.0"), (1.26, "1.3")])
def test_figures(value: float | None, text: str) -> None:
    """What is unknown is a dash, and zero has no sign."""
    assert figure(value, 1) == text


def test_low_confidence_shows() -> None:
    """A question mark follows a value of low confidence, and no other."""
    assert doubted(Known(200.0, "a guess", "low")) == "200?"
    assert doubted(Known(200.0, "a table", "medium")) == "200"


@pytest.mark.parametrize(
    ("probability", "text"),
    [(0.0, "<1%"), (0.01, "1%"), (0.5, "50%"), (0.99, "99%"), (1.0, ">99%"), (None, "-"), (nan, "-")],
)
def test_chances_never_claim_the_ends(probability: float | None, text: str) -> None:
    """Neither 0 nor 100 percent is claimed."""
    assert chance(probability) == text


def test_sources_are_cut_short() -> None:
    """A source is cut at its first detail, and to its length with a mark."""
    assert short("house rule: three of four makers agree") == "house rule"
    assert short("J-STD-020D table 4-2 for 0.45 mm and 1 mm3", 20) == "J-STD-020D table 4-…"


def test_counts_and_turns() -> None:
    """One is not many, and a turn shows no empty decimals."""
    assert (counted(1, "part"), counted(2, "part"), turn(90.0), turn(-0.01)) == ("1 part", "2 parts", "90", "0")


def test_the_first_pad_is_found_as_it_is_drawn() -> None:
    """Pad 1 at smaller x lies west; of chips that go either way round nothing is said."""
    assert pad_one(part("U1")) == "pad 1 (LAMP) to the west"
    upright = replace(footprint("U1", 20, 20), pads=(pad("1", 20, 18, ""), pad("2", 20, 22)))  # y runs down
    assert pad_one(replace(part("U1"), footprint=upright)) == "pad 1 to the north"
    assert pad_one(part("R1", family="chip resistor")) is None
    nameless = replace(part("U1"), footprint=replace(footprint("U1", 0, 0), pads=()))
    assert pad_one(nameless) is None


@pytest.mark.parametrize(("family", "sign"), [("small diode", "cathode"), ("aluminium can capacitor", "plus")])
def test_pad_one_of_a_polarised_part_says_what_it_is(family: str, sign: str) -> None:
    """Of diodes and electrolytic capacitors with two lands the mark to look for is named, of others not."""
    assert pad_one(part("D1", family=family)) == f"pad 1 (LAMP) to the west, the {sign} in KiCad's library"
