"""The corner points of a VRML 2.0 model (ISO/IEC 14772-1), as far as KiCad's own model files use the language.

Read are IndexedFaceSet and whatever else takes a Coordinate node, under Group, Shape, Switch, LOD and Transform, with
DEF and USE. One unit of KiCad's VRML files is a tenth of an inch.
"""

import re
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]  # (n, 3) float
Matrix = NDArray[np.float64]

MM_PER_UNIT = 2.54
MOST_POINTS = 3_000_000  # a model with more is not worth the wait
TOKEN = re.compile(r'#[^\n\r]*|"(?:[^"\\]|\\.)*+"|[{}\[\]]|[^\s,{}\[\]"#]+')
COMMENT = re.compile(r"#[^\n\r]*")
NUMBERS = re.compile(r"[-+.\deE\s,]*")
HELD_NODES = ("children", "choice", "level")  # lists of nodes; every other list is of values
SIZES = {"translation": 3, "center": 3, "scale": 3, "rotation": 4, "scaleOrientation": 4, "whichChoice": 1}
SOLIDS = frozenset(
    {"Box", "Cone", "Cylinder", "Sphere", "Extrusion", "ElevationGrid", "Inline", "PROTO", "EXTERNPROTO"}
)
NO_POINTS: Points = np.empty((0, 3))


@dataclass(slots=True)
class _Node:
    """A node while it is read."""

    kind: str
    name: str  # by DEF, "" where it has none
    values: dict[str, list[float]] = field(default_factory=dict)
    held: list[Points] = field(default_factory=list)  # of each node in it, in order
    count: int = 0

    def take(self, points: Points) -> None:
        self.held.append(points)
        self.count += len(points)
        if self.count > MOST_POINTS:
            raise ValueError(f"it has more than {MOST_POINTS} points")


def vrml_points(text: str) -> Points:
    """Return (n, 3) float, mm, the model's own frame (z up): every point that the model's faces may use.

    Raises ValueError for a text that is no VRML 2.0, is broken, or has shapes that are not read.
    """
    if not text.startswith("#VRML V2.0"):
        raise ValueError("it is no VRML 2.0")
    open_nodes = [_Node("", "")]
    named: dict[str, Points] = {}
    words = ("", "", "")  # the last three
    place = 0
    while token := TOKEN.search(text, place):
        sign, place = token[0], token.end()
        if sign.startswith("#"):
            continue
        if sign == "{":
            open_nodes.append(_Node(words[2], words[1] if words[0] == "DEF" else ""))
        elif sign == "}":
            _close(open_nodes, named)
        elif sign == "[" and words[2] not in HELD_NODES:
            place = _skip_list(text, place, open_nodes[-1], words[2])
        elif words[2] == "USE":
            open_nodes[-1].take(named.get(sign, NO_POINTS))
        elif words[2] != "DEF":
            _keep_value(text, place, open_nodes[-1], sign)
        words = (words[1], words[2], sign)
    if len(open_nodes) != 1:
        raise ValueError("it ends within a node")
    return _together(open_nodes[0].held) * MM_PER_UNIT


def _keep_value(text: str, place: int, node: _Node, word: str) -> None:
    """Keep the numbers behind the name of a field that moves points or chooses among nodes."""
    if word in SOLIDS:
        raise ValueError(f"it holds a {word}, which is not read")
    if word in SIZES and (values := NUMBERS.match(text, place)):
        node.values[word] = _numbers(values[0])


def _close(open_nodes: list[_Node], named: dict[str, Points]) -> None:
    """Hand the points of the node that ends to the one that holds it."""
    node = open_nodes.pop()
    if not open_nodes:
        raise ValueError("it has a brace too many")
    points = _shown(node)
    if node.name:
        named[node.name] = points
    open_nodes[-1].take(points)


def _skip_list(text: str, place: int, node: _Node, name: str) -> int:
    """Return where a list of values ends; the points of a Coordinate node are kept."""
    end = text.find("]", place)
    if end < 0:
        raise ValueError("it ends within a list")
    if name == "point" and node.kind == "Coordinate":
        values = _numbers(COMMENT.sub("", text[place:end]))
        if len(values) % 3:
            raise ValueError("a list of points has a coordinate too few")
        node.take(np.array(values, dtype=float).reshape(-1, 3))
    return end + 1


def _numbers(text: str) -> list[float]:
    return [float(word) for word in text.replace(",", " ").split()]


def _shown(node: _Node) -> Points:
    """Return the points that a node shows, in the frame of the node that holds it."""
    if node.kind == "Switch":
        chosen = int(_value(node, "whichChoice", [-1.0])[0])
        return node.held[chosen] if 0 <= chosen < len(node.held) else NO_POINTS
    if node.kind == "LOD":
        return node.held[0] if node.held else NO_POINTS
    points = _together(node.held)
    return _transformed(points, node) if node.kind == "Transform" else points


def _transformed(points: Points, node: _Node) -> Points:
    """Apply a Transform node: T C R SR S -SR -C (ISO/IEC 14772-1 section 6.52)."""
    centre = np.array(_value(node, "center", [0.0, 0.0, 0.0]))
    stretch = _turn(_value(node, "scaleOrientation", [0.0, 0.0, 1.0, 0.0]))
    turn = _turn(_value(node, "rotation", [0.0, 0.0, 1.0, 0.0]))
    scaled = (points - centre) @ stretch * np.array(_value(node, "scale", [1.0, 1.0, 1.0])) @ stretch.T
    moved: Points = scaled @ turn.T + centre + np.array(_value(node, "translation", [0.0, 0.0, 0.0]))
    return moved


def _value(node: _Node, name: str, usual: list[float]) -> list[float]:
    values = node.values.get(name, usual)
    if len(values) != SIZES[name]:
        raise ValueError(f"{name} has {len(values)} numbers")
    return values


def _turn(axis_and_angle: list[float]) -> Matrix:
    """Return the matrix (3, 3) of a turn round an axis, from the right hand's side: I + sin a K + (1 - cos a) K2."""
    axis, angle = np.array(axis_and_angle[:3]), axis_and_angle[3]
    length = float(np.linalg.norm(axis))
    x, y, z = axis / length if length else axis
    across = np.array([[0.0, -z, y], [z, 0.0, -x], [-y, x, 0.0]])
    turn: Matrix = np.eye(3) + np.sin(angle) * across + (1 - np.cos(angle)) * across @ across
    return turn


def _together(held: list[Points]) -> Points:
    return np.concatenate(held) if held else NO_POINTS
