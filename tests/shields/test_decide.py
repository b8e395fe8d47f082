"""What a neighbour needs, by what hurts it."""

from dataclasses import replace

import pytest

from leeward.bench.records import FORMS
from leeward.parts.records import Part
from leeward.shields.decide import Need, has_hidden_joints, need
from leeward.shields.exposed import Exposed
from thermal_boards import chip, footprint, land, part, square

ALL = frozenset(FORMS)
CREDIT_C = 20.0


def heated(entry: Part, **figures: float) -> Exposed:
    """Return a part in the heat: cool and by air, but for the figures given."""
    plain = {"body_peak_c": 150.0, "joint_peak_c": 150.0, "spread_c": 20.0, "joint_spread_c": 20.0, "over": 0.0,
             "joint_over": 0.0, "melts": 0.0, "by_air": 1.0}  # fmt: skip
    return Exposed(part=entry, **{**plain, **figures})


def asked(entry: Exposed, forms: frozenset[str] = ALL) -> Need:
    """Return what a part needs when the top is worked on."""
    return need(entry, "top", forms, CREDIT_C)  # type: ignore[arg-type]  # forms by their names


def body(style: str = "gull-wing", **made: object) -> Part:
    """Return a part with six lands."""
    lands = tuple(land(str(i), square(i, 0, 0.5)) for i in range(6))
    return part(footprint("U2", lands, square(0, 0, 5)), square(0, 0, 5), style=style, **made)  # type: ignore[arg-type]  # passed on


def test_a_cool_part_needs_nothing() -> None:
    """Within its limits nothing is asked for."""
    found = asked(heated(body()))
    assert (found.hold, found.against, found.take_off) == (False, "nothing", False)


def test_what_must_be_kept_cold_comes_off() -> None:
    """A part of class E is taken off, whatever its temperature."""
    assert asked(heated(body(fragile="E"))).take_off


@pytest.mark.parametrize("melts", [0.051, 0.5, 1.0])
def test_small_chips_are_held_whatever_blows(melts: float) -> None:
    """A chip of 0603 whose joints may melt, P over 5 %, is held by tape: heat by air or by copper, top or bottom."""
    for entry in (chip("C1", 0, 0), chip("C1", 0, 0, bottom=True)):
        for by_air in (0.0, 1.0):
            assert asked(heated(entry, melts=melts, by_air=by_air)).hold


def test_chips_whose_joints_stay_solid_are_left_alone() -> None:
    """At 4 % nothing is held."""
    assert not asked(heated(chip("C1", 0, 0), melts=0.04)).hold


def test_larger_parts_are_not_held() -> None:
    """Tape holds small chips; a small-outline part of 5 mm stays by its many joints."""
    assert not asked(heated(body(), melts=0.9)).hold


def test_hot_air_is_held_off_a_body_over_its_limit() -> None:
    """A body that may pass its limit by air gets a piece of its own."""
    found = asked(heated(body(), over=0.1, body_peak_c=240.0))
    assert (found.against, found.must) == ("air", True)
    assert "body at 240 C of 260 C" in found.why


def test_open_joints_get_a_piece_when_likely_hidden_ones_when_possible() -> None:
    """Open joints that melt with 10 % are no reason for a piece, with 20 % they are; hidden ones at 5 % already."""
    assert not asked(heated(body(), melts=0.1)).must
    assert asked(heated(body(), melts=0.2)).must
    hidden = body("ball-grid")
    assert has_hidden_joints(hidden)
    assert asked(heated(hidden, melts=0.06)).must


def test_molten_joints_of_a_held_chip_need_no_piece_against_heat() -> None:
    """Tape keeps it in place while they set again; its body over the limit is another matter."""
    assert not asked(heated(chip("C1", 0, 0), melts=0.9)).must
    assert asked(heated(chip("C1", 0, 0), melts=0.9, over=0.1)).must


@pytest.mark.parametrize("entry", [heated(body(), over=0.1, by_air=0.2), heated(replace(body(), footprint=replace(
    body().footprint, side="bottom")), over=0.1)])  # fmt: skip
def test_heat_through_copper_is_said_and_other_means_offered(entry: Exposed) -> None:
    """With little air, or from the other side, no cover is asked for: heater, time or taking off are named."""
    found = asked(entry)
    assert found.against == "copper"
    for words in ("through the board", "no cover stops that", "board heater", "shorter time", "taking it off first"):
        assert words in found.why


def test_gel_takes_heat_out_where_there_is_any_and_it_may_lie() -> None:
    """A body heated through copper may be wet, if gel is at hand, the part is sealed, and it is on the worked side."""
    entry = heated(body(), over=0.1, by_air=0.1)
    assert asked(entry).sink
    assert not asked(entry, frozenset({"tape", "foil"})).sink
    assert not asked(heated(body("connector"), over=0.1, by_air=0.1)).sink
    assert not asked(heated(body(hazards=("port",)), over=0.1, by_air=0.1)).sink


def test_what_no_credit_saves_comes_off_first() -> None:
    """A body 40 C over its limit is lost with 20 C of credit too; one 10 C over it is not."""
    assert asked(heated(body(limit_c=200.0), over=0.98, body_peak_c=240.0)).take_off
    assert not asked(heated(body(limit_c=200.0), over=0.69, body_peak_c=210.0)).take_off


def test_a_part_to_be_kept_cold_that_copper_heats_comes_off() -> None:
    """Class D with its heat through the board and likely over its limit: no cover helps, so it is taken off."""
    entry = heated(body(fragile="D", limit_c=160.0), over=0.3, body_peak_c=150.0, by_air=0.0)
    assert asked(entry).take_off


def test_few_joints_under_a_body_are_not_hidden() -> None:
    """From five joints on nobody sees whether each has set again; of four one can."""
    whole = body("bottom-terminated")
    for count, hidden in ((6, True), (5, True), (4, False)):
        few = replace(whole, footprint=replace(whole.footprint, pads=whole.footprint.pads[:count]))
        assert has_hidden_joints(few) == hidden


def test_heat_through_the_board_is_told_by_its_share() -> None:
    """With a fifth of its heat by air four fifths come through the board, and nothing over the part stops that."""
    found = asked(heated(body(), over=0.3, body_peak_c=250.0, by_air=0.2))
    assert found.against == "copper"
    assert "80% of the heat comes through the board, and no cover stops that" in found.why
