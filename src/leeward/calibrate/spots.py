"""Where thermocouples sit, and which nodes of a model they read."""

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_array, csr_array

from leeward.board.records import Side
from leeward.calibrate.run_file import Channel
from leeward.errors import InputError, Place
from leeward.heat.grid import Floats
from leeward.heat.records import Ints, ThermalModel
from leeward.parts.order import natural_key
from leeward.parts.overrides import nearest
from leeward.parts.records import Part, Parts


@dataclass(frozen=True, slots=True)
class Spot:
    """One place on the board or on a part. With a part: its pad, or the middle of its top where `pad` is None."""

    x_mm: float
    y_mm: float
    side: Side
    part_id: str | None = None
    pad: str | None = None
    on: str = ""  # in words


def spot_of(channel: Channel, target: Part, parts: Parts, run_file: str) -> Spot:
    """Return where a channel sits. Raises InputError for a part or a pad that the board does not have."""
    if channel.x_mm is not None and channel.y_mm is not None and channel.side is not None:
        return board_spot(channel.x_mm, channel.y_mm, channel.side)
    part = target if channel.ref is None else _named(channel, parts, run_file)
    return top_spot(part) if channel.pad is None else _pad_spot(channel.pad, part, channel.name, run_file)


def board_spot(x_mm: float, y_mm: float, side: Side) -> Spot:
    """Return a place on the board itself."""
    return Spot(x_mm, y_mm, side, on=f"board, x {x_mm:g}, y {y_mm:g}, {side}")


def top_spot(part: Part) -> Spot:
    """Return the middle of a part's top."""
    middle = part.body.centroid
    return Spot(middle.x, middle.y, part.footprint.side, part.id, None, f"{part.ref}, middle of its top")


def pad_spot(part: Part, number: str, x_mm: float, y_mm: float) -> Spot:
    """Return a pad of a part."""
    return Spot(x_mm, y_mm, part.footprint.side, part.id, number, f"{part.ref} pad {number}")


def _named(channel: Channel, parts: Parts, run_file: str) -> Part:
    found = [part for part in parts.by_id.values() if channel.ref in (part.ref, part.id)]
    if len(found) == 1:
        return found[0]
    what = f"channel {channel.name}: no part {channel.ref} on this board"
    if found:
        what = f"channel {channel.name}: {len(found)} parts are called {channel.ref}; one of them is {found[0].id}"
    refs = sorted({part.ref for part in parts.by_id.values()}, key=natural_key)
    hint = "" if found else nearest(channel.ref or "", refs)
    raise InputError(what + hint, do="name the part by its reference or its id", place=Place(run_file))


def _pad_spot(number: str, part: Part, channel: str, run_file: str) -> Spot:
    for pad in part.footprint.pads:
        if pad.number == number:
            return pad_spot(part, number, pad.x_mm, pad.y_mm)
    numbers = [pad.number for pad in part.footprint.pads]
    raise InputError(
        f"channel {channel}: {part.ref} has no pad {number}{nearest(number, numbers)}",
        do="give the pad's number as the footprint has it",
        place=Place(run_file),
    )


def readings(model: ThermalModel, spots: tuple[Spot, ...]) -> csr_array:
    """Return the matrix (k, n) by which a nodal field tells what each spot has.

    A pad reads its joint, a part the top of its body, the board a straight line between the middles of its cells.
    Raises InputError for a spot outside the model's window.
    """
    rows = [_row(model, spot) for spot in spots]
    at = np.repeat(np.arange(len(rows)), [nodes.size for nodes, _ in rows])
    nodes = np.concatenate([nodes for nodes, _ in rows])
    shares = np.concatenate([shares for _, shares in rows])
    return csr_array(coo_array((shares, (at, nodes)), shape=(len(spots), model.capacity_j_k.size)))


def _row(model: ThermalModel, spot: Spot) -> tuple[Ints, Floats]:
    if spot.part_id is None:
        return _board_row(model, spot)
    if spot.pad is None:
        if spot.part_id not in model.bodies:
            raise _outside(spot)
        return np.array([model.bodies[spot.part_id].top_face], dtype=np.intp), np.ones(1)
    own = [i for i, joint in enumerate(model.joints) if (joint.part_id, joint.pad) == (spot.part_id, spot.pad)]
    if not own:
        raise _outside(spot)
    # Lands of one number may be several; the one at the spot's own place is meant.
    nearest_own = min(own, key=lambda i: np.hypot(model.joints[i].x_mm - spot.x_mm, model.joints[i].y_mm - spot.y_mm))
    row = model.joint_share[[nearest_own]].tocoo()
    return row.coords[1].astype(np.intp), row.data


def _board_row(model: ThermalModel, spot: Spot) -> tuple[Ints, Floats]:
    grid = model.grid
    x, x_share = _between(grid.x_mm, spot.x_mm)
    y, y_share = _between(grid.y_mm, spot.y_mm)
    edges = (grid.x_edges_mm[0], grid.x_edges_mm[-1], grid.y_edges_mm[0], grid.y_edges_mm[-1])
    inside = edges[0] <= spot.x_mm <= edges[1] and edges[2] <= spot.y_mm <= edges[3]
    columns = model.column[np.ix_(y, x)]
    shares = np.where(columns >= 0, np.outer(y_share, x_share), 0.0)
    if not inside or shares.sum() < 1e-6:
        raise _outside(spot)
    held = shares > 0
    first = 0 if spot.side == "top" else (len(model.stack.sheets) - 1) * model.columns
    return (columns[held] + first).astype(np.intp), shares[held] / shares.sum()


def _between(centres: Floats, value: float) -> tuple[Ints, Floats]:
    """Return the two centres round a value and their shares; the outermost one twice beyond it."""
    after = int(np.searchsorted(centres, value))
    pair = np.clip([after - 1, after], 0, centres.size - 1).astype(np.intp)
    width = centres[pair[1]] - centres[pair[0]]
    share = 0.5 if width <= 0 else float((value - centres[pair[0]]) / width)
    return pair, np.array([1 - share, share])


def _outside(spot: Spot) -> InputError:
    return InputError(
        f"no temperature is computed for {spot.on}: it is not soldered, or too far from the target",
        do="place that channel within 40 mm of the target",
    )
