"""The bake step of the work order."""

from dataclasses import replace

from builders import case, neighbour, part
from leeward.known import Known
from leeward.parts.records import FloorLife, Msl, Part
from leeward.review.drying import drying
from leeward.review.records import Neighbour


def of_level(ref: str, level: Msl | None, exceeded: FloorLife | None = None) -> Part:
    """Return a two-row package with a moisture level."""
    known = None if level is None else Known(level, "sheet", "high")
    return replace(part(ref), msl=known, floor_life=exceeded)


def at(ref_part: Part, peak_c: float | None) -> Neighbour:
    """Return a neighbour whose body reaches a peak."""
    return replace(neighbour(ref_part), body_peak_c=peak_c)


def step(target: Part, *near: Neighbour) -> str:
    """Return the bake step, "" for none."""
    steps = drying(case(target, tuple(entry.part for entry in near)), near)
    assert len(steps) <= 1
    return steps[0][0] if steps else ""


def test_known_levels_are_told_with_their_bake() -> None:
    """The target, if it is used again, and a neighbour over 200 C stand with level, floor life and hours."""
    text = step(of_level("U1", "3", "late"), at(of_level("U2", "2a", "short"), 231.0))
    assert text.startswith("Bake the board dry, 105 C for 8 h, for U1 (if it is to be used again): MSL 3")
    assert "floor life of 168 h exceeded by more than 72 h" in text
    assert "27 h at 125 C or 96 h at 90 C or 37 d at 40 C (J-STD-033 table 4-1" in text  # 1.5 mm tall
    assert "U2: MSL 2a, floor life of 4 weeks exceeded by up to 72 h, by itself 16 h at 125 C" in text
    assert "not known" not in text


def test_cool_neighbours_need_no_bake() -> None:
    """At 150 C, and where no body was solved, a neighbour is left out; at 195 C with a spread of 20 C it is in."""
    dry = of_level("U1", "1")
    assert step(dry, at(of_level("U2", "3"), 150.0), at(of_level("U3", "3"), None)) == ""
    assert "U2: MSL 3" in step(dry, at(of_level("U2", "3"), 195.0))


def test_unknown_levels_are_said_in_one_line() -> None:
    """Packages without a level are named as not known, with the house's bake."""
    text = step(of_level("U1", None), at(of_level("U2", None), 240.0))
    assert text == (
        "Moisture level not known of U1 (if it is to be used again), U2: find it out; unless they are within their "
        "floor life, bake the board dry, 105 C for 8 h."
    )


def test_known_and_unknown_stand_together() -> None:
    """A known level and an unknown one make one step."""
    text = step(of_level("U1", None), at(of_level("U2", "3"), 240.0))
    assert "for U2: MSL 3, floor life of 168 h exceeded for all that is known" in text
    assert text.endswith("Moisture level not known of U1 (if it is to be used again): find it out.")


def test_within_floor_life_nothing_is_baked() -> None:
    """Parts within their floor life may go to their rated temperature unbaked (J-STD-033 clause 6)."""
    assert step(of_level("U1", "3", "within"), at(of_level("U2", "5", "within"), 240.0)) == ""


def test_a_level_without_a_row_goes_by_its_label() -> None:
    """Level 6 is baked by its label."""
    assert "MSL 6, floor life of by its label" not in step(of_level("U1", "6"))
    assert "U1 (if it is to be used again): MSL 6, by its label" in step(of_level("U1", "6"))
