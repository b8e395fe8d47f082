"""The corner points of a STEP model (ISO 10303-21), as far as KiCad's own model files use the format.

Read are the vertices of the solids' and shells' faces, circular edges broken into chords, and rounded faces between
their edges; where a body bulges beyond these (splines) the box round them is too small. Assemblies are put together
by their transformations (ISO 10303-43) and mapped items.
"""

import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

Points = NDArray[np.float64]  # (n, 3) float
Entity: TypeAlias = tuple[str, str]  # its kind, "" for one of several kinds at once, and what stands in its brackets
Entities: TypeAlias = Mapping[int, Entity]

MOST_POINTS = 3_000_000  # a model with more is not worth the wait
MOST_LEVELS = 40  # of an assembly
CHORDS = 32  # of a full circle: the box falls short by half a percent of the radius at most
STRING = re.compile(r"'[^']*+'")
STATEMENT = re.compile(r"\s*#(\d{1,18})\s*=\s*([A-Z0-9_]*)\s*\((.*)\)\s*", re.DOTALL)
REFERENCE = re.compile(r"#(\d{1,18})")
SI_METRE = re.compile(r"SI_UNIT\s*\(\s*(\$|\.\w+\.)\s*,\s*\.METRE\.")
MEASURE = re.compile(r"LENGTH_MEASURE\s*\(\s*([-+.\dEe]+)\s*\)")
RELATED = re.compile(r"(?<!SHAPE_)REPRESENTATION_RELATIONSHIP\s*\([^#]*#(\d{1,18})\s*,\s*#(\d{1,18})")
WITH_TRANSFORMATION = re.compile(r"WITH_TRANSFORMATION\s*\(\s*#(\d{1,18})")
MM_PER_PREFIX = {".MILLI.": 1.0, ".CENTI.": 10.0, ".DECI.": 100.0, "$": 1000.0, ".MICRO.": 1e-3}
SHAPES = frozenset(
    {
        "SHAPE_REPRESENTATION",
        "ADVANCED_BREP_SHAPE_REPRESENTATION",
        "FACETED_BREP_SHAPE_REPRESENTATION",
        "MANIFOLD_SURFACE_SHAPE_REPRESENTATION",
        "GEOMETRICALLY_BOUNDED_SURFACE_SHAPE_REPRESENTATION",
    }
)
TOPOLOGY = frozenset(
    {
        "MANIFOLD_SOLID_BREP",
        "FACETED_BREP",
        "BREP_WITH_VOIDS",
        "SHELL_BASED_SURFACE_MODEL",
        "CLOSED_SHELL",
        "OPEN_SHELL",
        "ORIENTED_CLOSED_SHELL",
        "ADVANCED_FACE",
        "FACE_SURFACE",
        "FACE_BOUND",
        "FACE_OUTER_BOUND",
        "EDGE_LOOP",
        "VERTEX_LOOP",
        "ORIENTED_EDGE",
    }
)
FACES = frozenset({"ADVANCED_FACE", "FACE_SURFACE"})
CURVES_ON_SURFACES = ("SURFACE_CURVE", "SEAM_CURVE", "INTERSECTION_CURVE")
NO_POINTS: Points = np.empty((0, 3))


@dataclass(slots=True)
class _Assembly:
    """Which shapes are one and the same, and which are placed in which."""

    same: dict[int, int]  # shape -> a shape that it is, itself in the end
    one: dict[int, list[int]] = field(default_factory=dict)  # by the shape that stands for them: all that are one
    placed_in: dict[int, list[tuple[int, Points]]] = field(default_factory=dict)  # by holder: shape, (4, 4) float
    done: dict[int, Points] = field(default_factory=dict)

    def of(self, shape: int) -> int:
        if shape not in self.same:
            raise ValueError(f"#{shape} is no shape")
        while self.same[shape] != shape:
            shape = self.same[shape]
        return shape


