"""The kinds of findings."""

import ast
import re
from pathlib import Path

import leeward.review.findings as of_a_review
from leeward.survey.rules import rules

SURVEY = Path(of_a_review.__file__).parents[1] / "survey"
NO_RULES = {"take-off-first", "air-mask", "wet-sink", "touch-up", "lithium-cell"}


def worded_ids(path: Path) -> set[str]:
    """Return the texts in a source file that are words joined by dashes."""
    texts = {node.value for node in ast.walk(ast.parse(path.read_text(encoding="utf-8")))
             if isinstance(node, ast.Constant) and isinstance(node.value, str)}  # fmt: skip
    return {text for text in texts if re.fullmatch(r"[a-z]+(-[a-z]+)+", text)} - NO_RULES


def test_every_kind_says_what_why_and_whence() -> None:
    """Each kind has a title, a reason, something to do and a source, in whole words."""
    for rule in rules().values():
        assert re.fullmatch(r"[a-z]+(-[a-z]+)*", rule.id)
        for text in (rule.title, rule.why, rule.do, rule.source):
            assert len(text.split()) >= 3 or rule.id == "heater-meets-part", f"{rule.id}: {text}"
        assert rule.why.endswith(".")


def test_every_finding_of_a_review_has_its_kind() -> None:
    """What a review may find is in the list of kinds, so that the survey can explain it."""
    told = worded_ids(Path(of_a_review.__file__))
    moved = {f"part-may-be-{how}" for how in ("blown", "dropped", "floated")}
    assert {"wall-too-close", "neighbour-over-limit", "pad-may-lift"} <= told
    assert (told | moved) <= set(rules())


def test_every_kind_is_found_somewhere() -> None:
    """No kind is listed that nothing in the program finds."""
    sources = [Path(of_a_review.__file__), *SURVEY.glob("*.py")]
    told = {text for path in sources for text in worded_ids(path)}
    moved = {f"part-may-be-{how}" for how in ("blown", "dropped", "floated")}
    assert set(rules()) <= told | moved
