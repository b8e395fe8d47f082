"""Tests of leeward.report.text_review and the lists in it."""

from dataclasses import replace

import pytest

from builders import case, finding, heat, neighbour, part, review, sequence
from leeward.job import WorkSequence
from leeward.report.screen import screen
from leeward.report.text_lists import MOST_NEIGHBOURS
from leeward.report.text_review import review_text, verdict
from leeward.review.records import Review


def text_of(*reviews: Review, everything: bool = False, order: WorkSequence | None = None) -> str:
    """Return reviews as plain text."""
    return screen("report.txt").text(review_text(reviews, order or sequence(*reviews), (), everything=everything))


def test_the_verdict_stands_first_with_its_figures() -> None:
    """Nozzle and gap, the last joint with its spread, the target's top against its limit, the neighbours."""
    first = " ".join(text_of(review()).split("\n\n")[0].split())
    assert first == (
        "U1 (two-row gull-wing, top): nozzle quad-9x9 fits, its wall 1.2 mm from the nearest body it could touch; "
        "the last joint, pad 1, melts 47 s into reflow (likely 37 to 63 s); its top peaks at 241 C of 245 C allowed "
        "(over the limit: 20%); of 3 neighbours in the heat 3 at high risk and 0 at medium."
    )


def test_a_joint_that_stays_solid_is_said_aloud() -> None:
    """The verdict says that the joints do not all melt, and no time."""
    solved = case()
    told = verdict(review(replace(solved, heat=heat(solved.target, seconds_to_liquidus=None))))
    assert "the joints do NOT all melt: pad 1 stays at 228 C of 217 C" in told
    assert "into reflow" not in told


def test_a_nozzle_that_does_not_fit_is_said_aloud() -> None:
    """The verdict names the nozzle and the reason, after the hand tool that serves better."""
    solved = case()
    blocked = replace(solved, loads=replace(solved.loads, fit=solved.fits[1]))
    told = verdict(replace(review(blocked), hand_tool="use hand tool: tweezers"))
    assert "U1 (two-row gull-wing, top): use hand tool: tweezers; nozzle quad-9x9 does not fit: walls meet C2" in told


@pytest.mark.parametrize(
    "heading",
    ["Setup", "Neighbours, by shielding need", "Nozzles, by clearance", "Joints, the last to melt first",
     "Lands, by risk of lifting", "The lift", "Parts that may move", "The other side", "Findings", "Work order",
     "After the lift", "Thermocouples", "Cautions", "What the figures are worth",
     "Not assessed (1)"],
)  # fmt: skip
def test_every_section_is_there(heading: str) -> None:
    """Each section of a review stands under its heading."""
    assert heading in text_of(review()).splitlines()


def test_a_neighbour_shows_distance_limit_and_source() -> None:
    """A row gives gaps beside temperatures, the limit with its doubt and its source, and which way the part lies."""
    row = next(line for line in text_of(review()).splitlines() if line.startswith("HIGH") and " C2 " in line)
    for word in (
        "1.2",
        "0.4",
        "231",
        "245?",
        "14 ±20",
        "25%",
        "air-mask, barrier",
        "invented table",
        "east of the target",
    ):
        assert word in row


def test_a_part_on_the_other_side_says_so() -> None:
    """Parts on the bottom are marked in words."""
    assert "D3 (bottom)" in text_of(review())


def many(count: int, high: int) -> Review:
    """Return a review with so many neighbours, the first of them at high risk."""
    judged = review()
    found = tuple(neighbour(part(f"R{i}"), "high" if i < high else "low") for i in range(count))
    return replace(judged, neighbours=found)


def test_long_lists_are_cut_and_say_so() -> None:
    """Of 20 neighbours 12 are shown and 8 counted; --all shows every one."""
    cut, whole = text_of(many(20, 1)), text_of(many(20, 1), everything=True)
    assert "and 8 more; --all prints them" in cut
    assert sum(line.startswith(("HIGH  ", "low  ")) and "  R" in line for line in cut.splitlines()) == MOST_NEIGHBOURS
    assert sum(line.startswith(("HIGH  ", "low  ")) and "  R" in line for line in whole.splitlines()) == 20
    assert "--all" not in whole


