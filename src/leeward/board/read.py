"""Read a KiCad board file of any version from 4 to 10."""

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import Path
from typing import TypeVar

import shapely
from shapely.geometry.base import BaseGeometry

from leeward.board.arcs import turned
from leeward.board.copper import artwork, class_drills, track, via, zone
from leeward.board.edge import LAYER as EDGE
from leeward.board.edge import on_boards, outline
from leeward.board.footprints import HEADS as FOOTPRINT_HEADS
from leeward.board.footprints import footprint, place_of, with_ids
from leeward.board.graphics import HEADS as GRAPHIC_HEADS
from leeward.board.graphics import Graphic, graphic, graphics
from leeward.board.lettering import has_outlines, lettering
from leeward.board.names import Names, read_names
from leeward.board.nodes import UnreadableError, child, children, layer_of, line_of, measure, text
from leeward.board.notes import courtyard_notes, dropped_notes, text_nodes, version_notes, zone_notes
from leeward.board.pours import Around, with_estimates
from leeward.board.records import Artwork, Board, Footprint, Track, Via, Zone
from leeward.board.sexpr import GIVE, Node, collector_paused, parse
from leeward.board.stackup import stackup
from leeward.board.understood import not_understood
from leeward.board.unused_lands import without_unused
from leeward.errors import InputError, Place

DEFAULT_THICKNESS_MM = 1.6  # KiCad's own, for files that give none
# The largest boards known have about 85 MB. Text with wide characters takes up to six times its bytes while it is
# decoded, and that is to stay within a gibibyte.
LARGEST_BYTES = 150 * 2**20
SAVE = "open it in KiCad, run the design rule check and save it anew"
Made = TypeVar("Made")


@dataclass(frozen=True, slots=True)
class _File:
    """A board file as its tree: the nodes of its root by their heads, and those of its parts, whatever their head."""

    path: str
    digest: str
    version: int
    names: Names
    root: Node
    groups: defaultdict[str, list[Node]]
    part_nodes: list[Node]


def read(path: str) -> Board:
    """Return the board that the file at `path` describes.

    Raises InputError, placed at file and line, where the file cannot be opened, is no KiCad board, ends
    early, or holds a number that no board can have. The file is only ever read.
    """
    with collector_paused():
        return _read(path)


def _read(path: str) -> Board:
    root, digest = _parsed(path)
    version = _version(root, path)
    names = read_names(root, version)
    if not names.copper:
        raise InputError("the layer table names no copper layer", do=GIVE, place=Place(path, 1))
    groups = _grouped(root)
    part_nodes = [node for head in FOOTPRINT_HEADS for node in groups[head]]
    return _board(_File(path, digest, version, names, root, groups, part_nodes))


def _parsed(path: str) -> tuple[Node, str]:
    """Return the tree of a file and the digest of its bytes, which are let go before the tree grows."""
    data = _bytes(path)
    digest = sha256(data).hexdigest()
    written = _decoded(data, path)
    del data
    return parse(written, path), digest


def _bytes(path: str) -> bytes:
    data = _opened(path)
    if len(data) > LARGEST_BYTES:
        what = f"the file is larger than {LARGEST_BYTES // 2**20} MiB"
        raise InputError(what, do="leave out what is no board, such as embedded models", place=Place(path))
    return data


def _opened(path: str) -> bytes:
    """Return the file's bytes, of one that is too large or never ends no more than shows that it is."""
    try:
        with Path(path).open("rb") as file:
            return file.read(LARGEST_BYTES + 1)
    except FileNotFoundError:
        raise InputError("there is no such file", do="check the path", place=Place(path)) from None
    except IsADirectoryError:
        raise InputError("this is a directory", do=GIVE, place=Place(path)) from None
    except (OSError, ValueError) as fault:
        what = f"the file cannot be read ({getattr(fault, 'strerror', None) or fault})"
        raise InputError(what, do="check the path and its permissions", place=Place(path)) from None


def _decoded(data: bytes, path: str) -> str:
    if b"\0" in data:
        raise InputError("this is a binary file", do=GIVE, place=Place(path))
    if data.startswith(b"PCBNEW-BOARD"):
        what = "this is a board of KiCad before version 4"
        raise InputError(what, do="open it in KiCad and save it anew", place=Place(path, 1))
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        place = Place(path, data.count(b"\n", 0, fault.start) + 1)
        raise InputError("the text is not UTF-8", do="open it in KiCad and save it anew", place=place) from None


def _version(root: Node, path: str) -> int:
    if root[0] != "kicad_pcb":
        raise InputError(f"this is no board: it begins with ({str(root[0])[:40]}", do=GIVE, place=Place(path, 1))
    written = text(root, "version")
    if not written.isdecimal() or len(written) > 8:
        raise InputError("the file names no format version", do=GIVE, place=Place(path, 1))
    return int(written)


