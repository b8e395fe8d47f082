"""What is guessed of a part."""

from dataclasses import replace

import shapely

from builders import part, parts_of
from leeward.known import Known, NotAssessed
from leeward.parts.unsure import guessed, only_unsure


def test_only_low_confidence_is_a_guess() -> None:
    """Height and limit of low confidence are guessed, a mass of low confidence is not asked for."""
    assert guessed(part("U1")) == {}
    assert list(guessed(part("U1", sure="low"))) == ["height_mm", "limit_c"]
    assert guessed(replace(part("U1"), mass_mg=Known(1.0, "table", "low"))) == {}


def test_nothing_is_guessed_of_what_does_not_stand() -> None:
    """Lands without a body have nothing to be guessed."""
    assert guessed(replace(part("U1", sure="low"), body=shapely.Polygon())) == {}


def test_the_rest_is_left_out() -> None:
    """Parts that are sure, and what is said of them, are left out."""
    entries = NotAssessed("id-U1", "U1", "why"), NotAssessed("id-U2", "U2", "why")
    found = only_unsure(parts_of(part("U1"), part("U2", sure="low"), not_assessed=entries))
    assert list(found.by_id) == ["id-U2"]
    assert [entry.ref for entry in found.not_assessed] == ["U2"]
