"""The parts' nodes: bodies over the board, and the joints that hold them to their lands.

The target and every large neighbour have a top face, a core, an underside, and a node for each joint (its solder and
lead foot); a small neighbour is one node, joined to its lands directly; one too far off to matter has none and is read
off the board under it. All are laid down at once: a window holds hundreds of joints, and a survey hundreds of windows.
"""

from dataclasses import dataclass
from math import inf

import numpy as np
import shapely
from scipy.sparse import coo_array, csr_array
from shapely.geometry.base import BaseGeometry

from leeward.board.records import Pad, Side
from leeward.heat import bodies
from leeward.heat.board_nodes import Plan
from leeward.heat.coverage import Overlap, overlaps
from leeward.heat.draft import Draft
from leeward.heat.grid import Floats
from leeward.heat.records import BodyNodes, Bools, FaceKind, Ints, Joint
from leeward.heat.spreading import gaps_mm, ground_mm2, spreading_k_w
from leeward.parts.records import Part

SIDES: tuple[Side, Side] = ("top", "bottom")
LEAST_BODY_J_K = 1e-5
FACE_SHARE = 0.25  # of a body's heat capacity, that its top face stands for, and its underside
MELTS_WITHIN_MM = 10.0  # neighbours' solder further from the target than this is not melted


@dataclass(frozen=True, slots=True)
class Standing:
    """What the parts brought: their bodies' nodes, their joints, and how the joints are read from the nodes."""

    bodies: dict[str, BodyNodes]
    solid: frozenset[str]  # ids of those that have nodes of their own
    joints: tuple[Joint, ...]
    reads: csr_array  # (joints, nodes so far): shares that sum to 1


@dataclass(frozen=True, slots=True)
class _Fitted:
    """The fitted parts, (p,) each: their body nodes, and which have nodes, faces and joints of their own."""

    parts: list[Part]
    top: Ints
    core: Ints
    underside: Ints
    solid: Bools
    layered: Bools
    is_target: Bools


@dataclass(frozen=True, slots=True)
class _Lands:
    """What joints stand on, (k,) each: index of the pad, a node of the board, and its share of the pad."""

    pad: Ints
    node: Ints
    share: Floats
    spread_k_w: Floats  # (pads,) what each land resists beyond its cells

    def only(self, kept: Bools) -> "_Lands":
        """Return the entries that are kept."""
        return _Lands(self.pad[kept], self.node[kept], self.share[kept], self.spread_k_w)


@dataclass(frozen=True, slots=True)
class Ground:
    """What lies under lands, by side, top first: k t of the outer sheet, of its laminate and its foil, the way down."""

    sheet_w_k: Floats  # (2, columns)
    bare_w_k: Floats  # (2,)
    foil_w_k: Floats  # (2,)
    through_w_m2k: Floats  # (2,)
    cell_mm2: Floats  # (columns,)

    def spreading_k_w(self, pads: list[Pad], owner: Ints, side: Ints, found: Overlap) -> Floats:
        """Return what lands resist beyond what their cells do, K/W, (k,); `side` (k,) tells where each lies."""
        cells, at = self.cell_mm2[found.cell], side[found.shape]
        land = np.bincount(found.shape, found.area_mm2, minlength=side.size)
        all_cells = np.bincount(found.shape, cells, minlength=side.size)
        along = np.bincount(found.shape, self.sheet_w_k[at, found.cell] * cells, minlength=side.size)
        covered = np.zeros((len(SIDES), self.cell_mm2.size))
        np.add.at(covered, (at, found.cell), found.area_mm2)
        entry = np.bincount(found.shape, found.area_mm2 * covered[at, found.cell] / cells, minlength=side.size)
        land, entry = np.maximum(land, 1e-9), np.maximum(entry, 1e-9)  # lands off the board
        round_w_k = (along - (self.bare_w_k + self.foil_w_k)[side] * land) / np.maximum(all_cells - land, 1e-9)
        sheet_w_k = np.maximum(round_w_k, self.bare_w_k[side])
        short_mm = np.minimum([max(bodies.short_side_mm(pad.copper), 1e-3) for pad in pads], np.sqrt(land))
        through = self.through_w_m2k[side]
        slope_1_mm = np.sqrt(through / sheet_w_k) * 1e-3
        own = ground_mm2(land, short_mm, gaps_mm([pad.copper for pad in pads], owner), slope_1_mm)
        return spreading_k_w(land, land**2 / entry, own, sheet_w_k, through)


