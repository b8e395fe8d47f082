"""3D models of our own shapes as text: boxes and cylinders in VRML 2.0 and STEP, the way KiCad's files word them."""

from collections.abc import Sequence
from itertools import product

Span = tuple[float, float, float]

VRML_HEAD = "#VRML V2.0 utf8\n# a box of our own\n"
STEP_HEAD = """ISO-10303-21;
HEADER;
FILE_DESCRIPTION(('a box of our own; not a part (#1=X);'),'2;1');
FILE_NAME('box.step','',(''),(''),'','','');
FILE_SCHEMA(('AUTOMOTIVE_DESIGN { 1 0 10303 214 1 1 1 1 }'));
ENDSEC;
DATA;
"""
CONTEXT = """#900000=(GEOMETRIC_REPRESENTATION_CONTEXT(3)GLOBAL_UNIT_ASSIGNED_CONTEXT((#900001,#900002))
REPRESENTATION_CONTEXT('a','3D'));
#900001=({unit});
#900002=(NAMED_UNIT(*)PLANE_ANGLE_UNIT()SI_UNIT($,.RADIAN.));
"""
MILLIMETRE = "LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT(.MILLI.,.METRE.)"
METRE = "LENGTH_UNIT()NAMED_UNIT(*)SI_UNIT($,.METRE.)"
FACES = ((0, 1, 3, 2), (4, 5, 7, 6), (0, 1, 5, 4), (2, 3, 7, 6), (0, 2, 6, 4), (1, 3, 7, 5))
IDENTITY = ((0.0, 0.0, 0.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0))


def corners(least: Span, greatest: Span) -> list[Span]:
    """Return the eight corners of a box, x slowest."""
    return [(x, y, z) for x, y, z in product(*zip(least, greatest, strict=True))]


def vrml_faces(least: Span, greatest: Span, scale: float = 1 / 2.54) -> str:
    """Return a Shape node that draws a box given in mm."""
    points = ",".join(" ".join(f"{scale * value:.6f}" for value in corner) for corner in corners(least, greatest))
    index = ",".join(",".join(map(str, face)) + ",-1" for face in FACES)
    return (
        f"Shape {{ geometry IndexedFaceSet\n{{ creaseAngle 0.50 coordIndex [{index}]\n"
        f"coord Coordinate {{ point [{points}]\n}}}}\nappearance Appearance{{material USE PIN-01 }}\n}}\n"
    )


def vrml_box(least: Span, greatest: Span) -> str:
    """Return a VRML file with one box given in mm."""
    return VRML_HEAD + vrml_faces(least, greatest)