def test_high_risks_are_never_cut() -> None:
    """All of 15 neighbours at high risk are shown, more than the list otherwise holds."""
    assert sum(line.startswith("HIGH  ") and "  R" in line for line in text_of(many(20, 15)).splitlines()) == 15


def test_a_finding_carries_rule_evidence_remedy_and_source() -> None:
    """A finding says what, how sure, by which numbers, what to do, and whether it is waived."""
    told = " ".join(text_of(review(findings=(finding(waived="checked by eye"),))).split())
    assert (
        "HIGH neighbour-over-limit (U1, C2): part lost, likely; probability 0.251, gap_mm 1.23, peak_c 231. "
        "Why: it stands in the air. Remedy: put a heat barrier over it. Source: invented table [waived: checked by eye]"
    ) in told


def test_energy_and_validity_are_told() -> None:
    """The heat balance stands in percent beside what the air carried, with the range of the correlations."""
    told = " ".join(text_of(review()).split())
    assert (
        "1000 J supplied, 200 J stored, 799 J lost, imbalance 0.10 %; 700 J taken from the air, which carried 8000 J"
        in told
    )
    assert "slots: within the range of the correlation" in told
    assert "good to 20 C (one standard deviation)" in told
    solved = case()
    cooled = replace(solved.heat, energy=replace(solved.heat.energy, taken_from_air_j=-119.4))
    assert "119 J given to the air" in " ".join(text_of(review(replace(solved, heat=cooled))).split())


def test_several_targets_begin_with_their_order() -> None:
    """With more than one target the order to work in comes first, with what must come off before what."""
    first, second = review(case(part("U1"))), review(case(part("U2")))
    order = WorkSequence(("id-U2", "id-U1"), (("id-U2", "id-U1"),), (("id-U1", "id-U2"),), ("its can stands over U1",))
    lines = text_of(first, second, order=order).splitlines()
    assert lines[:3] == [
        "Work in this order: U2, U1",
        "- U2 comes off before U1: its can stands over U1",
        "- no order satisfies U1, U2: each wants another off first",
    ]


def test_the_stages_show_what_is_off() -> None:
    """A stage without air says off, and times are as they ran."""
    row = next(line for line in text_of(review()).splitlines() if line.startswith("soak"))
    assert row.split()[:4] == ["soak", "60", "off", "off"]


def test_nothing_in_the_heat_is_said_in_words() -> None:
    """A review without neighbours and findings says none instead of showing empty tables."""
    bare = replace(review(findings=()), neighbours=(), loose=())
    told = text_of(bare)
    assert "none in the heat" in told
    assert "Findings\nnone" in told
    assert "Parts that may move" not in told


def told(judged: Review) -> str:
    """Return the whole text with line breaks as spaces."""
    return " ".join(text_of(judged, everything=True).split())


def test_the_last_joint_is_told_with_reason_and_remedy() -> None:
    """A row gives the melt with its window, the chance that the joint is solid, why it lags and what helps."""
    row = next(line for line in text_of(review()).splitlines() if "LAMP         47    37 to 63 " in line)
    for word in ("1", "LAMP", "47", "227", "2%", "tied", "soak"):
        assert word in row
    assert "likely: two times in three" in told(review())


def test_lands_say_what_the_laminate_is_and_what_was_counted() -> None:
    """Under the lands stand the glass transition with its source, and the earlier reworks."""
    text = told(review())
    assert "glass transition 140? C (not known: 140 C is assumed); 1 earlier rework of the site counted" in text
    assert "held by a trace" in text


