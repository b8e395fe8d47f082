"""The corner points of STEP models."""

import contextlib
import math

import numpy as np
import pytest

from leeward.parts.step import step_points
from parts.shapes import IDENTITY, METRE, STEP_HEAD, StepFile, step_box

INCH_UNIT = "CONVERSION_BASED_UNIT('INCH',#900003)LENGTH_UNIT()NAMED_UNIT(#900004)"
INCH_MORE = """#900003=LENGTH_MEASURE_WITH_UNIT(LENGTH_MEASURE(25.4),#900005);
#900004=DIMENSIONAL_EXPONENTS(1.,0.,0.,0.,0.,0.,0.);
#900005=(LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.));
"""


def box_of(text: str) -> list[list[float]]:
    """Return the least and greatest corner of a model, mm."""
    points = step_points(text)
    return [np.round(points.min(axis=0), 4).tolist(), np.round(points.max(axis=0), 4).tolist()]


def test_a_box_is_its_vertices() -> None:
    """Only vertices count: the plane's far origin and the words in texts do not."""
    assert box_of(step_box((-1, -2, 0.05), (1, 2, 0.9))) == [[-1, -2, 0.05], [1, 2, 0.9]]


@pytest.mark.parametrize(("unit", "more", "mm"), [(METRE, "", 1000.0), (INCH_UNIT, INCH_MORE, 25.4)])
def test_the_unit_of_length_is_the_files_own(unit: str, more: str, mm: float) -> None:
    """Metres and inches come out as millimetres."""
    assert box_of(step_box((0, 0, 0), (1, 2, 3), unit, more))[1] == pytest.approx([mm, 2 * mm, 3 * mm])


def test_a_round_edge_reaches_further_than_its_vertex() -> None:
    """A lying cylinder of radius 1 whose only vertices are at the side is 2 mm tall, within half a percent."""
    file = StepFile()
    file.shape(file.lying_cylinder(1.0, 5.0, (0.0, 1.0, 0.0)))
    least, greatest = box_of(file.text())
    assert greatest[2] - least[2] == pytest.approx(2.0, rel=0.005)
    assert (least[0], greatest[0]) == (-2.5, 2.5)


