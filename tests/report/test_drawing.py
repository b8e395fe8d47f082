"""The drawing record."""

import shapely

from leeward.report.drawing import Area, Drawing, Line, Words, area, mirrored


def test_a_shape_with_a_hole_keeps_both_rings_open() -> None:
    """Rings come without the repeated first point, the outer first."""
    ring = shapely.box(0, 0, 4, 4) - shapely.box(1, 1, 2, 2)
    (item,) = area(ring, "board")
    assert [len(points) for points in item.rings] == [4, 4]


def test_parts_of_a_shape_become_items_and_an_empty_one_none() -> None:
    """Two islands are two items; nothing is drawn of nothing."""
    assert len(area(shapely.union(shapely.box(0, 0, 1, 1), shapely.box(2, 0, 3, 1)), "zone")) == 2
    assert area(shapely.Polygon(), "zone") == ()


def test_a_mirrored_drawing_keeps_its_frame_and_turns_each_kind_of_item() -> None:
    """Turning the board sends x to the frame's other end, and twice is no change."""
    drawing = Drawing(
        "",
        (0, 0, 10, 5),
        (
            Area((((1.0, 1.0), (2.0, 1.0), (2.0, 2.0)),), "board"),
            Line(((0.0, 0.0), (4.0, 0.0)), "wall"),
            Words("R1", (3.0, 1.0), 1.0, "label", angle_deg=30.0),
        ),
    )
    turned = mirrored(drawing)
    assert turned.frame_mm == drawing.frame_mm
    assert turned.items[0] == Area((((9.0, 1.0), (8.0, 1.0), (8.0, 2.0)),), "board")
    assert turned.items[1] == Line(((10.0, 0.0), (6.0, 0.0)), "wall")
    assert turned.items[2] == Words("R1", (7.0, 1.0), 1.0, "label", angle_deg=-30.0)
    assert mirrored(turned) == drawing