def _board(file: _File) -> Board:
    parts, drawn = _parts(file), _drawn(file)
    tracks, vias, zones = _copper(file)
    thickness = _one(file.root, _thickness, file.path)
    parts, vias = without_unused(parts, tracks, vias, zones)
    edges = [shape for shape in drawn if shape.layer == EDGE]
    area, source, edge_notes = _one(file.root, lambda _: outline(edges, _held(parts, tracks, vias, zones)), file.path)
    art = _artwork(file, drawn)
    return Board(
        file=file.path,
        sha256=file.digest,
        format_version=file.version,
        copper_layers=file.names.copper,
        layer_titles=file.names.titles,
        thickness_mm=thickness,
        stackup=_one(file.root, lambda node: stackup(node, file.names.copper, thickness), file.path),
        outline=area,
        outline_source=source,
        footprints=on_boards(parts, area),
        tracks=tracks,
        vias=vias,
        zones=with_estimates(zones, Around(area, parts, tracks, vias, art, file.names.copper)),
        artwork=art,
        notes=(
            *not_understood(file.root),
            *version_notes(file.version),
            *edge_notes,
            *zone_notes(zones),
            *courtyard_notes(parts, file.part_nodes),
            *dropped_notes(file.groups, file.part_nodes, file.names),
        ),
    )


def _parts(file: _File) -> tuple[Footprint, ...]:
    margin = _one(file.root, _mask_margin, file.path)
    return with_ids(list(_each(file.part_nodes, lambda node: footprint(node, file.names, margin), file.path)))


def _copper(file: _File) -> tuple[tuple[Track, ...], tuple[Via, ...], tuple[Zone, ...]]:
    """Return tracks, vias and zones, those that parts hold among them."""
    groups, names, path = file.groups, file.names, file.path
    drills = _one(file.root, class_drills, path)
    tracks = tuple(_each(groups["segment"] + groups["arc"], lambda node: track(node, names), path))
    vias = tuple(_each(groups["via"], lambda node: via(node, names, drills), path))
    found = _each([*groups["zone"], *file.part_nodes], lambda node: _zones(node, names, file.version), path)
    return tracks, vias, tuple(zone for zones in found for zone in zones)


def _artwork(file: _File, drawn: list[Graphic]) -> tuple[Artwork, ...]:
    """Return what is drawn and written on copper."""
    names, path = file.names, file.path
    texts = filter(has_outlines, text_nodes(file.groups, file.part_nodes, names))
    return (
        *_one(file.root, lambda _: [artwork(shape, names) for shape in drawn if shape.layer != EDGE], path),
        *_each(texts, lambda node: lettering(node, names), path),
    )


def _grouped(root: Node) -> defaultdict[str, list[Node]]:
    groups: defaultdict[str, list[Node]] = defaultdict(list)
    for entry in root:
        if isinstance(entry, list):
            groups[str(entry[0])].append(entry)
    return groups


def _each(nodes: Iterable[Node], make: Callable[[Node], Made], path: str) -> Iterator[Made]:
    return (_one(node, make, path) for node in nodes)


def _one(node: Node, make: Callable[[Node], Made], path: str) -> Made:
    """Return what `make` makes of a node; what it cannot read becomes an error placed at the node's line."""
    try:
        return make(node)
    except UnreadableError as fault:
        raise InputError(str(fault), do=SAVE, place=Place(path, line_of(node))) from None


def _drawn(file: _File) -> list[Graphic]:
    """Return what board and footprints draw on Edge.Cuts and copper layers, in the board frame."""
    wanted = file.names.written_copper | {EDGE}
    own = [node for head in sorted(GRAPHIC_HEADS) for node in file.groups.get(head, ()) if layer_of(node) in wanted]
    found = list(_each(own, graphic, file.path))
    for shapes in _each(file.part_nodes, lambda node: _drawn_by(node, wanted), file.path):
        found.extend(shapes)
    return found


def _drawn_by(node: Node, layers: frozenset[str]) -> list[Graphic]:
    place = place_of(node)
    return [replace(shape, points=turned(shape.points, *place)) for shape in graphics(node, layers)]


def _zones(node: Node, names: Names, version: int) -> list[Zone]:
    """Return the zone that a node is, or those that a footprint holds, where they lie on copper layers."""
    nodes = [node] if node[0] == "zone" else children(node, "zone")
    found = [replace(zone(entry, names, version), line=line_of(node)) for entry in nodes]
    return [entry for entry in found if entry.layers]


def _mask_margin(root: Node) -> float:
    setup = child(root, "setup")
    return 0.0 if setup is None else measure(setup, "pad_to_mask_clearance", 0.0)


def _thickness(root: Node) -> float:
    general = child(root, "general")
    thickness = DEFAULT_THICKNESS_MM if general is None else measure(general, "thickness", DEFAULT_THICKNESS_MM)
    if thickness <= 0:
        raise UnreadableError(f"the board is {thickness:g} mm thick")
    return thickness


def _held(
    parts: tuple[Footprint, ...], tracks: tuple[Track, ...], vias: tuple[Via, ...], zones: tuple[Zone, ...]
) -> Iterator[BaseGeometry]:
    """Yield the outlines of what a board holds, to put a box round where it has no edge."""
    for part in parts:
        yield from (pad.copper for pad in part.pads)
        yield from (area for area in (part.courtyard, part.fab, part.silk) if area is not None)
    yield from (shapely.linestrings(track.points) for track in tracks)
    yield from (shapely.points(via.x_mm, via.y_mm) for via in vias)
    yield from (zone.outline for zone in zones)