def step_points(text: str) -> Points:
    """Return (n, 3) float, mm, the model's own frame (z up): vertices, chords of circular edges, rounded faces.

    Raises ValueError for a text that is no STEP file, is broken, or states no unit of length.
    """
    if not text.lstrip().startswith("ISO-10303-21"):
        raise ValueError("it is no STEP file")
    entities = _entities(text)
    assembly = _assembly(entities)
    held = {shape for placed in assembly.placed_in.values() for shape, _ in placed}
    outermost = sorted(assembly.one.keys() - held)
    found = [_points(entities, assembly, shape, ()) for shape in outermost]
    return _together(found) * _mm_per_unit(entities)


def _entities(text: str) -> Entities:
    """Return what the data section holds by number; texts are emptied, for they may hold any sign."""
    data = STRING.sub("''", text.partition("DATA;")[2])
    first, *others = data.split("/*")
    bare = "".join((first, *(other.partition("*/")[2] for other in others)))
    found = (STATEMENT.fullmatch(statement) for statement in bare.split(";"))
    return {int(match[1]): (match[2], match[3]) for match in found if match}


def _entity(entities: Entities, number: int, *kinds: str) -> str:
    """Return what stands in the brackets of an entity. Raises ValueError where it is missing or of another kind."""
    kind, inside = entities.get(number, ("missing", ""))
    if kind not in kinds:
        raise ValueError(f"#{number} is {kind or 'of several kinds'}, not {kinds[0]}")
    return inside


def _references(inside: str) -> list[int]:
    return [int(number) for number in REFERENCE.findall(inside)]


def _first(inside: str) -> int:
    references = _references(inside)
    if not references:
        raise ValueError("an entity refers to none where it should")
    return references[0]


def _mm_per_unit(entities: Entities) -> float:
    """Return the millimetres in a unit of length. Raises ValueError where none or several are in use."""
    units = {
        _mm_per(entities, number)
        for _, inside in entities.values()
        if "GLOBAL_UNIT_ASSIGNED_CONTEXT" in inside
        for number in _references(inside)
        if "LENGTH_UNIT" in entities.get(number, ("", ""))[1]
    }
    if len(units) != 1:
        raise ValueError("it states no unit of length" if not units else "it mixes units of length")
    return units.pop()


def _mm_per(entities: Entities, unit: int) -> float:
    inside = entities[unit][1]
    if metre := SI_METRE.search(inside):
        return MM_PER_PREFIX.get(metre[1], math.nan)
    if "CONVERSION_BASED_UNIT" in inside:
        for number in _references(inside):
            measured = entities.get(number, ("", ""))
            if measure := MEASURE.search(measured[1]):
                return float(measure[1]) * _mm_per_prefix_of(entities, _references(measured[1]))
    raise ValueError("its unit of length is not known")


def _mm_per_prefix_of(entities: Entities, units: list[int]) -> float:
    for unit in units:
        if metre := SI_METRE.search(entities.get(unit, ("", ""))[1]):
            return MM_PER_PREFIX.get(metre[1], math.nan)
    raise ValueError("its unit of length is not known")


def _assembly(entities: Entities) -> _Assembly:
    assembly = _Assembly({number: number for number, (kind, _) in entities.items() if kind in SHAPES})
    relations = [inside for _, inside in entities.values() if "WITH_TRANSFORMATION" in inside]
    for kind, inside in entities.values():
        if kind == "SHAPE_REPRESENTATION_RELATIONSHIP":
            one, other = _references(inside)[:2]
            assembly.same[assembly.of(other)] = assembly.of(one)
    for shape in assembly.same:
        assembly.one.setdefault(assembly.of(shape), []).append(shape)
    for inside in relations:
        pair, by = RELATED.search(inside), WITH_TRANSFORMATION.search(inside)
        if pair is None or by is None:
            raise ValueError("a part of the assembly is not placed")
        placement = _transformation(entities, int(by[1]))
        holder = assembly.placed_in.setdefault(assembly.of(int(pair[2])), [])
        holder.append((assembly.of(int(pair[1])), placement))
    for shape in list(assembly.same):
        holder = [_mapped(entities, assembly, number) for number in _items(entities, shape, "MAPPED_ITEM")]
        if holder:
            assembly.placed_in.setdefault(assembly.of(shape), []).extend(holder)
    return assembly


