"""What we read of a board, drawn into a new board, lies exactly under KiCad's own plot of the original.

Our pads, courtyards and outline are written by kiutils as filled polygons on user layers of a new board in KiCad 6's
grammar. KiCad 6 (Debian's kicad, 6.0.11, module pcbnew, no display needed) opens both boards and plots them in Gerber:
the original's copper, edge and courtyard layers, the new board's user layers. The plots are read here, after Ucamco's
Gerber layer format specification (revision 2022.02, chapters 4 and 5), as far as KiCad writes it, and laid over each
other. In a plot every pad is a shape of its own and bears its part and number.
"""

import re
import subprocess
from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from math import atan2, cos, hypot, sin, tau
from pathlib import Path

import pytest
import shapely
import shapely.affinity
from kiutils.board import Board as FileBoard
from kiutils.items.common import Position
from kiutils.items.gritems import GrPoly
from shapely.geometry.base import BaseGeometry

from leeward.board.read import read
from leeward.board.records import Board
from needs import system_pcbnew

pytestmark = pytest.mark.kicad

ROOT = Path(__file__).parent.parent.parent
BOARDS = (ROOT / "sample_boards" / "tide_logger.kicad_pcb", ROOT / "tests" / "fixtures" / "tide_bell_v5.kicad_pcb")
# The new board's layers, and the original's that lie under them.
PADS = {"Eco1.User": "F.Cu", "Eco2.User": "B.Cu"}
COURTYARDS = {"Cmts.User": "F.CrtYd", "Margin": "B.CrtYd"}
OUTLINE = {"Dwgs.User": "Edge.Cuts"}
# A plot holds true arcs, our chords stay within 0.001 mm of them; KiCad 6 breaks the round edges of custom pads into
# chords within 0.005 mm. Half a micrometre more is left for rounding.
CHORD_MM = 0.001
APART_MM = 0.0015
CUSTOM_APART_MM = 0.0055

PLOT = r"""
import sys
import pcbnew

path, folder, *layers = sys.argv[1:]
board = pcbnew.LoadBoard(path)
plotter = pcbnew.PLOT_CONTROLLER(board)
options = plotter.GetPlotOptions()
options.SetOutputDirectory(folder)
options.SetPlotFrameRef(False)
options.SetUseGerberX2format(True)
options.SetIncludeGerberNetlistInfo(True)
options.SetGerberPrecision(6)
options.SetDrillMarksType(pcbnew.PCB_PLOT_PARAMS.NO_DRILL_SHAPE)
for layer in layers:
    plotter.SetLayer(board.GetLayerID(layer))
    plotter.OpenPlotfile(layer, pcbnew.PLOT_FORMAT_GERBER, layer)
    plotter.PlotLayer()
plotter.ClosePlot()
"""


@dataclass(frozen=True, slots=True)
class Shape:
    """What a plot draws at once: a stroke's middle line, or the area of a flash or a region; mm, y down."""

    kind: str  # stroke, flash or region
    part: str  # the reference of the part that it belongs to
    pad: str  # "U1,3" for pad 3 of U1, "" for what is no pad
    drawn: BaseGeometry


