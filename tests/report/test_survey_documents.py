"""Surveys as documents."""

import json
from typing import Any

import jsonschema
import pytest

from leeward.report.as_json import to_json
from leeward.report.schemas import schema
from leeward.report.survey_documents import survey_document
from surveys import survey


def document() -> Any:
    """Return the document of the invented survey as what JSON holds."""
    return json.loads(to_json(survey_document([survey()])), parse_constant=pytest.fail)


def test_the_document_keeps_its_schema() -> None:
    """What is written is what the schema of `survey` promises."""
    jsonschema.validate(document(), schema("survey"))


def test_a_target_tells_what_a_program_asks() -> None:
    """Needs, risks, nozzle, last pad and findings of a solved target, figures rounded by their units."""
    first = document()["boards"][0]["targets"][0]
    assert first == {
        "id": "id-U1",
        "ref": "U1",
        "side": "top",
        "priority": "high",
        "hand_tool": None,
        "needs_shield": 1,
        "high_neighbours": ["id-C2"],
        "opposite_high": [],
        "worst_neighbour": "id-C2",
        "worst_margin_c": 13.7,
        "best_nozzle": "quad-14x14",
        "nozzle_fits": True,
        "nozzle_gap_mm": 1.2,
        "blocked_by": [],
        "coldest_pad": "2",
        "coldest_c": 230.0,
        "reaches_reflow": True,
        "lift_risk": 0.015,
        "findings": ["neighbour-over-limit:id-U1:id-C2"],
    }


def test_what_was_not_solved_is_null() -> None:
    """A target without heat has no figures of it, and one without a nozzle names none."""
    second = document()["boards"][0]["targets"][1]
    heat = (
        "needs_shield",
        "worst_neighbour",
        "worst_margin_c",
        "coldest_pad",
        "coldest_c",
        "reaches_reflow",
        "lift_risk",
    )
    assert [second[name] for name in (*heat, "best_nozzle", "nozzle_gap_mm")] == [None] * 9
    assert second["high_neighbours"] == []


def test_what_is_waived_known_and_unused_is_counted() -> None:
    """Waived findings stay in the list and are counted, as are known ones; unused waivers say why."""
    (board,) = document()["boards"]
    assert (board["waived"], board["known"], len(board["findings"])) == (1, 3, 2)
    assert [finding["waived"] for finding in board["findings"]] == [None, "glued on"]
    assert board["unused_waivers"] == [
        {"rule": "wall-too-close", "parts": ["U9"], "reason": "gone", "until": None, "why": "no such finding"}
    ]
    assert board["not_assessed"] == [{"id": "id-H1", "ref": "H1", "reason": "mounting hole"}]