def _items(entities: Entities, shape: int, *kinds: str) -> Iterator[int]:
    inside = entities[shape][1]
    return (number for number in _references(inside) if entities.get(number, ("", ""))[0] in kinds)


def _transformation(entities: Entities, number: int) -> Points:
    """Return (4, 4) float: where the second placement of an ITEM_DEFINED_TRANSFORMATION lies, seen from the first."""
    origin, target = _references(_entity(entities, number, "ITEM_DEFINED_TRANSFORMATION"))[:2]
    moved: Points = _placement(entities, target) @ np.linalg.inv(_placement(entities, origin))
    return moved


def _mapped(entities: Entities, assembly: _Assembly, number: int) -> tuple[int, Points]:
    source, target = _references(entities[number][1])[:2]
    origin, shape = _references(_entity(entities, source, "REPRESENTATION_MAP"))[:2]
    return assembly.of(shape), _placement(entities, target) @ np.linalg.inv(_placement(entities, origin))


def _placement(entities: Entities, number: int) -> Points:
    """Return (4, 4) float: the frame of an AXIS2_PLACEMENT_3D (ISO 10303-42)."""
    references = [
        int(word.strip()[1:]) if word.strip().startswith("#") else None
        for word in _entity(entities, number, "AXIS2_PLACEMENT_3D").split(",")[1:4]
    ]
    origin, along_z, along_x = (*references, None, None, None)[:3]
    z = _unit(np.array([0.0, 0.0, 1.0]) if along_z is None else _coordinates(entities, along_z))
    reference = np.array([1.0, 0.0, 0.0]) if along_x is None else _coordinates(entities, along_x)
    if along_x is None and abs(z[0]) > 0.999:
        reference = np.array([0.0, 1.0, 0.0])
    x = _unit(reference - z * float(reference @ z))
    frame = np.eye(4)
    frame[:3, 0], frame[:3, 1], frame[:3, 2] = x, np.cross(z, x), z
    frame[:3, 3] = 0.0 if origin is None else _coordinates(entities, origin)
    return frame


def _unit(vector: Points) -> Points:
    length = float(np.linalg.norm(vector))
    if not length > 0.0:
        raise ValueError("a direction has no length")
    return vector / length


def _coordinates(entities: Entities, number: int) -> Points:
    """Return (3,) float: a point or a direction."""
    inside = _entity(entities, number, "CARTESIAN_POINT", "DIRECTION")
    found = [float(word) for word in inside.rpartition("(")[2].rstrip(") \r\n\t").split(",")]
    if len(found) != 3:
        raise ValueError(f"#{number} has {len(found)} coordinates")
    return np.array(found)


def _points(entities: Entities, assembly: _Assembly, shape: int, above: tuple[int, ...]) -> Points:
    """Return the corners of a shape and of all that is placed in it, in its own frame."""
    if shape in above or len(above) > MOST_LEVELS:
        raise ValueError(f"its assembly holds itself, or is over {MOST_LEVELS} levels deep")
    if shape not in assembly.done:
        own = [_under(entities, list(_items(entities, each, *TOPOLOGY))) for each in assembly.one[shape]]
        placed = [
            _points(entities, assembly, part, (*above, shape)) @ place[:3, :3].T + place[:3, 3]
            for part, place in assembly.placed_in.get(shape, ())
        ]
        assembly.done[shape] = _together([*own, *placed])
    return assembly.done[shape]


