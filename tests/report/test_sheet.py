"""The job sheet as records."""

from dataclasses import replace

from builders import board, case, heat, part, review, sequence
from leeward.job import WorkSequence
from leeward.report.sheet import TargetSheet, job_sheet, target_sheet
from leeward.review.records import Review


def sheet(judged: Review | None = None) -> TargetSheet:
    """Return the sheet of an invented review."""
    return target_sheet(judged or review(), (), "job1")


def test_the_few_numbers_are_those_of_the_review() -> None:
    """Nozzle, last joint, top, neighbours at risk and weakest land stand first, with what they compare to."""
    facts = {fact.name: (fact.value, fact.remark) for fact in sheet().facts}
    assert facts["Nozzle"][1] == "1.2 mm to the nearest body"
    assert facts["Last joint melts"] == ("47 s", "into reflow (likely 37 to 63), pad 1")
    assert facts["Reflow"] == ("air 350 C", "8 l/min, board heater 170 C")
    assert facts["Top of U1"] == ("241 C", "of 245 C; over: 20%")
    assert facts["Neighbours at high risk"] == ("3", "0 medium, of 3")
    assert facts["Off before any heat"] == ("none", "")
    assert facts["Weakest land"] == ("pad 1", "lifts: 2%")


def test_a_joint_that_stays_solid_is_the_fact() -> None:
    """Where the last joint does not melt the sheet says so in place of a time."""
    solid = replace(case(), heat=heat(part("U1"), None))
    facts = {fact.name: fact.value for fact in sheet(review(solid)).facts}
    assert facts["Last joint"] == "stays solid"


def test_every_callout_leads_to_a_row_and_every_such_row_back() -> None:
    """Keys of callouts, thermocouples and shields in the drawings are those that the rows' marks lead to."""
    made = sheet()
    drawn = {item.key for drawing in (made.work, made.opposite) for item in drawing.items}
    keys = {key for key in drawn if key.startswith(("call-", "piece-", "probe-"))}
    marks = [mark for table in (made.shields, *made.ranked, *made.further) for mark in table.marks if mark.leads_to]
    assert keys == set(made.links) == {mark.leads_to for mark in marks}
    assert sorted(made.links.values()) == sorted(mark.row for mark in marks)


def test_rows_are_marked_by_their_number_and_level() -> None:
    """The neighbours' rows are numbered as they are ranked, and those that are called out go on paper."""
    near = sheet().ranked[0]
    assert [(mark.text, mark.level) for mark in near.marks] == [("1", "high"), ("2", "high"), ("3", "high")]
    assert near.on_paper == {0, 1, 2}
    assert len(near.rows.cells) == 3


def test_the_three_ranked_lists_come_first_and_empty_ones_are_left_out() -> None:
    """Neighbours, nozzles and lands stand first; of the further lists only those that hold something."""
    made = sheet(replace(review(), loose=(), findings=()))
    assert [table.key for table in made.ranked] == ["near", "nozzles", "lands"]
    assert [table.key for table in made.further] == ["effects", "joints", "window", "places"]


def test_sources_tell_whence_and_how_sure() -> None:
    """Each value of the target and each limit in the heat has its source, equal ones together."""
    rows = {cells[0]: cells[1:] for cells in sheet().sources.cells}
    assert rows["U1 height"] == ("1.50 mm", "high", "invented table, row 3: for tests only")
    assert rows["limit of C10, D3"] == ("245 C", "high", "invented table, row 3: for tests only")
    assert rows["limit of C2"][1] == "low"


def test_what_is_not_assessed_is_listed_by_reason() -> None:
    """The hole is named with its reason."""
    assert list(sheet().not_assessed.cells) == [("H1", "mounting hole")]


def test_several_targets_come_in_work_order() -> None:
    """Each target has a sheet of its own in work order, and the order's reasons are told first."""
    one, two = review(), review(case(part("U2", 30.0)))
    both = WorkSequence(("id-U2", "id-U1"), (("id-U2", "id-U1"),), (), ("its can stands over U1",))
    made = job_sheet(board(), [one, two], both)
    assert [(entry.key, entry.target.ref) for entry in made.targets] == [("job1", "U2"), ("job2", "U1")]
    assert made.order == ("Work in this order: U2, U1.", "U2 comes off before U1: its can stands over U1.")
    assert job_sheet(board(), [one], sequence(one)).order == ()
