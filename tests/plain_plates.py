"""Copper-free plates and plain surroundings, to put the solver before problems with closed solutions."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np
import shapely

from leeward.board.records import Side
from leeward.heat.copper import Laminate
from leeward.heat.grid import Floats, Resolution
from leeward.heat.loads import Jet
from leeward.heat.model import assemble
from leeward.heat.records import Bools, FaceKind, ThermalModel
from leeward.heat.stepping import Surroundings, march
from thermal_boards import board, footprint, land, part, parts, square

ROOM_C = 25.0
WEAK_W_M2K = 1e-3  # a jet so weak and hot that its flux does not depend on the plate


@dataclass(frozen=True, slots=True)
class Plate:
    """A plate: side and thickness, sheets through it, material, fine core; square where no width is given."""

    side_mm: float
    thick_mm: float
    sheets: int
    in_plane_w_mk: float
    through_w_mk: float
    heat_j_m3k: float
    core_mm: float
    resolution: Resolution
    wide_mm: float | None = None


def model_of(plate: Plate) -> ThermalModel:
    """Return the model of a plate through the project's own assembly, with a part too small to matter."""
    body = square(0, 0, 0.002)
    source = footprint("T1", (land("1", square(0, 0, 0.001)),), body)
    target = part(source, body, height_mm=0.01, leads=square(0, 0, plate.core_mm), heat_capacity_j_k=1e-9)
    # Copper layers as thin as nothing mark where the sheets lie.
    half_x, half_y = plate.side_mm / 2, (plate.wide_mm or plate.side_mm) / 2
    bare = board(
        shapely.box(-half_x, -half_y, half_x, half_y),
        thickness_mm=plate.thick_mm,
        layers=plate.sheets,
        copper_mm=1e-9,
        footprints=(source,),
    )
    material = Laminate(391.0, 3.4e6, plate.in_plane_w_mk, plate.through_w_mk, plate.heat_j_m3k, 0.025)
    return assemble(bare, parts(target), target, plate.resolution, material)


def surrounded(
    model: ThermalModel, *, flux_w_m2: Floats, exchange_w_m2k: Floats, air_c: float = ROOM_C
) -> Surroundings:
    """Return surroundings of a given flux into each face (m,) and a given exchange (m,) with air of one temperature."""
    share = np.where(flux_w_m2 > 0, flux_w_m2 / max(float(flux_w_m2.max()), 1e-30), 0.0)
    jet = Jet(
        outlet_c=float(flux_w_m2.max()) / WEAK_W_M2K + ROOM_C,
        ambient_c=ROOM_C,
        heat_rate_w_k=1e30,  # air without end: nothing for the limiter to do
        vented_up=0.0,
        inside=share > 0,
        h_w_m2k=WEAK_W_M2K * share,
        decay=np.ones(share.size),
        ring=np.full(share.size, -1),
        validity=(),
    )
    return Surroundings(jet, exchange_w_m2k, air_c, air_c, model.board_length_m, np.zeros(share.size))


def between(model: ThermalModel, *, hot_w_m2k: Floats, hot_c: float, cold_w_m2k: Floats, cold_c: float) -> Surroundings:
    """Return surroundings of two airs without end, with given exchanges (m,)."""
    still = surrounded(model, flux_w_m2=np.zeros(hot_w_m2k.size), exchange_w_m2k=cold_w_m2k, air_c=cold_c)
    jet = replace(still.jet, outlet_c=hot_c, inside=hot_w_m2k > 0, h_w_m2k=hot_w_m2k)
    return replace(still, jet=jet)


def board_where(model: ThermalModel, side: Side) -> Bools:
    """Return which faces are the plate's own on one side, (m,)."""
    own: Bools = model.faces.facing(side) & (model.faces.kind == FaceKind.BOARD)
    return own


def rim_where(model: ThermalModel, side: Literal["left", "right", "near", "far"]) -> Bools:
    """Return which faces lie on one side of a plate's rim, (m,): left and right along x, near and far along y."""
    along = model.faces.x_mm if side in ("left", "right") else model.faces.y_mm
    edges = model.grid.x_edges_mm if side in ("left", "right") else model.grid.y_edges_mm
    end = edges[0] if side in ("left", "near") else edges[-1]
    on_side: Bools = (model.faces.kind == FaceKind.EDGE) & (np.abs(along - end) < 1e-6)
    return on_side


def fields(
    model: ThermalModel, around: Surroundings, start_c: float, seconds: float, step_s: float
) -> Iterator[tuple[float, Floats]]:
    """Yield time and nodal field after each step, from one temperature everywhere."""
    start = np.full(model.capacity_j_k.size, start_c)
    for i, step in enumerate(march(model, around, start, seconds, step_s), 1):
        yield i * step_s, step.field


def through(model: ThermalModel, field: Floats) -> Floats:
    """Return the mean temperature of each sheet, top first."""
    mean: Floats = field[: len(model.stack.sheets) * model.columns].reshape(-1, model.columns).mean(axis=1)
    return mean