class Plot:
    """A Gerber file as KiCad writes it: metric, absolute, full circles, three kinds of apertures and its own macros."""

    def __init__(self, text: str) -> None:
        self.shapes: list[Shape] = []
        self._apertures: dict[str, BaseGeometry] = {}
        self._polygons: dict[str, list[float]] = {}
        self._attributes: dict[str, str] = {}
        self._aperture, self._bend, self._region = "", "G01", False
        self._here = (0.0, 0.0)
        self._path: list[tuple[float, float]] = []
        for word in re.findall(r"%[^%]*%|[^*%]+\*", re.sub(r"\s*\n", "", text)):
            self._obey(word.strip("%*"))
        self._end_path()

    def _obey(self, word: str) -> None:
        if word.startswith("ADD"):
            number, shape, sizes = re.fullmatch(r"ADD(\d+)(\w+),(.*)", word).groups()  # type: ignore[union-attr]  # a word of another form ends the test
            given = [*self._polygons.get(shape, []), *(float(size) for size in sizes.split("X"))]
            self._apertures[f"D{number}"] = aperture(shape, given)
        elif word.startswith("AMFreePoly"):  # KiCad's macro for one custom pad: corners, to be turned by $1
            name, corners = re.fullmatch(r"AM(\w+)\*4,1,\d+,(.*),\$1", word).groups()  # type: ignore[union-attr]  # a word of another form ends the test
            self._polygons[name] = [float(number) for number in corners.split(",")]
        elif word.startswith("TO"):
            self._end_path()
            self._attributes[word[3]] = word[5:]
        elif word == "TD":
            self._end_path()
            self._attributes.clear()
        elif word in ("G36", "G37"):
            self._end_path()
            self._region = word == "G36"
        elif word in ("G01", "G02", "G03"):
            self._bend = word
        elif re.fullmatch(r"D\d\d+", word):
            self._aperture = word
        elif word[0] == "X":
            self._draw(word)
        else:
            assert re.match(r"G04|G75|FSLAX46Y46|MOMM|LPD|AM|T[FAD]|M02", word), word

    def _draw(self, word: str) -> None:
        x, y, _, i, j, operation = re.fullmatch(r"X(-?\d+)Y(-?\d+)(I(-?\d+)J(-?\d+))?(D0[123])", word).groups()  # type: ignore[union-attr]  # a word of another form ends the test
        there = (int(x) * 1e-6, -int(y) * 1e-6)
        if operation == "D01":
            self._path = self._path or [self._here]
            self._path += [there] if self._bend == "G01" else self._arc(there, int(i) * 1e-6, -int(j) * 1e-6)
        else:
            self._end_path()
        if operation == "D03":
            flashed = shapely.transform(self._apertures[self._aperture], lambda points: points + there)
            self._keep("flash", flashed)
        self._here = there

    def _arc(self, there: tuple[float, float], i: float, j: float) -> Iterator[tuple[float, float]]:
        """Yield points along an arc; seen with y down, G03 still turns counter-clockwise as drawn."""
        x, y = self._here[0] + i, self._here[1] + j
        begin, end = atan2(-j, -i), atan2(there[1] - y, there[0] - x)
        turn = tau if there == self._here else (begin - end if self._bend == "G03" else end - begin) % tau
        sweep = -turn if self._bend == "G03" else turn
        for step in range(1, 256):
            angle = begin + sweep * step / 256
            yield x + hypot(i, j) * cos(angle), y + hypot(i, j) * sin(angle)
        yield there

    def _end_path(self) -> None:
        if self._region and len(self._path) > 2:
            self._keep("region", shapely.buffer(shapely.polygons(self._path), 0))
        elif len(self._path) > 1:
            self._keep("stroke", shapely.linestrings(self._path))
        self._path = []

    def _keep(self, kind: str, drawn: BaseGeometry) -> None:
        pad = ",".join(self._attributes.get("P", "").split(",")[:2])
        self.shapes.append(Shape(kind, self._attributes.get("C", ""), pad, drawn))


def aperture(shape: str, sizes: list[float]) -> BaseGeometry:
    """Return what an aperture flashes, round its own origin, y down."""
    if shape == "C":
        return shapely.buffer(shapely.points(0.0, 0.0), sizes[0] / 2, quad_segs=256)
    if shape == "R":
        return shapely.box(-sizes[0] / 2, -sizes[1] / 2, sizes[0] / 2, sizes[1] / 2)
    if shape == "O":
        radius = min(sizes) / 2
        ends = [(sizes[0] / 2 - radius, sizes[1] / 2 - radius), (radius - sizes[0] / 2, radius - sizes[1] / 2)]
        return shapely.buffer(shapely.linestrings(ends), radius, quad_segs=256)
    if shape == "RoundRect":  # KiCad's macro: the box of four corners, grown by a radius
        return shapely.buffer(polygon(sizes[1:9]), sizes[0], quad_segs=256)
    assert shape.startswith(("Outline4P", "FreePoly"))  # KiCad's macros: corners, then degrees counter-clockwise
    return shapely.affinity.rotate(polygon(sizes[:-1]), -sizes[-1], origin=(0, 0))


def polygon(sizes: list[float]) -> BaseGeometry:
    return shapely.polygons([(x, -y) for x, y in zip(sizes[::2], sizes[1::2], strict=True)])


@dataclass(frozen=True, slots=True)
class Trip:
    """One board as we read it, and the plots of it and of what we drew, by layer."""

    board: Board
    original: dict[str, list[Shape]]
    ours: dict[str, list[Shape]]


def plots(path: Path, folder: Path, layers: Iterable[str]) -> dict[str, list[Shape]]:
    """Return what KiCad plots of some layers of a board."""
    subprocess.run(
        [system_pcbnew(), "-c", PLOT, str(path), str(folder), *layers], capture_output=True, check=True, timeout=60
    )
    found = {layer: folder / f"{path.stem}-{layer.replace('.', '_')}.gbr" for layer in layers}
    return {layer: Plot(file.read_text(encoding="utf-8")).shapes for layer, file in found.items()}


def drawn_anew(board: Board, path: Path) -> None:
    """Write a new board with our pads, courtyards and outline as filled polygons; a hole is a polygon of its own."""
    new = FileBoard.create_new()
    areas = {
        "Eco1.User": [pad.copper for part in board.footprints for pad in part.pads if "F.Cu" in pad.layers],
        "Eco2.User": [pad.copper for part in board.footprints for pad in part.pads if "B.Cu" in pad.layers],
        "Cmts.User": [part.courtyard for part in board.footprints if part.side == "top" and part.courtyard],
        "Margin": [part.courtyard for part in board.footprints if part.side == "bottom" and part.courtyard],
        "Dwgs.User": [board.outline],
    }
    for layer, found in areas.items():
        for ring in rings(found):
            points = [Position(round(x, 6), round(y, 6)) for x, y in ring.coords[:-1]]
            new.graphicItems.append(GrPoly(layer=layer, coordinates=points, width=0, fill="solid"))
    new.to_file(str(path), encoding="utf-8")