class StepFile:
    """The data section of a STEP file while it is written."""

    def __init__(self, unit: str = MILLIMETRE, more: str = "") -> None:
        """Begin a file in a unit of length."""
        self.lines = [CONTEXT.format(unit=unit) + more]
        self.last = 0

    def add(self, words: str) -> int:
        """Add an entity and return its number."""
        self.last += 1
        self.lines.append(f"#{self.last}={words};\n")
        return self.last

    def text(self) -> str:
        """Return the whole file."""
        return STEP_HEAD + "".join(self.lines) + "ENDSEC;\nEND-ISO-10303-21;\n"

    def point(self, place: Sequence[float], kind: str = "CARTESIAN_POINT") -> int:
        """Add a point or a direction."""
        return self.add(f"{kind}('',({','.join(f'{value:.6E}' for value in place)}))")

    def placement(self, origin: Sequence[float], z: Sequence[float], x: Sequence[float]) -> int:
        """Add a frame by its origin, z and x."""
        words = f"#{self.point(origin)},#{self.point(z, 'DIRECTION')},#{self.point(x, 'DIRECTION')}"
        return self.add(f"AXIS2_PLACEMENT_3D('',{words})")

    def edge(self, start: int, end: int, curve: int, sense: str = ".T.") -> int:
        """Add an edge between two vertices, turned the way it is used."""
        edge = self.add(f"EDGE_CURVE('',#{start},#{end},#{curve},{sense})")
        return self.add(f"ORIENTED_EDGE('',*,*,#{edge},.T.)")

    def solid(self, loops: Sequence[Sequence[int]], surface: int | None = None) -> int:
        """Add a solid of one face for each loop of edges, on a plane unless on a surface that was added."""
        faces = []
        far_off = self.placement((900.0, 900.0, 900.0), (0.0, 0.0, 1.0), (1.0, 0.0, 0.0))  # a plane has no corner there
        plane = surface or self.add(f"PLANE('it''s flat; (#7)',#{far_off})")
        for loop in loops:
            edges = self.add(f"EDGE_LOOP('',({','.join(f'#{edge}' for edge in loop)}))")
            bound = self.add(f"FACE_BOUND('',#{edges},.T.)")
            faces.append(self.add(f"ADVANCED_FACE('',(#{bound}),#{plane},.T.)"))
        shell = self.add(f"CLOSED_SHELL('',({','.join(f'#{face}' for face in faces)}))")
        return self.add(f"MANIFOLD_SOLID_BREP('',#{shell})")

    def box(self, least: Span, greatest: Span) -> int:
        """Add a box as a solid."""
        vertices = [self.add(f"VERTEX_POINT('',#{self.point(corner)})") for corner in corners(least, greatest)]
        loops = []
        for face in FACES:
            pairs = zip(face, (*face[1:], face[0]), strict=True)
            loops.append([self.edge(vertices[one], vertices[other], self._line(vertices[one])) for one, other in pairs])
        return self.solid(loops)

    def _line(self, vertex: int) -> int:
        return self.add(f"LINE('',#{vertex},#{vertex})")

    def lying_cylinder(self, radius: float, length: float, seam: Span) -> int:
        """Add a cylinder along x through the origin whose seam lies on one side, `seam` (0, y, z) from the axis."""
        loops = []
        for x in (-length / 2, length / 2):
            vertex = self.add(f"VERTEX_POINT('',#{self.point((x, seam[1], seam[2]))})")
            frame = self.placement((x, 0.0, 0.0), (1.0, 0.0, 0.0), (0.0, 1.0, 0.0))
            loops.append([self.edge(vertex, vertex, self.add(f"CIRCLE('',#{frame},{radius})"))])
        return self.solid(loops)

    def bent_wire(self, bend: float, radius: float) -> int:
        """Add a quarter of a torus in the plane of x and z, from over the origin to beside it; its seam lies inside."""
        ring = self.placement((0.0, 0.0, 0.0), (0.0, -1.0, 0.0), (1.0, 0.0, 0.0))
        ends, seam = [], bend - radius
        for place, z, out in (
            ((bend, 0.0, 0.0), (0.0, 0.0, 1.0), (-1.0, 0.0, 0.0)),
            ((0.0, 0.0, bend), (-1.0, 0.0, 0.0), (0.0, 0.0, -1.0)),
        ):
            vertex = self.add(
                f"VERTEX_POINT('',#{self.point([c + radius * o for c, o in zip(place, out, strict=True)])})"
            )
            ends.append((vertex, self.add(f"CIRCLE('',#{self.placement(place, z, out)},{radius})")))
        edges = [self.edge(vertex, vertex, circle) for vertex, circle in ends]
        along = self.edge(ends[0][0], ends[1][0], self.add(f"CIRCLE('',#{ring},{seam})"))
        surface = self.add(f"TOROIDAL_SURFACE('',#{ring},{bend},{radius})")
        return self.solid([[edges[0], along, edges[1], along]], surface)

    def dome(self, radius: float) -> int:
        """Add the half of a sphere over the plane of x and y that its rim alone bounds, with a vertex on its pole."""
        frame = self.placement(*IDENTITY)
        side, pole = (
            self.add(f"VERTEX_POINT('',#{self.point(place)})") for place in ((radius, 0.0, 0.0), (0.0, 0.0, radius))
        )
        rim = self.edge(side, side, self.add(f"CIRCLE('',#{frame},{radius})"))
        upright = self.placement((0.0, 0.0, 0.0), (0.0, -1.0, 0.0), (1.0, 0.0, 0.0))
        seam = self.edge(side, pole, self.add(f"CIRCLE('',#{upright},{radius})"))
        return self.solid([[rim, seam, seam]], self.add(f"SPHERICAL_SURFACE('',#{frame},{radius})"))

    def shape(self, *items: int, kind: str = "ADVANCED_BREP_SHAPE_REPRESENTATION") -> int:
        """Add a shape that holds solids and frames."""
        return self.add(f"{kind}('',({','.join(f'#{item}' for item in items)}),#900000)")

    def place(self, part: int, holder: int, origin: Span, z: Span, x: Span) -> None:
        """Place one shape in another, the way an assembly does."""
        own, target = self.placement(*IDENTITY), self.placement(origin, z, x)
        move = self.add(f"ITEM_DEFINED_TRANSFORMATION('','',#{own},#{target})")
        self.add(
            f"(REPRESENTATION_RELATIONSHIP('','',#{part},#{holder})REPRESENTATION_RELATIONSHIP_WITH_TRANSFORMATION"
            f"(#{move})SHAPE_REPRESENTATION_RELATIONSHIP())"
        )


def step_box(least: Span, greatest: Span, unit: str = MILLIMETRE, more: str = "") -> str:
    """Return a STEP file with one box."""
    file = StepFile(unit, more)
    file.shape(file.placement(*IDENTITY), file.box(least, greatest))
    return file.text()
