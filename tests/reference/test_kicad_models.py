"""KiCad's own 3D models (Debian package kicad-packages3d 6.0.10), as we read them, against boxes that others measured.

The boxes are those of models.json.gz beside the outside boards, taken with neither of our readers. Each model comes as
VRML and as STEP; the two were drawn from the same solid.
"""

import pytest

from leeward.parts.step import step_points
from leeward.parts.vrml import vrml_points
from needs import kicad_models
from parts.model_boxes import outside_boxes

EVERY = 40  # of some 3100 models; all of them take two minutes
pytestmark = [pytest.mark.kicad, pytest.mark.outside_boards]


def chosen() -> list[str]:
    """Return the keys of the models that are read, "library/model"."""
    return sorted(outside_boxes())[::EVERY]


def text_of(key: str, ending: str) -> str:
    """Return what stands in a model's file of one form."""
    library, _, name = key.partition("/")
    return (kicad_models() / f"{library}.3dshapes" / f"{name}{ending}").read_text(errors="replace")


def test_vrml_boxes_are_as_measured() -> None:
    """Each corner of each box is where it was measured, to 0.002 mm."""
    boxes, keys = outside_boxes(), chosen()
    assert len(keys) > 70
    for key in keys:
        points = vrml_points(text_of(key, ".wrl"))
        assert points.min(axis=0) == pytest.approx(boxes[key][0], abs=0.002), key
        assert points.max(axis=0) == pytest.approx(boxes[key][1], abs=0.002), key


def test_step_models_stand_as_tall_as_their_vrml() -> None:
    """Heights of STEP models are within 0.05 mm of the measured ones; of all 6,227 models three are not."""
    boxes, off = outside_boxes(), {}
    for key in chosen():
        off[key] = abs(float(step_points(text_of(key, ".step"))[:, 2].max()) - boxes[key][1][2])
    assert {key: mm for key, mm in off.items() if mm > 0.05} == {}
