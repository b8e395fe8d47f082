"""Tests of leeward.report.board_documents."""

from dataclasses import replace

import jsonschema
import shapely

from builders import board, part, parts_of
from leeward.known import NotAssessed
from leeward.report.as_json import plain
from leeward.report.board_documents import parts_document
from leeward.report.schemas import schema

PART_NAMES = {
    "id", "ref", "value", "footprint", "line", "side", "x_mm", "y_mm", "rotation_deg", "fitted", "family", "lead_style",
    "body_mm", "height_mm", "mass_mg", "limit_c", "courtyard_area_mm2", "sources", "pads",
}  # fmt: skip
SOURCES = {"family", "lead_style", "body_mm", "height_mm", "mass_mg", "limit_c", "outline"}


def test_parts_stand_in_natural_order() -> None:
    """C2 comes before C10, whatever the order of the records."""
    document = plain(parts_document(board(), parts_of(part("C10"), part("U1"), part("C2"))))
    assert [entry["ref"] for entry in document["parts"]] == ["C2", "C10", "U1"]


def test_every_promised_name_is_there() -> None:
    """A part has every name that other programs rely on, and a source with its confidence for each value."""
    found = plain(parts_document(board(), parts_of(part("U1"))))["parts"][0]
    assert set(found) >= PART_NAMES
    assert set(found["sources"]) == SOURCES
    assert all(set(source) == {"source", "confidence"} for source in found["sources"].values())
    assert set(found["pads"][0]) == {"number", "x_mm", "y_mm", "area_mm2", "net", "drill_mm", "sides"}


def test_a_pad_is_given_by_position_area_and_side() -> None:
    """A pad of 0.6 by 1.5 mm has 0.9 mm2, its own side, and null for the drill that it does not have."""
    found = plain(parts_document(board(), parts_of(part("U1"))))["parts"][0]["pads"][0]
    assert found == {
        "number": "1", "x_mm": 19.0, "y_mm": 20.0, "area_mm2": 0.9, "net": "LAMP", "drill_mm": None, "sides": ["top"],
    }  # fmt: skip


def test_a_courtyard_has_the_area_that_kicad_gives_it() -> None:
    """KiCad 7 and later keep a courtyard 0.005 mm inside its line: 2 by 1 mm count 1.99 by 0.99; none drawn is null."""
    drawn, bare = part("U1"), part("U2")
    drawn = replace(drawn, footprint=replace(drawn.footprint, courtyard=shapely.box(0, 0, 2, 1)))
    bare = replace(bare, footprint=replace(bare.footprint, courtyard=None))
    found = plain(parts_document(board(), parts_of(drawn, bare)))["parts"]
    assert [entry["courtyard_area_mm2"] for entry in found] == [1.9701, None]


def test_zone_areas_are_summed_by_layer() -> None:
    """Two fills of 100 and 50 mm2 on one layer make 150; a layer without fills is not listed."""
    assert plain(parts_document(board(), parts_of()))["board"]["zone_area_mm2"] == {"F.Cu": 150.0}


def test_the_document_keeps_to_its_schema() -> None:
    """Parts, notes and what is not assessed validate against the schema that the project ships."""
    aside = (NotAssessed("id-H1", "H1", "mounting hole"),)
    document = plain(parts_document(board(), parts_of(part("U1"), not_assessed=aside)))
    jsonschema.validate(document, schema("parts"))
    assert document["not_assessed"] == [{"id": "id-H1", "ref": "H1", "reason": "mounting hole"}]
    assert document["board"]["notes"] == ["1 zone(s) hold no fill"]
