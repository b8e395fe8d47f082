"""From parts and copper to a KiCad 6 board file, written by kiutils."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from pathlib import Path
from uuid import UUID, uuid5

import shapely
from kiutils.board import Board
from kiutils.footprint import Attributes, DrillDefinition
from kiutils.footprint import Footprint as FileFootprint
from kiutils.footprint import Pad as FilePad
from kiutils.items.brditems import LayerToken, Segment, SetupData, Stackup, StackupLayer, Via
from kiutils.items.common import Effects, Font, Justify, Net, Position, TitleBlock
from kiutils.items.fpitems import FpCircle, FpLine, FpText
from kiutils.items.gritems import GrArc, GrLine, GrText
from kiutils.items.zones import FillSettings, Hatch, KeepoutSettings, Zone, ZonePolygon

from maker.copper import Plan
from maker.grid import VIA_DIAMETER, VIA_DRILL
from maker.outlines import Pad
from maker.parts import Part, local, placed
from maker.route import Route
from maker.texts import Label, labels

FORMAT = "20211014"
NAMESPACE = UUID("8c9a1c0e-5f0b-4a55-9d0e-6f6c2f1f7a11")
ORIGIN = (100.0, 60.0)
"""Where the board's upper left corner lies on the sheet, mm."""
COPPER_LAYERS = ("F.Cu", "B.Cu")
RELIEF_GAP, RELIEF_BRIDGE, POUR_CLEARANCE, POUR_WIDTH = 0.25, 0.3, 0.2, 0.2
SILK, FAB, COURTYARD = 0.12, 0.1, 0.05
SILK_OFF_LAND = 0.2
POUR_TO_EDGE = 0.52  # KiCad's rule is 0.5; arcs are drawn as chords


def sheet(x: float, y: float, angle: float | None = None) -> Position:
    """Return a place on the board as one on the sheet."""
    return Position(neat(x + ORIGIN[0]), neat(y + ORIGIN[1]), angle)


def neat(value: float) -> float:
    """Round to a micrometre and drop a minus before zero."""
    return round(value, 3) + 0.0


def layer_of(part: Part, name: str) -> str:
    """Return the layer of that name on the part's side."""
    return ("B." if part.side == "bottom" else "F.") + name


def pad_layers(part: Part, pad: Pad) -> list[str]:
    """Return the layers that a pad is on."""
    if pad.kind in {"thru", "hole"}:
        return ["*.Cu", "*.Mask"]
    if pad.kind == "paste":
        return [layer_of(part, "Paste")]
    if pad.kind == "back":
        return ["F.Cu" if part.side == "bottom" else "B.Cu"]
    whole = part.footprint.tie == "inside" and pad.shape == "rect"
    bare = part.ref.startswith(("TP", "FID")) or whole
    names = ("Cu", "Mask") if bare else ("Cu", "Paste", "Mask")
    return [layer_of(part, name) for name in names]


def file_pad(part: Part, pad: Pad, numbers: Mapping[str, int]) -> FilePad:
    """Return a pad as the file holds it: place in the part's frame, angle in the board's."""
    net = part.nets.get(pad.number, "") if pad.number else ""
    x, y = local(part, pad.x, pad.y)
    kinds = {"thru": "thru_hole", "hole": "np_thru_hole"}
    connect = 2 if pad.number in part.solid else None if part.relief or pad.kind != "smd" or pad.width > 2 else 0
    return FilePad(
        number=pad.number,
        type=kinds.get(pad.kind, "smd"),
        shape=pad.shape,
        position=Position(neat(x), neat(y), part.rotation or None),
        size=Position(pad.width, pad.height),
        drill=DrillDefinition(diameter=pad.drill) if pad.drill else None,
        layers=pad_layers(part, pad),
        roundrectRatio=round(min(0.25, 0.25 / min(pad.width, pad.height)), 6) if pad.shape == "roundrect" else None,
        net=Net(numbers[net], net) if net else None,
        solderMaskMargin=0.5 if part.ref.startswith("FID") else None,
        zoneConnect=connect,
    )


def ring_lines(part: Part, ring: shapely.Geometry, layer: str, width: float) -> Iterator[FpLine]:
    """Yield the straight pieces of a line or ring of the drawing."""
    for line in getattr(ring, "geoms", [ring]):
        points = [Position(*(neat(v) for v in local(part, *point))) for point in line.coords]
        for start, end in zip(points, points[1:], strict=False):
            yield FpLine(start, end, layer_of(part, layer), width)


def courtyard_of(part: Part) -> shapely.Polygon | None:
    """Return the courtyard in the part's own drawing: lands and body with the excess all round."""
    footprint = part.footprint
    if footprint.courtyard is None:
        return None
    boxes = [shapely.box(*bounds) for bounds in land_boxes(part)]
    if footprint.body:
        boxes.append(shapely.box(*footprint.body))
    left, top, right, bottom = shapely.union_all(boxes).bounds
    excess = footprint.courtyard
    return shapely.box(*(neat(v) for v in (left - excess, top - excess, right + excess, bottom + excess)))