def test_a_lift_that_no_cup_protects_is_said_plainly() -> None:
    """Force of the lift, force that is allowed before, and the weakest land; in newtons and in grams."""
    text = told(review())
    assert "it takes 0.32 N (33 g) to lift it with reserve" in text
    limit = "Before melt is confirmed no more than 0.09 N (9.2 g), what pad 2 bears without its anchors"
    assert f"{limit}: no cup force protects the lands, confirm melt first." in text
    judged = review()
    safe = told(replace(judged, lift=replace(judged.lift, allowed_n=0.5)))
    assert f"{limit.replace('0.09 N (9.2 g)', '0.5 N (51 g)')}." in safe


def test_cup_and_tweezers_are_told_or_why_not() -> None:
    """The cup with its vacuum and the room on the top; tweezers with their way in; else the reason."""
    text = told(review())
    assert "Cup cup-5 (5 mm) at 27 kPa of vacuum; its top has room for 12.0 mm, the least is 4.8 mm." in text
    assert "Tweezers: from north and south, 42 degrees over the board or more to pass C2." in text
    judged = review()
    bare = told(replace(judged, lift=replace(judged.lift, cup=None, why_no_cup="its top is a lid", tweezers=None)))
    assert "No cup: its top is a lid." in bare
    assert "Tweezers: no room for jaws on either pair of sides." in bare
    way = judged.lift.tweezers
    assert way is not None
    free = told(replace(judged, lift=replace(judged.lift, tweezers=replace(way, access_deg=0.0, past=()))))
    assert "Tweezers: from north and south, nothing stands in the way." in free


def test_the_other_side_is_told() -> None:
    """What is under the target, what shares vias, where pins may stand, what stands out towards the heater."""
    text = told(review())
    assert "Under the target: C10." in text
    assert "Vias shared, heat goes straight through: pad 1 with C10." in text
    assert "Free for support pins: x 10 y 10, x 30 y 10, x 20 y 35 mm." in text
    assert "Stands out towards the board heater: 1.5 mm (C10); the bench does not say what room it has." in text


def test_a_full_or_bare_other_side_is_told() -> None:
    """No place for pins, grids under a grid, nothing below: each has its words."""
    judged = review()
    other = judged.opposite
    full = told(replace(judged, opposite=replace(other, supports=(), steady=False, mirrored_grids=other.under)))
    assert "Free for support pins: nowhere; the target does not lie between them: hold the board by its edges." in full
    assert "Ball grid under ball grid: C10." in full
    bare = told(replace(judged, opposite=replace(other, under=(), tallest=None, tallest_mm=0.0, heater_room_mm=8.0)))
    assert "Under the target: nothing." in bare
    assert "Stands out towards the board heater: nothing." in bare


def test_what_follows_the_lift_is_told() -> None:
    """Lands to look at first, each point with its document, and the next part's cautions."""
    text = told(review())
    assert "Look first at lands 2, 1." in text
    assert "Outer lower edge: lifted by more than one land thickness: a defect (IPC-A-610G)." in text
    assert "- The same alloy." in text


def test_a_lands_row_tells_what_it_bears_and_then_what_it_meets() -> None:
    """Under "Bears" stands what the land holds, 1.50 N, under "Meets" the pull on it, 0.50 N."""
    lines = text_of(review()).splitlines()
    head = next(line for line in lines if "Bears [N]" in line)
    row = next(line for line in lines if "held by a trace" in line)
    for heading, figure in (("Bears [N]", "1.50"), ("Meets [N]", "0.50")):
        end = head.index(heading) + len(heading)
        assert row[:end].endswith(f" {figure}")


def test_what_stands_in_a_nozzles_way_is_named_and_counted() -> None:
    """Of six blockers four are named with their gaps, and two are counted."""
    solved = case()
    good, bad = solved.fits
    blockers = tuple(replace(bad.blockers[0], ref=f"C{i}", gap_mm=0.1 * i) for i in range(1, 7))
    text = told(review(replace(solved, fits=(good, replace(bad, blockers=blockers)))))
    assert "C1 at 0.1 mm, C2 at 0.2 mm, C3 at 0.3 mm, C4 at 0.4 mm and 2 more" in text