def add_parts(
    draft: Draft, fitted: list[Part], target: Part, at: Plan, ground: Ground, bodies_mm: float = inf
) -> Standing:
    """Add bodies and joints of the fitted parts no further off than `bodies_mm`, and the links to the board below."""
    solid = _within(bodies_mm, [part.body for part in fitted], target.leads)
    solid |= ~np.array([bodies.follows_the_board(part) for part in fitted], dtype=bool)
    below = _cover_of([part.body for part in fitted], at)
    on_top = np.array([part.footprint.side == "top" for part in fitted], dtype=bool)[below.shape]
    outer = np.where(on_top, at.outer("top", below.cell), at.outer("bottom", below.cell))
    standing = _add_bodies(draft, fitted, target, solid, _middles(below, outer, len(fitted)))
    stood_on = solid[below.shape]
    film_w_k = _films_w_m2k(standing)[below.shape] * below.area_mm2 * 1e-6
    draft.link(standing.underside[below.shape[stood_on]], outer[stood_on], film_w_k[stood_on])
    owner = np.repeat(np.arange(len(fitted)), [len(bodies.soldered_pads(part)) for part in fitted])
    pads = [pad for part in fitted for pad in bodies.soldered_pads(part)]
    sides = [bodies.joint_sides(fitted[i], pad) for i, pad in zip(owner, pads, strict=True)]
    lands = _lands(pads, owner, sides, at, ground)
    reads = _add_joints(draft, standing, owner, pads, lands, _near(pads, target))
    soldered = np.flatnonzero(np.diff(reads.indptr))
    of_body = np.column_stack([standing.top, standing.core, standing.underside]).tolist()
    return Standing(
        solid=frozenset(part.id for part, own in zip(fitted, standing.solid, strict=True) if own),
        bodies={part.id: BodyNodes(*nodes) for part, nodes in zip(fitted, of_body, strict=True)},
        joints=tuple(_joint(fitted[owner[i]], pads[i], sides[i][0]) for i in soldered),
        reads=reads[soldered],
    )


def _within(most_mm: float, shapes: list[BaseGeometry], target: BaseGeometry) -> Bools:
    if most_mm == inf:
        return np.ones(len(shapes), dtype=bool)
    shapely.prepare(target)
    return np.asarray(shapely.dwithin(target, np.array(shapes, dtype=object), most_mm))


def _middles(below: Overlap, outer: Ints, count: int) -> Ints:
    """Return the board's node that lies under most of each body, (p,); -1 where none does."""
    order = np.lexsort((-below.area_mm2, below.shape))
    middle = np.full(count, -1, dtype=np.intp)
    shape, first = np.unique(below.shape[order], return_index=True)
    middle[shape] = outer[order][first]
    return middle


def _add_bodies(draft: Draft, fitted: list[Part], target: Part, wanted: Bools, middle: Ints) -> _Fitted:
    """Add the bodies that are wanted; of the others the node is that of the board under their middle."""
    solid = wanted | (middle < 0)
    is_target = np.array([part.id == target.id for part in fitted], dtype=bool)
    layered = solid & (is_target | np.array([bodies.is_large(part) for part in fitted], dtype=bool))
    capacity = np.array([max(part.heat_capacity_j_k, LEAST_BODY_J_K) for part in fitted])
    core = middle.copy()
    core[solid] = draft.add_nodes(np.where(layered, 1 - 2 * FACE_SHARE, 1.0)[solid] * capacity[solid])
    through = np.array([bodies.half_body_conductance_w_k(fitted[i]) for i in np.flatnonzero(layered)])
    top, underside = core.copy(), core.copy()
    for face in (top, underside):
        face[layered] = draft.add_nodes(FACE_SHARE * capacity[layered])
        draft.link(face[layered], core[layered], through)
    standing = _Fitted(fitted, top, core, underside, solid, layered, is_target)
    chosen = np.flatnonzero(solid)
    points = [bodies.sample_points(fitted[i].body) for i in chosen]
    counts = np.array([len(each) for each in points], dtype=np.intp)
    owner, share = np.repeat(chosen, counts), np.repeat(1 / counts, counts)
    top_mm2 = np.array([float(part.body.area) for part in fitted])
    walls_mm2 = np.array([bodies.wall_area_mm2(part) for part in fitted])
    # A wall's air meets each layer by its height.
    middle_mm2, end_mm2 = (1 - 2 * FACE_SHARE) * walls_mm2, FACE_SHARE * walls_mm2
    for node, area_mm2 in ((top, top_mm2 + end_mm2), (core, middle_mm2), (underside, end_mm2)):
        _open(draft, standing, owner, node[owner], area_mm2[owner] * share, np.vstack(points), FaceKind.BODY)
    return standing


def _films_w_m2k(standing: _Fitted) -> Floats:
    """Return what leads from each body to the board: its film of air, and of a body of one node its lower half."""
    films = np.array([bodies.film_conductance_w_m2k(part.lead_style.value) for part in standing.parts])
    halves = np.array([bodies.half_body_conductance_w_k(part) / part.body.area * 1e6 for part in standing.parts])
    return np.where(standing.layered, films, 1 / (1 / films + 1 / halves))


