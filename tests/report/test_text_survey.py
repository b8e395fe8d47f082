"""Surveys as text."""

from dataclasses import replace

from leeward.report.screen import screen
from leeward.report.text_survey import headline, list_text, rule_text, survey_text
from leeward.survey.records import Survey
from leeward.survey.rules import rules
from leeward.survey.spacing import profiles
from surveys import heavy, survey


def text_of(*surveys: Survey, everything: bool = False) -> str:
    """Return the text of surveys as it goes to a file, words of a paragraph on one line."""
    return screen("survey.txt").text(survey_text(surveys, everything=everything))


def test_the_headline_counts_targets_and_findings_that_stand() -> None:
    """Targets and standing findings by priority, waived and known ones apart."""
    assert headline(survey()) == (
        "3 targets: 1 high, 0 medium, 2 low; 1 finding: 1 high, 0 medium, 0 low; 1 waived; 3 known"
    )


def test_a_finding_begins_with_where_it_is() -> None:
    """File, line, priority, kind, parts, numbers and remedy stand in one paragraph; a waiver gives its reason."""
    text = " ".join(text_of(survey()).split())
    assert "lamp.kicad_pcb:42: HIGH neighbour-over-limit: U1, C2; probability 25%, gap 1.23 mm, peak 231 C." in text
    assert "Remedy: put a heat barrier over it." in text
    assert "[waived: glued on]" in text


def test_a_row_of_a_target_names_what_matters() -> None:
    """Neighbours in need and at risk, the worst one's margin, nozzle, last pad, and what is done by hand."""
    rows = {line.split()[1]: line for line in text_of(survey()).splitlines() if line.startswith(("HIGH", "low"))}
    assert "at high risk: C2" in rows["U1"]
    assert "quad-14x14" in rows["U1"]
    assert "none (does not fit)" in rows["D3"]
    assert "in the way: U1" in rows["D3"]
    assert "use hand tool" in rows["C2"]


def test_lists_are_cut_and_say_so() -> None:
    """Of many findings the first are shown with how many are left; asked for all, all are shown."""
    many = [replace(heavy(), key=f"heavy:{i}") for i in range(40)]
    cut, whole = text_of(survey(*many)), text_of(survey(*many), everything=True)
    assert "and 25 more; --all prints them" in cut
    assert whole.count("heavy-on-second-side") == 40
    assert "--all" not in whole


def test_unused_waivers_and_what_was_not_assessed_are_told() -> None:
    """Both lists stand at the end with their reasons."""
    text = text_of(survey())
    assert "wall-too-close (U9): no such finding" in text
    assert "H1: mounting hole" in text


def test_several_boards_are_summed_up() -> None:
    """After the boards a table has a row for each."""
    text = text_of(survey(), survey(file="other.kicad_pcb"))
    assert "All boards" in text
    assert text.rstrip().splitlines()[-1].startswith("other.kicad_pcb")


def test_a_kind_is_explained_and_all_are_listed() -> None:
    """The explanation gives reason, remedy and source; the list has every kind and profile."""
    explained = screen("x.txt").text(rule_text(rules()["wall-too-close"]))
    for words in (rules()["wall-too-close"].title, "Why: ", "In the layout: ", "Source: "):
        assert words in explained
    listed = screen("x.txt").text(list_text())
    assert all(name in listed for name in (*rules(), *profiles()))