def rings(areas: Iterable[BaseGeometry]) -> Iterator[shapely.LinearRing]:
    for area in areas:
        for polygon in shapely.get_parts(area):
            yield polygon.exterior
            yield from polygon.interiors


@pytest.fixture(scope="module", params=BOARDS, ids=lambda path: path.stem)
def trip(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Trip:
    """Return a board, KiCad's plots of it, and KiCad's plots of what we read of it."""
    folder = tmp_path_factory.mktemp("plots")
    board = read(str(request.param))
    drawn_anew(board, folder / "ours.kicad_pcb")
    layers = PADS | COURTYARDS | OUTLINE
    return Trip(
        board,
        plots(request.param, folder, layers.values()),
        plots(folder / "ours.kicad_pcb", folder, layers.keys()),
    )


def pads_of(board: Board, layer: str) -> tuple[list[str], int]:
    """Return the pads with copper on a layer as a plot names them, and how many more KiCad plots no copper for.

    Those are the holes without plating that take all of their pad.
    """
    pads = [(part, pad) for part in board.footprints for pad in part.pads if layer in pad.layers]
    kept = [(part, pad) for part, pad in pads if pad.hole is None or not pad.copper.equals(pad.hole)]
    return sorted(f"{part.ref},{pad.number}" for part, pad in kept), len(pads) - len(kept)


def apart(one: BaseGeometry, other: BaseGeometry) -> float:
    """Return the worst distance between two outlines, mm, from the corners of either to the other."""
    return max(
        float(shapely.distance(shapely.points(shapely.get_coordinates(mine)), theirs.boundary).max())
        for mine, theirs in ((one, other), (other, one))
    )


def nearest(plotted: BaseGeometry, drawn: list[BaseGeometry]) -> BaseGeometry:
    """Return, and take out of `drawn`, what covers most nearly what was plotted."""
    touching = [area for area in drawn if area.intersects(plotted)]
    found = min(touching, key=lambda area: area.symmetric_difference(plotted).area)
    drawn.remove(found)
    return found


def enclosed(strokes: Iterable[BaseGeometry]) -> BaseGeometry:
    """Return the area that middle lines enclose, cut-outs taken out: the largest face that they cut the plane into."""
    faces = shapely.get_parts(shapely.polygonize(shapely.get_parts(shapely.node(shapely.union_all(list(strokes))))))
    return max(faces, key=lambda face: face.area)


def too_far(ours: BaseGeometry, plotted: BaseGeometry, limit_mm: float) -> bool:
    """Say whether two areas lie apart: at their edges, or by over 0.1 % beside what our chords leave out."""
    beside = ours.symmetric_difference(plotted).area - CHORD_MM * ours.length
    return apart(ours, plotted) > limit_mm or beside > 0.001 * plotted.area


@pytest.mark.parametrize("user_layer", PADS)
def test_pads(trip: Trip, user_layer: str) -> None:
    """Every pad that KiCad plots has one of ours under it, edge on edge, and none of ours is left over."""
    plotted = [shape for shape in trip.original[PADS[user_layer]] if shape.pad]
    drawn = [shape.drawn for shape in trip.ours[user_layer]]
    custom = {
        f"{part.ref},{pad.number}" for part in trip.board.footprints for pad in part.pads if pad.shape == "custom"
    }
    names, without_copper = pads_of(trip.board, PADS[user_layer])
    assert sorted(shape.pad for shape in plotted) == names
    wrong = [
        (shape.pad, apart(ours, shape.drawn))
        for shape in plotted
        for ours in [nearest(shape.drawn, drawn)]
        if too_far(ours, shape.drawn, CUSTOM_APART_MM if shape.pad in custom else APART_MM)
    ]
    assert wrong == []
    assert len(drawn) == without_copper


@pytest.mark.parametrize("user_layer", COURTYARDS)
def test_courtyards(trip: Trip, user_layer: str) -> None:
    """Every courtyard that KiCad plots has one of ours under it, line on line, and none of ours is left over."""
    lines: defaultdict[str, list[BaseGeometry]] = defaultdict(list)
    for shape in trip.original[COURTYARDS[user_layer]]:
        lines[shape.part].append(shape.drawn if shape.kind == "stroke" else shape.drawn.boundary)
    drawn = [shape.drawn for shape in trip.ours[user_layer]]
    assert len(lines) == len(drawn) > 0
    plotted = {part: enclosed(strokes) for part, strokes in lines.items()}
    assert [part for part, area in plotted.items() if too_far(nearest(area, drawn), area, APART_MM)] == []


def test_outline(trip: Trip) -> None:
    """The board's edge that KiCad plots has ours under it, line on line, cut-outs among it."""
    plotted = enclosed(shape.drawn for shape in trip.original["Edge.Cuts"])
    board, *holes = sorted((shape.drawn for shape in trip.ours["Dwgs.User"]), key=lambda area: -area.area)
    assert len(plotted.interiors) == len(holes) > 0
    assert not too_far(board.difference(shapely.union_all(holes)), plotted, APART_MM)