def land_boxes(part: Part) -> Iterator[tuple[float, float, float, float]]:
    """Yield the box of every land of the part's drawing."""
    for pad in part.footprint.pads:
        if pad.kind != "back":
            yield pad.x - pad.width / 2, pad.y - pad.height / 2, pad.x + pad.width / 2, pad.y + pad.height / 2


def fab_of(part: Part) -> shapely.Polygon | None:
    """Return the body's outline, with a corner cut where the first pin is."""
    if part.footprint.body is None:
        return None
    left, top, right, bottom = part.footprint.body
    cut = min(1.0, (right - left) / 4, (bottom - top) / 4) if part.footprint.marked else 0.0
    return shapely.Polygon([(left + cut, top), (right, top), (right, bottom), (left, bottom), (left, top + cut)])


def silk_of(part: Part) -> Iterator[shapely.LineString]:
    """Yield the printed outline: the body's, a little outside it, where no land is near."""
    body = shapely.box(*part.footprint.body) if part.footprint.body else old_outline(part)
    if body is None:
        return
    lands = shapely.union_all([shapely.box(*box) for box in land_boxes(part)]).buffer(SILK_OFF_LAND + SILK / 2)
    line = body.buffer(0.11, join_style="mitre").exterior.difference(lands)
    pieces = shapely.line_merge(line) if line.geom_type == "MultiLineString" else line
    yield from (piece for piece in getattr(pieces, "geoms", [pieces]) if piece.length > 0.2)


def old_outline(part: Part) -> shapely.Polygon | None:
    """Return the printed box of a drawing that has neither body nor courtyard."""
    if not part.footprint.name.startswith("shed:"):
        return None
    return shapely.box(*shapely.union_all([shapely.box(*box) for box in land_boxes(part)]).buffer(-0.3).bounds)


def drawing(part: Part) -> Iterator[FpLine | FpCircle]:
    """Yield the lines of courtyard, body and silk of a part."""
    if (courtyard := courtyard_of(part)) is not None:
        yield from ring_lines(part, courtyard.exterior, "CrtYd", COURTYARD)
    if (fab := fab_of(part)) is not None:
        yield from ring_lines(part, fab.exterior, "Fab", FAB)
    for line in silk_of(part):
        yield from ring_lines(part, line, "SilkS", SILK)
    if part.footprint.marked:
        yield first_pin_mark(part)
    if part.footprint.port:
        x, y, radius = part.footprint.port
        x, y = local(part, x, y)
        yield FpCircle(Position(x, y), Position(x + radius, y), layer_of(part, "Fab"), FAB)


def first_pin_mark(part: Part) -> FpCircle:
    """Return the dot beside the first pin, outside the lands."""
    first = part.footprint.pads[0]
    left = min(box[0] for box in land_boxes(part))
    top = min(box[1] for box in land_boxes(part))
    outward = abs(first.x) >= abs(first.y) or first.x - first.width / 2 <= left + 1e-6
    x, y = (left - 0.35, first.y) if outward else (first.x, top - 0.35)
    x, y = local(part, neat(x), neat(y))
    return FpCircle(Position(x, y), Position(neat(x + 0.1), y), layer_of(part, "SilkS"), 0.2, fill="solid")


def text(kind: str, words: str, layer: str, at: Position, height: float, *, hide: bool = False) -> FpText:
    """Return a text of a footprint, mirrored where it is read from below."""
    font = Font(height=height, width=height, thickness=round(height * 0.15, 3))
    justify = Justify(mirror=layer.startswith("B."))
    return FpText(kind, words, at, layer, hide=hide, effects=Effects(font=font, justify=justify))


def texts(part: Part, label: Label) -> list[FpText]:
    """Return reference, value and the reference on the body."""
    body = part.footprint.body or (-1, -1, 1, 1)
    fab_height = round(max(0.25, min(1.0, (body[2] - body[0]) / 4)), 2)
    upright = part.rotation if part.rotation in {0.0, 90.0, 45.0} else part.rotation - 180
    middle = Position(0, 0, upright or None)
    return [
        text("reference", part.ref, layer_of(part, "SilkS"), own_frame(part, label), label.height, hide=label.hidden),
        text(
            "value",
            part.value,
            layer_of(part, "Fab"),
            Position(0, neat(fab_height * 1.6), upright or None),
            fab_height / 2,
        ),
        text("user", "${REFERENCE}", layer_of(part, "Fab"), middle, fab_height),
    ]


