"""Findings that someone has accepted."""

import datetime
from pathlib import Path

import pytest

from builders import finding
from leeward.errors import InputError
from leeward.survey.records import Waiver
from leeward.survey.waivers import matches, parse_waivers, read_waivers, waive

TODAY = datetime.date(2026, 3, 1)
RULE = "neighbour-over-limit"


def test_a_waiver_file_is_read() -> None:
    """Rule, parts, reason and last day come as they are written."""
    text = f"""
    [[waiver]]
    rule = "{RULE}"
    parts = ["U1", "C2"]
    reason = "C2 comes off in any case"
    until = 2026-12-31
    """
    (found,) = parse_waivers(text, "waivers.toml")
    assert found == Waiver(RULE, ("U1", "C2"), "C2 comes off in any case", datetime.date(2026, 12, 31))


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("[[waiver]]\nrule = 'neighbour-over-limit'\nparts = ['U1']", "waiver.1.reason"),
        ("[[waiver]]\nrule = 'neighbour-over-limit'\nparts = ['U1']\nreason = ' '", "waiver.1.reason"),
        ("[[waiver]]\nrule = 'neighbour-over-limit'\nparts = []\nreason = 'x'", "waiver.1.parts"),
        ("[[waiver]]\nrule = 'nobody-knows'\nparts = ['U1']\nreason = 'x'", "no rule nobody-knows"),
        ("[[waiver]]\nrule = 'wall-too-close'\nparts = ['U1']\nreason = 'x'\nwhy = 'y'", "unknown key waiver.1.why"),
        ("[[waiver]]\nrule = 'wall-too-close'\nparts = ['U1']\nreason = 'x'\nuntil = 'soon'", "waiver.1.until"),
        ("[[waiver", "not TOML"),
    ],
)
def test_a_waiver_without_what_it_needs_is_refused(text: str, says: str) -> None:
    """A missing or empty reason, no parts, an unknown rule or key, a bad date and bad TOML are named, with the file."""
    with pytest.raises(InputError, match=says) as told:
        parse_waivers(text, "waivers.toml")
    assert str(told.value).startswith("waivers.toml: ")


def test_a_file_that_is_not_there_is_an_input_error(tmp_path: Path) -> None:
    """A path without a file is told as one."""
    with pytest.raises(InputError, match="cannot read the waiver file"):
        read_waivers(f"{tmp_path}/none.toml")


def test_parts_match_in_any_order_by_reference_or_id() -> None:
    """The same parts match whichever way round and however they are named; fewer, more or others do not."""
    known = finding()  # of U1 and C2
    for names in ("U1 C2", "C2 U1", "id-C2 U1", "id-U1 id-C2"):
        assert matches(Waiver(RULE, tuple(names.split()), "x"), known)
    for names in ("U1", "U1 C2 C3", "U1 C3", "U1 U1"):
        assert not matches(Waiver(RULE, tuple(names.split()), "x"), known)
    assert not matches(Waiver("wall-too-close", ("U1", "C2"), "x"), known)


def test_what_is_waived_keeps_its_place_and_says_why() -> None:
    """A finding that is accepted stays in the list with the reason, and its waiver is not unused."""
    found, unused = waive([finding()], [Waiver(RULE, ("C2", "U1"), "known and watched")], TODAY)
    assert [each.waived for each in found] == ["known and watched"]
    assert unused == ()


def test_a_waiver_counts_to_the_end_of_its_last_day() -> None:
    """On the last day it still counts, on the next it is told as ended and the finding stands."""
    last = Waiver(RULE, ("U1", "C2"), "until the next revision", TODAY)
    assert waive([finding()], [last], TODAY)[0][0].waived == "until the next revision"
    found, unused = waive([finding()], [last], TODAY + datetime.timedelta(days=1))
    assert found[0].waived is None
    assert [entry.why for entry in unused] == ["it ended on 2026-03-01"]


def test_a_waiver_for_nothing_is_told() -> None:
    """A waiver whose finding is not there accepts nothing and says so."""
    _, unused = waive([finding()], [Waiver("wall-too-close", ("U1",), "x")], TODAY)
    assert [(entry.waiver.rule, entry.why) for entry in unused] == [("wall-too-close", "no such finding")]