def _under(entities: Entities, open_numbers: list[int]) -> Points:
    """Return the vertices under some faces, loops or edges, chords of circular edges, and points of rounded faces."""
    found: list[Points] = []
    seen = set[int]()
    while open_numbers:
        number = open_numbers.pop()
        if number in seen:
            continue
        seen.add(number)
        kind, inside = entities.get(number, ("", ""))
        if kind == "VERTEX_POINT":
            found.append(_coordinates(entities, _first(inside))[None])
        elif kind == "POLY_LOOP":
            found += [_coordinates(entities, point)[None] for point in _references(inside)]
        elif kind == "EDGE_CURVE":
            open_numbers += _references(inside)[:2]
            found += _arc(entities, inside)
        elif kind in TOPOLOGY:
            open_numbers += _references(inside)
            found += _rounded(entities, inside) if kind in FACES else []
    return _together(found)


def _rounded(entities: Entities, face: str) -> list[Points]:
    """Return points of a face on a torus or a sphere as far as its edges reach round it; none of another face."""
    *bounds, surface = _references(face)
    kind, inside = entities.get(surface, ("", ""))
    rim = _under(entities, bounds) if kind in ("TOROIDAL_SURFACE", "SPHERICAL_SURFACE") else NO_POINTS
    if not len(rim):
        return []
    *major, radius = (float(word) for word in inside.split(",")[2:])
    centre_line = sum(major)  # of the tube, from the axis; none where the surface is a sphere
    frame = _placement(entities, _first(inside))
    x, y, z = ((rim - frame[:3, 3]) @ frame[:3, :3]).T
    about_axis, about_tube = np.meshgrid(
        _covered(np.arctan2(y, x)), _covered(np.arctan2(z, np.hypot(x, y) - centre_line))
    )
    out = centre_line + radius * np.cos(about_tube.ravel())
    local = np.stack(
        [out * np.cos(about_axis.ravel()), out * np.sin(about_axis.ravel()), radius * np.sin(about_tube.ravel())]
    )
    bulge: Points = local.T @ frame[:3, :3].T + frame[:3, 3]
    return [bulge]


def _covered(angles: NDArray[np.float64]) -> NDArray[np.float64]:
    """Return angles a chord apart over the part of a turn that some angles cover: all but the widest gap."""
    ordered = np.sort(angles % math.tau)
    gaps = np.diff(ordered, append=ordered[0] + math.tau)
    widest = int(gaps.argmax())
    chord = math.tau / CHORDS
    if gaps[widest] < 2 * chord:
        return np.linspace(0.0, math.tau, CHORDS + 1)
    first, sweep = float(ordered[widest] + gaps[widest]), float(math.tau - gaps[widest])
    return np.linspace(first, first + sweep, math.ceil(sweep / chord) + 1)


def _arc(entities: Entities, edge: str) -> list[Points]:
    """Return the points along a circular edge, none along another."""
    start, end, curve = _references(edge)[:3]
    kind, inside = entities.get(curve, ("", ""))
    if kind in CURVES_ON_SURFACES:
        kind, inside = entities.get(_first(inside), ("", ""))
    if kind != "CIRCLE":
        return []
    radius = float(inside.rpartition(",")[2])
    frame = _placement(entities, _first(inside))
    first, last = (_angle(entities, vertex, frame) for vertex in (start, end))
    if edge.rstrip().endswith(".F."):
        first, last = last, first
    sweep = (last - first) % math.tau if start != end else math.tau
    angles = first + np.linspace(0.0, sweep, max(round(CHORDS * sweep / math.tau), 1) + 1)
    along_x, along_y = np.outer(np.cos(angles), frame[:3, 0]), np.outer(np.sin(angles), frame[:3, 1])
    rim: Points = frame[:3, 3] + radius * (along_x + along_y)
    return [rim]


def _angle(entities: Entities, vertex: int, frame: Points) -> float:
    point = _coordinates(entities, _first(_entity(entities, vertex, "VERTEX_POINT"))) - frame[:3, 3]
    return math.atan2(float(point @ frame[:3, 1]), float(point @ frame[:3, 0]))


def _together(found: list[Points]) -> Points:
    if sum(len(points) for points in found) > MOST_POINTS:
        raise ValueError(f"it has more than {MOST_POINTS} points")
    return np.concatenate(found) if found else NO_POINTS