@pytest.mark.parametrize(("sense", "top"), [(".T.", 1.0), (".F.", 0.0)])
def test_an_arc_is_followed_the_way_its_edge_runs(sense: str, top: float) -> None:
    """Half a circle from +y to -y goes over the top with the curve, and by the bottom against it."""
    file = StepFile()
    start, end = (file.add(f"VERTEX_POINT('',#{file.point((0.0, y, 0.0))})") for y in (1.0, -1.0))
    frame = file.placement((0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    file.shape(file.solid([[file.edge(start, end, file.add(f"CIRCLE('',#{frame},1.)"), sense)]]))
    assert box_of(file.text())[1][2] == pytest.approx(top, abs=1e-3)


def test_a_bent_wire_reaches_to_the_outside_of_its_bend() -> None:
    """A quarter of a torus, 5 mm to the middle of a wire of 1 mm, goes 5.5 mm out and up, and no further round."""
    file = StepFile()
    file.shape(file.bent_wire(5.0, 0.5))
    least, greatest = box_of(file.text())
    assert greatest == pytest.approx([5.5, 0.5, 5.5], abs=0.01)
    assert least == pytest.approx([0.0, -0.5, 0.0], abs=0.01)


def test_a_dome_is_no_whole_sphere() -> None:
    """Half a sphere of radius 2 stands 2 mm high on its rim and does not reach below it."""
    file = StepFile()
    file.shape(file.dome(2.0))
    least, greatest = box_of(file.text())
    assert greatest == pytest.approx([2.0, 2.0, 2.0], abs=0.01)
    assert least == pytest.approx([-2.0, -2.0, 0.0], abs=0.01)


def test_an_assembly_is_put_together() -> None:
    """A pin placed twice in a part, once moved and once turned, reaches where both copies do; alone it counts not."""
    file = StepFile()
    pin, body = file.shape(file.box((0, 0, 0), (1, 2, 10))), file.shape(file.box((-1, -1, 0), (1, 1, 3)))
    holder = file.shape(file.placement(*IDENTITY), kind="SHAPE_REPRESENTATION")
    file.add(f"SHAPE_REPRESENTATION_RELATIONSHIP('','',#{holder},#{body})")
    file.place(pin, holder, (0.0, 0.0, -8.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0))
    file.place(pin, holder, (5.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
    assert box_of(file.text()) == [[-1, -1, -8], [15, 2, 3]]


def test_an_assembly_in_an_assembly() -> None:
    """Moves add up over two levels: 1 mm up and then turned about y, what was 4 mm tall reaches 5 mm along x."""
    file = StepFile()
    part = file.shape(file.box((0, 0, 0), (1, 1, 4)))
    inner, outer = (file.shape(file.placement(*IDENTITY), kind="SHAPE_REPRESENTATION") for _ in range(2))
    file.place(part, inner, (0.0, 0.0, 1.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0))
    file.place(inner, outer, (0.0, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 0.0, -1.0))
    assert box_of(file.text()) == [[1, 0, -1], [5, 1, 0]]


def test_a_mapped_item_is_a_copy() -> None:
    """A shape mapped into another with a turn of 90 degrees about z lies along the other axis."""
    file = StepFile()
    part = file.shape(file.box((0, 0, 0), (4, 1, 2)))
    source = file.add(f"REPRESENTATION_MAP(#{file.placement(*IDENTITY)},#{part})")
    target = file.placement((0.0, 0.0, 0.5), (0.0, 0.0, 1.0), (0.0, 1.0, 0.0))
    file.shape(file.add(f"MAPPED_ITEM('',#{source},#{target})"))
    assert box_of(file.text()) == [[-1, 0, 0.5], [0, 4, 2.5]]


def ring() -> str:
    """Return an assembly of a shape in itself beside a plain one."""
    file = StepFile()
    one, two = file.shape(file.box((0, 0, 0), (1, 1, 1))), file.shape(file.box((0, 0, 0), (1, 1, 1)))
    outer = file.shape(kind="SHAPE_REPRESENTATION")
    for part, holder in ((one, two), (two, one), (one, outer)):
        file.place(part, holder, *IDENTITY)
    return file.text()


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("#VRML V2.0 utf8", "no STEP file"),
        (step_box((0, 0, 0), (1, 1, 1)).replace("SI_UNIT(.MILLI.,.METRE.)", ""), "unit of length is not known"),
        (step_box((0, 0, 0), (1, 1, 1)).replace("GLOBAL_UNIT", "UNIT"), "no unit of length"),
        (step_box((0, 0, 0), (1, 1, 1)).replace("CARTESIAN_POINT('',(", "CARTESIAN_POINT('',(x"), "x"),
        (step_box((0, 0, 0), (1, 1, 1)).replace("VERTEX_POINT('',#5)", "VERTEX_POINT('',#99999)"), "is missing"),
        (ring(), "holds itself"),
    ],
)
def test_what_cannot_be_read_is_said(text: str, why: str) -> None:
    """Junk, broken files and rings raise ValueError with the reason."""
    with pytest.raises(ValueError, match=why):
        step_points(text)


def test_an_empty_file_has_no_points() -> None:
    """A file without shapes, in millimetres, has none; so has one that is cut off before them."""
    assert len(step_points(StepFile().text())) == 0
    whole = step_box((0, 0, 0), (1, 1, 1))
    assert len(step_points(whole[: len(STEP_HEAD) + 400])) == 0


@pytest.mark.parametrize("text", [step_box((0, 0, 0), (1, 1, 1)), ring()])
def test_damage_is_a_value_error_or_none(text: str) -> None:
    """Characters taken out or changed anywhere lead to an answer or to ValueError, never to another fault."""
    for place in range(len(STEP_HEAD) - 6, len(text), 23):
        for damaged in (text[:place] + text[place + 3 :], text[:place] + "#9)" + text[place + 1 :]):
            with contextlib.suppress(ValueError):
                step_points(damaged)


def test_a_large_file_is_read_in_a_moment() -> None:
    """Half a megabyte of boxes gives all their corners."""
    file = StepFile()
    solids = [file.box((i, 0, 0), (i + 0.5, 1, 1 + math.sin(i))) for i in range(200)]
    file.shape(*solids)
    assert len(step_points(file.text())) == 200 * 8