def _lands(pads: list[Pad], owner: Ints, sides: list[tuple[Side, ...]], at: Plan, ground: Ground) -> _Lands:
    found = _cover_of([pad.copper for pad in pads], at)
    first = np.array([SIDES.index(each[0]) for each in sides], dtype=np.intp)
    spread_k_w = ground.spreading_k_w(pads, owner, first, found) / np.array([len(each) for each in sides])
    looked_at = np.array([[side in each for side in SIDES] for each in sides], dtype=bool).reshape(-1, len(SIDES))
    held_mm2 = np.bincount(found.shape, found.area_mm2, minlength=len(pads)) * looked_at.sum(axis=1)
    on = [looked_at[found.shape, k] for k in range(len(SIDES))]
    pad = np.concatenate([found.shape[one] for one in on])
    node = np.concatenate([at.outer(side, found.cell[one]) for side, one in zip(SIDES, on, strict=True)])
    area_mm2 = np.concatenate([found.area_mm2[one] for one in on])
    return _Lands(pad, node, area_mm2 / held_mm2[pad], spread_k_w)


def _add_joints(draft: Draft, standing: _Fitted, owner: Ints, pads: list[Pad], lands: _Lands, near: Bools) -> csr_array:
    """Join lands to bodies, of layered parts through a node of each joint's own.

    Return how the temperature of each pad's joint is read, (pads, nodes); rows of pads off the board are empty.
    """
    styles = [standing.parts[i].lead_style.value for i in owner]
    into_body = np.array([bodies.lead_conductance_w_k(style, pad) for style, pad in zip(styles, pads, strict=True)])
    core = standing.core[owner]
    through_joint = standing.layered[owner][lands.pad]
    plain, own = lands.only(~through_joint), lands.only(through_joint)
    spread_w_k = np.where(standing.solid[owner], into_body / (1 + into_body * lands.spread_k_w), 0.0)
    joined = plain.only(standing.solid[owner][plain.pad])
    draft.link(joined.node, core[joined.pad], spread_w_k[joined.pad] * joined.share)
    jointed = np.unique(own.pad)
    node = np.full(len(pads), -1, dtype=np.intp)
    node[jointed] = draft.add_nodes(np.array([bodies.joint_capacity_j_k(styles[i], pads[i]) for i in jointed]))
    draft.link(node[jointed], core[jointed], into_body[jointed])
    solder_k_w = 1 / np.array([bodies.solder_conductance_w_k(pad) for pad in pads])
    draft.link(own.node, node[own.pad], own.share / (solder_k_w + lands.spread_k_w)[own.pad])
    draft.solder += [(int(node[i]), bodies.solder_mm3(pads[i])) for i in jointed if near[i]]
    lead_mm2 = np.array([bodies.lead_area_mm2(styles[i], pads[i]) for i in jointed])
    places = np.array([(pads[i].x_mm, pads[i].y_mm) for i in jointed]).reshape(-1, 2)
    _open(draft, standing, owner[jointed], node[jointed], lead_mm2, places, FaceKind.LEAD)
    # A land is warmer or colder than its cells by what spreads from it.
    lean, direct = spread_w_k * lands.spread_k_w, np.unique(joined.pad)
    rows = np.concatenate([plain.pad, direct, jointed])
    at = np.concatenate([plain.node, core[direct], node[jointed]])
    shares = np.concatenate([plain.share * (1 - lean[plain.pad]), lean[direct], np.ones(jointed.size)])
    return csr_array(coo_array((shares, (rows, at)), shape=(len(pads), draft.nodes)))


def _near(pads: list[Pad], target: Part) -> Bools:
    """Return which pads lie so near to the target that their solder may melt, (pads,)."""
    own = shapely.unary_union([target.leads, *(pad.copper for pad in target.footprint.pads)])
    shapely.prepare(own)
    near: Bools = shapely.dwithin(own, np.array([pad.copper for pad in pads], dtype=object), MELTS_WITHIN_MM)
    return near


def _joint(part: Part, pad: Pad, side: Side) -> Joint:
    return Joint(part.id, pad.number, pad.x_mm, pad.y_mm, side)


def _open(
    draft: Draft, standing: _Fitted, owner: Ints, node: Ints, area_mm2: Floats, places: Floats, kind: FaceKind
) -> None:
    """Open nodes of parts to the air at places (k, 2)."""
    on_top = np.array([part.footprint.side == "top" for part in standing.parts], dtype=bool)[owner]
    own = standing.is_target[owner]
    for side in SIDES:
        for whose in (True, False):
            kept = (on_top == (side == "top")) & (own == whose)
            x, y = places[kept].T
            draft.add_faces(node[kept], area_mm2[kept] * 1e-6, x, y, kind, on_top=side == "top", of_target=whose)


def _cover_of(shapes: list[BaseGeometry], at: Plan) -> Overlap:
    """Return which columns each shape covers by how much, mm2; what lies off the board is left out."""
    found = overlaps(shapes, at.grid)
    column = at.column.ravel()[found.cell]
    on_board = column >= 0
    return Overlap(found.shape[on_board], column[on_board], found.area_mm2[on_board])
