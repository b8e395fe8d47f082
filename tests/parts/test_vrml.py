"""The corner points of VRML models."""

import contextlib

import numpy as np
import pytest

from leeward.parts.vrml import vrml_points
from parts.shapes import VRML_HEAD, Span, vrml_box, vrml_faces


def box_of(text: str) -> list[list[float]]:
    """Return the least and greatest corner of a model, mm."""
    points = vrml_points(text)
    return [np.round(points.min(axis=0), 4).tolist(), np.round(points.max(axis=0), 4).tolist()]


def test_a_unit_is_a_tenth_of_an_inch() -> None:
    """A box of 1 x 2 x 0.1 units is 2.54 x 5.08 x 0.254 mm."""
    text = "#VRML V2.0 utf8\nShape { geometry IndexedFaceSet { coord Coordinate { point [0 0 0, 1 2 .1] } } }"
    assert box_of(text) == [[0.0, 0.0, 0.0], [2.54, 5.08, 0.254]]


def test_materials_defined_before_shapes_are_no_points() -> None:
    """Colours and their names, as KiCad's own files begin, add nothing."""
    material = "Shape { appearance Appearance {material DEF PIN-01 Material {\ndiffuseColor 9 9 9\n} } }\n"
    assert box_of(VRML_HEAD + material + vrml_faces((-1, -2, 0), (1, 2, 0.5))) == [[-1, -2, 0], [1, 2, 0.5]]


def test_a_transform_scales_turns_and_moves() -> None:
    """Scale, then a quarter turn about x (y goes to z), then the move, whichever way round the fields stand."""
    fields = "translation 0 0 10 rotation 1 0 0 1.5707963 scale 1 2 1"
    inner = vrml_faces((0, 0, 0), (1, 2, 3), scale=1.0)
    want = [[0.0, -3 * 2.54, 10 * 2.54], [2.54, 0.0, 14 * 2.54]]
    for text in (f"Transform {{ {fields} children [ {inner} ] }}", f"Transform {{ children {inner} {fields} }}"):
        assert np.allclose(box_of(VRML_HEAD + text), want, atol=1e-3)


def test_a_centre_and_a_scale_orientation_count() -> None:
    """A half turn about (1, 0) leads (0, 0) to (2, 0); a stretch along the turned axis stretches that one."""
    text = "Transform { center 1 0 0 rotation 0 0 1 3.14159265 children " + vrml_faces((0, 0, 0), (0, 0, 0)) + "}"
    assert np.allclose(box_of(VRML_HEAD + text)[0], [2 * 2.54, 0.0, 0.0], atol=1e-4)
    text = "Transform { scale 3 1 1 scaleOrientation 0 0 1 1.5707963 children " + vrml_faces((0, 0, 0), (1, 1, 1)) + "}"
    assert np.allclose(box_of(VRML_HEAD + text)[1], [1, 3, 1], atol=1e-4)


def test_a_node_used_again_is_there_again() -> None:
    """USE brings the points of DEF back, under another transform too."""
    first = "DEF LEG Transform { translation 1 0 0 children " + vrml_faces((0, 0, 0), (0, 0, 0)) + "}\n"
    again = "Transform { translation 0 5 0 children [ USE LEG ] }\n"
    assert box_of(VRML_HEAD + first + again) == [[2.54, 0, 0], [2.54, 12.7, 0]]


def test_a_switch_shows_one_and_a_level_of_detail_its_first() -> None:
    """Of two boxes a Switch shows the chosen one or none, an LOD the finest."""
    one, other = vrml_faces((0, 0, 0), (1, 1, 1)), vrml_faces((0, 0, 0), (1, 1, 9))
    chosen = VRML_HEAD + "Switch { whichChoice %d choice [" + one + other + "] }"
    assert box_of(chosen % 0)[1] == [1, 1, 1]
    assert box_of(chosen % 1)[1] == [1, 1, 9]
    assert len(vrml_points(chosen % -1)) == 0
    assert box_of(VRML_HEAD + "LOD { range [ 5 ] level [" + one + other + "] }")[1] == [1, 1, 1]


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("solid thing\n", "no VRML 2.0"),
        ("#VRML V1.0 ascii\nSeparator { }", "no VRML 2.0"),
        (vrml_box((0, 0, 0), (1, 1, 1))[:-40], "ends within a"),
        (VRML_HEAD + "}", "a brace too many"),
        (VRML_HEAD + "Coordinate { point [0 0 0, 1 1", "ends within a list"),
        (VRML_HEAD + "Coordinate { point [0 0 0, 1 1] }", "a coordinate too few"),
        (VRML_HEAD + "Coordinate { point [0 0 high] }", "high"),
        (VRML_HEAD + "Transform { rotation 1 0 0 children [] }", "rotation has 3 numbers"),
        (VRML_HEAD + "Shape { geometry Cylinder { height 2 } }", "holds a Cylinder"),
    ],
)
def test_what_cannot_be_read_is_said(text: str, why: str) -> None:
    """Junk, broken files and shapes that are not read raise ValueError with the reason."""
    with pytest.raises(ValueError, match=why):
        vrml_points(text)


def test_shapes_that_multiply_are_refused() -> None:
    """A file of a few lines that doubles its points at each of forty levels stops at the limit."""
    level: Span = (0, 0, 0)
    lines = ["DEF A0 Group { children [" + vrml_faces(level, (1, 1, 1)) + "] }"]
    lines += [f"DEF A{i + 1} Group {{ children [ USE A{i} USE A{i} ] }}" for i in range(40)]
    with pytest.raises(ValueError, match="more than"):
        vrml_points(VRML_HEAD + "\n".join(lines))


def test_damage_is_a_value_error_or_none() -> None:
    """Characters taken out or changed anywhere lead to an answer or to ValueError, never to another fault."""
    text = VRML_HEAD + "Transform { scale 1 2 3 children [ " + vrml_faces((0, 0, 0), (1, 1, 1)) + "] }"
    for place in range(len(VRML_HEAD), len(text), 3):
        for damaged in (text[:place] + text[place + 3 :], text[:place] + "}[-" + text[place + 1 :]):
            with contextlib.suppress(ValueError):
                vrml_points(damaged)
