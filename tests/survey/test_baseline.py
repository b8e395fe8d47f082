"""What an earlier survey found already."""

import json
from pathlib import Path

import pytest

from builders import finding
from leeward.errors import InputError
from leeward.survey.baseline import NO_BASELINE, only_new, read_baseline


def written(folder: Path, document: object) -> str:
    """Write a document to a file and return its path."""
    path = folder / "baseline.json"
    path.write_text(json.dumps(document), encoding="utf-8")
    return str(path)


def earlier(priority: str) -> dict[str, object]:
    """Return a survey's document with the finding of the builders at a priority."""
    entry = {"key": finding().key, "priority": priority}
    return {"schema": "leeward.survey/1", "boards": [{"board": {"file": "old/lamp.kicad_pcb"}, "findings": [entry]}]}


def test_a_finding_is_known_by_its_key_on_the_board_of_that_name(tmp_path: Path) -> None:
    """The same finding on a board of the same file name is left out, wherever the file lies; elsewhere it is new."""
    known = read_baseline(written(tmp_path, earlier("high")))
    assert only_new([finding("high")], known.of("new/lamp.kicad_pcb")) == ()
    assert len(only_new([finding("high")], known.of("lantern.kicad_pcb"))) == 1


def test_a_finding_that_got_worse_is_new(tmp_path: Path) -> None:
    """What was medium before and is high now is told; what was high and is medium now is not."""
    worse = read_baseline(written(tmp_path, earlier("medium")))
    assert len(only_new([finding("high")], worse.of("lamp.kicad_pcb"))) == 1
    better = read_baseline(written(tmp_path, earlier("high")))
    assert only_new([finding("medium")], better.of("lamp.kicad_pcb")) == ()


def test_without_a_baseline_all_is_new() -> None:
    """Nothing is left out where no earlier survey is given."""
    assert len(only_new([finding()], NO_BASELINE.of("lamp.kicad_pcb"))) == 1


@pytest.mark.parametrize(
    "document",
    [[], {}, {"schema": "leeward.review/1", "boards": []}, {"schema": "leeward.survey/1", "boards": [{}]},
     {"schema": "leeward.survey/1", "boards": [{"board": {"file": "a"}, "findings": [{"key": 1, "priority": "x"}]}]}],
)  # fmt: skip
def test_another_document_is_refused(tmp_path: Path, document: object) -> None:
    """Anything but a survey's own document is an input error that says what to give."""
    with pytest.raises(InputError, match="give what --format json wrote"):
        read_baseline(written(tmp_path, document))


def test_what_is_no_json_is_refused(tmp_path: Path) -> None:
    """A file that is no JSON, and a path without a file, are input errors."""
    path = tmp_path / "words.json"
    path.write_text("not json", encoding="utf-8")
    with pytest.raises(InputError, match="is not JSON"):
        read_baseline(str(path))
    with pytest.raises(InputError, match="cannot read the baseline"):
        read_baseline(str(tmp_path / "none.json"))
