"""A drawing as SVG."""

import re
import xml.etree.ElementTree as ET  # reads what the project itself wrote

from leeward.report.drawing import Area, Drawing, Line, Words
from leeward.report.inks import INKS
from leeward.report.svg import page_style, svg_element, svg_file

SVG = "{http://www.w3.org/2000/svg}"
HOSTILE = "</svg><script>alert(1)</script>\"'&\x00\x1b\ud800"
RING = Area((((0.0, 0.0), (4.0, 0.0), (4.0, 4.0)), ((1.0, 0.5), (2.0, 0.5), (2.0, 1.0))), "board")
PLAN = Drawing(
    "a plan",
    (-1.0, -2.0, 9.0, 3.0),
    (RING, Line(((0.0, 0.0), (1.23456, 0.00004)), "cut"), Words("R1", (1.0, 2.0), 0.716, "word", angle_deg=90.0)),
    scale=2.0,
)


def parsed(text: str) -> ET.Element:
    """Return the root of an SVG text."""
    return ET.fromstring(text)  # noqa: S314  # the project's own text


def test_a_file_is_as_large_as_its_scale_says() -> None:
    """Width and height are the frame's times the scale, in mm, and the view box is the frame."""
    root = parsed(svg_file(PLAN))
    assert (root.get("width"), root.get("height"), root.get("viewBox")) == ("20mm", "10mm", "-1 -2 10 5")
    assert root.findtext(f"{SVG}title") == "a plan"


def test_strokes_of_a_file_are_as_wide_on_paper_as_their_ink_says() -> None:
    """Twice the true size, a stroke takes half the drawing's millimetres."""
    width = re.search(r"\.ink-cut\{[^}]*stroke-width:([\d.]+)", svg_file(PLAN))
    assert width is not None
    assert float(width.group(1)) * PLAN.scale == INKS["cut"].width_mm


def test_each_kind_of_item_is_where_it_was_put() -> None:
    """Holes stand in their area's path, lines stay open, words turn counter-clockwise about their place."""
    area, line, words = parsed(svg_file(PLAN))[2:]
    assert area.get("d") == "M0 0 4 0 4 4ZM1 0.5 2 0.5 2 1Z"
    assert "fill-rule:evenodd" in svg_file(PLAN)
    assert line.get("d") == "M0 0 1.235 0"
    assert (words.text, words.get("font-size"), words.get("transform")) == ("R1", "1", "rotate(-90 1 2)")


def test_items_of_one_key_form_a_group_that_may_lead_somewhere() -> None:
    """Neighbouring items of a key share one id; a linked key is a link, another is not."""
    items = (
        Line(((0, 0), (1, 1)), "cut", key="a"),
        Words("1", (0, 0), 1, "word", key="a"),
        Words("2", (0, 0), 1, "word", key="b"),
    )
    root = parsed(svg_element(Drawing("", (0, 0, 1, 1), items), {"a": "#row-1"}, "u1-"))
    assert [(child.tag, child.get("id"), child.get("href"), len(child)) for child in root] == [
        ("a", "u1-a", "#row-1", 2),
        ("g", "u1-b", None, 1),
    ]


def test_hostile_words_stay_words() -> None:
    """Markup in a name is text, and what XML cannot hold is replaced."""
    drawing = Drawing(HOSTILE, (0, 0, 1, 1), (Words(HOSTILE, (0, 0), 1, "word", key=HOSTILE),))
    shown = HOSTILE.replace("\x00", "\ufffd").replace("\x1b", "\ufffd").replace("\ud800", "\ufffd")
    for text in (svg_file(drawing), svg_element(drawing)):
        root = parsed(text)
        assert [element.text for element in root.iter() if element.tag.endswith("text")] == [shown]
        assert not [element for element in root.iter() if "script" in element.tag]
        assert f'id="{HOSTILE}' not in text


def test_a_page_has_a_rule_for_every_ink() -> None:
    """The style sheet colours each ink for light and for dark."""
    light, dark = page_style().split("@media screen and (prefers-color-scheme:dark)")
    assert all(f".ink-{name}{{" in light and f".ink-{name}{{" in dark for name in INKS)