def own_frame(part: Part, label: Label) -> Position:
    """Return a label's place in the part's frame, with its angle in the board's."""
    origin = placed(part, 0, 0)
    along, across = (placed(part, *axis) for axis in ((1, 0), (0, 1)))
    dx, dy = label.x - origin[0], label.y - origin[1]
    x = dx * (along[0] - origin[0]) + dy * (along[1] - origin[1])
    y = dx * (across[0] - origin[0]) + dy * (across[1] - origin[1])
    x, y = local(part, x, y)
    return Position(neat(x), neat(y), label.turned or None)


def file_footprint(part: Part, label: Label, numbers: Mapping[str, int]) -> FileFootprint:
    """Return a part as the file holds it."""
    footprint = FileFootprint(
        layer=layer_of(part, "Cu"),
        tedit="0",
        position=sheet(part.x, part.y, part.rotation or None),
        description=part.footprint.descr,
        tags=part.footprint.tags,
        properties=dict(part.fields),
        clearance=part.footprint.clearance,
        attributes=attributes(part),
    )
    footprint.libId = part.footprint.name
    footprint.graphicItems = [*texts(part, label), *drawing(part)]
    footprint.pads = [file_pad(part, pad, numbers) for pad in part.footprint.pads]
    stamp(footprint, f"part/{part.ref}")
    return footprint


def attributes(part: Part) -> Attributes:
    """Return the mounting and what is left out of lists: hardware, and what is not fitted."""
    kinds = {pad.kind for pad in part.footprint.pads}
    if part.ref.startswith(("H", "FID", "TP")):
        return Attributes(excludeFromPosFiles=True, excludeFromBom=True)
    mounting = "through_hole" if kinds == {"thru"} else "smd"
    return Attributes(mounting, excludeFromBom=not part.fitted, excludeFromPosFiles=not part.fitted)


def stamp(item: object, name: str) -> None:
    """Give an item and everything in it an id that follows from its place in the board."""
    if hasattr(item, "tstamp"):
        item.tstamp = str(uuid5(NAMESPACE, name))
    for entry in fields(item) if is_dataclass(item) else ():
        value = getattr(item, entry.name)
        for k, inner in enumerate(value if isinstance(value, list) else ()):
            if is_dataclass(inner):
                stamp(inner, f"{name}/{entry.name}/{k}")


