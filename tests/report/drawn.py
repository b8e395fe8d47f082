"""What an SVG text shows, read back for tests."""

import re
import xml.etree.ElementTree as ET

import shapely

NUMBERS = re.compile(r"-?\d+(?:\.\d+)?")
Ring = list[tuple[float, float]]


def root_of(text: str) -> ET.Element:
    """Return the root of an SVG text."""
    return ET.fromstring(text)  # noqa: S314  # the project's own text


def group(root: ET.Element, name: str) -> ET.Element:
    """Return the element of an id."""
    return next(element for element in root.iter() if element.get("id") == name)


def rings(element: ET.Element) -> list[list[Ring]]:
    """Return the rings of each path in an element."""
    paths = [path.get("d", "") for path in element.iter() if path.tag.endswith("path")]
    return [[_ring(run) for run in path.split("M")[1:]] for path in paths]


def shape(element: ET.Element) -> shapely.Geometry:
    """Return the area that the paths of an element fill together; each path's first ring is its outer one."""
    return shapely.union_all([shapely.Polygon(outer, holes) for outer, *holes in rings(element)])


def _ring(run: str) -> Ring:
    numbers = [float(number) for number in NUMBERS.findall(run)]
    return list(zip(numbers[::2], numbers[1::2], strict=True))