def edge_lines(outline: shapely.Polygon) -> Iterator[GrLine | GrArc]:
    """Yield the board's edge: straight sides as lines, rounded corners and slot ends as arcs."""
    for ring in (outline.exterior, *outline.interiors):
        points = list(ring.coords)[:-1]
        sharp = [k for k in range(len(points)) if length(points, k) > 1.0]
        for here, after in zip(sharp, [*sharp[1:], sharp[0] + len(points)], strict=True):
            start, end = (points[k % len(points)] for k in (here, here + 1))
            yield GrLine(sheet(*start), sheet(*end), layer="Edge.Cuts", width=0.1)
            middle = points[((here + 1 + after) // 2) % len(points)]
            finish = points[after % len(points)]
            yield GrArc(sheet(*end), sheet(*middle), sheet(*finish), layer="Edge.Cuts", width=0.1)


def length(points: list[tuple[float, float]], k: int) -> float:
    """Return the length of the side that starts at point k."""
    a, b = points[k], points[(k + 1) % len(points)]
    return float(shapely.Point(a).distance(shapely.Point(b)))


def tracks(routes: Iterable[Route]) -> Iterator[Segment | Via]:
    """Yield the file's tracks and vias, each with an id that follows from its net and place."""
    for route in routes:
        for layer, x0, y0, x1, y1 in route.segments:
            piece = Segment(sheet(x0, y0), sheet(x1, y1), 2 * route.half, COPPER_LAYERS[layer], net=route.net)
            yield stamped(piece, f"track/{route.net}/{layer}/{x0}/{y0}/{x1}/{y1}")
        for x, y in route.vias:
            hole = Via(position=sheet(x, y), size=VIA_DIAMETER, drill=VIA_DRILL, layers=["F.Cu", "B.Cu"], net=route.net)
            yield stamped(hole, f"via/{route.net}/{x}/{y}")


def stamped(item: Segment | Via, name: str) -> Segment | Via:
    """Return the item with its id set."""
    item.tstamp = str(uuid5(NAMESPACE, name))
    return item


def pour(net: str, number: int, layer: str, outline: shapely.Polygon) -> Zone:
    """Return an unfilled pour over the whole board on one layer."""
    ring = shapely.Polygon(outline.exterior).buffer(-POUR_TO_EDGE)
    fill = FillSettings(
        yes=True, thermalGap=RELIEF_GAP, thermalBridgeWidth=RELIEF_BRIDGE, islandRemovalMode=0, islandAreaMin=0.0
    )
    zone = Zone(
        net=number,
        netName=net,
        layers=[layer],
        name=f"{net} {layer}",
        hatch=Hatch("edge", 0.5),
        clearance=POUR_CLEARANCE,
        minThickness=POUR_WIDTH,
        fillSettings=fill,
        polygons=[ZonePolygon([sheet(x, y) for x, y in list(ring.exterior.coords)[:-1]])],
    )
    zone.tstamp = str(uuid5(NAMESPACE, f"pour/{layer}"))
    return zone


def bare_rim(k: int, cut: shapely.LinearRing) -> Zone:
    """Return a rule area round a cut-out that keeps the pours away from its edge."""
    rim = shapely.Polygon(cut).buffer(POUR_TO_EDGE)
    rules = KeepoutSettings("allowed", "allowed", "allowed", "not_allowed", "allowed")
    fill = FillSettings(thermalGap=RELIEF_GAP, thermalBridgeWidth=RELIEF_BRIDGE)
    zone = Zone(
        netName="",
        layers=["F.Cu", "B.Cu", "In1.Cu", "In2.Cu"],
        name=f"rim of cut-out {k + 1}",
        hatch=Hatch("edge", 0.5),
        clearance=0.0,
        minThickness=POUR_WIDTH,
        keepoutSettings=rules,
        fillSettings=fill,
        polygons=[ZonePolygon([sheet(x, y) for x, y in list(rim.exterior.coords)[:-1]])],
    )
    zone.tstamp = str(uuid5(NAMESPACE, f"rim/{k}"))
    return zone


def stackup() -> Stackup:
    """Return four layers of 35 um copper in 1.6 mm of FR4, the inner pair 0.2 mm below the outer."""

    def dielectric(k: int, thickness: float, kind: str) -> StackupLayer:
        return StackupLayer(
            f"dielectric {k}", kind, thickness=thickness, material="FR4", epsilonR=4.5, lossTangent=0.02
        )

    def copper(name: str) -> StackupLayer:
        return StackupLayer(name, "copper", thickness=0.035)

    return Stackup(
        layers=[
            StackupLayer("F.SilkS", "Top Silk Screen"),
            StackupLayer("F.Paste", "Top Solder Paste"),
            StackupLayer("F.Mask", "Top Solder Mask", color="Green", thickness=0.01),
            copper("F.Cu"),
            dielectric(1, 0.2, "prepreg"),
            copper("In1.Cu"),
            dielectric(2, 1.04, "core"),
            copper("In2.Cu"),
            dielectric(3, 0.2, "prepreg"),
            copper("B.Cu"),
            StackupLayer("B.Mask", "Bottom Solder Mask", color="Green", thickness=0.01),
            StackupLayer("B.Paste", "Bottom Solder Paste"),
            StackupLayer("B.SilkS", "Bottom Silk Screen"),
        ],
        copperFinish="ENIG",
    )


def captions(captions_of: Iterable[tuple[str, float, float, str, float]]) -> Iterator[GrText]:
    """Yield the board's own printed words."""
    for words, x, y, layer, height in captions_of:
        font = Font(height=height, width=height, thickness=round(0.15 * height, 3))
        effects = Effects(font=font, justify=Justify(mirror=layer.startswith("B.")))
        yield GrText(words, position=sheet(x, y), layer=layer, effects=effects)


def write(
    plan: Plan,
    numbers: Mapping[str, int],
    routes: tuple[Route, ...],
    words: Iterable[tuple[str, float, float, str, float]],
    path: Path,
) -> None:
    """Write the board, its pours not yet filled, to a file of KiCad 6."""
    board = Board.create_new()
    board.version, board.generator = FORMAT, "pcbnew"
    board.layers[1:1] = [LayerToken(1, "In1.Cu", "power"), LayerToken(2, "In2.Cu", "power")]
    board.setup = SetupData(stackup=stackup())
    board.titleBlock = TitleBlock(title="Tide logger", revision="B", company="Harbour shed")
    board.nets = [Net(number, name) for name, number in numbers.items()]
    words = list(words)
    marks = labels(plan.parts, routes, words, courtyard_of, plan.outline)
    board.footprints = [file_footprint(part, marks[part.ref], numbers) for part in plan.parts]
    board.graphicItems = [*edge_lines(plan.outline), *captions(words)]
    for k, item in enumerate(board.graphicItems):
        stamp(item, f"board/{k}")
    board.traceItems = list(tracks(routes))
    pours = (("GND", "F.Cu"), ("GND", "In1.Cu"), ("3V3", "In2.Cu"), ("GND", "B.Cu"))
    board.zones = [pour(net, numbers[net], layer, plan.outline) for net, layer in pours]
    board.zones += [bare_rim(k, cut) for k, cut in enumerate(plan.outline.interiors)]
    board.to_file(str(path), encoding="utf-8")
