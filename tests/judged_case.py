"""One board for the judge and for the judged: four layers with planes and a slot, and two quads.

The judge is finite elements (scikit-fem) with geometry, mesh and stepping of their own. Shared are the materials and
the law of the air on a face, as the judge's boundary condition.
"""

import time
from dataclasses import dataclass, replace
from functools import cache

import numpy as np
import shapely
from scipy import ndimage
from scipy.interpolate import RegularGridInterpolator

from hex_judge import Block, Floats, Foil, Judge, Matter, Rod, Solid, assembled, board_levels_mm, marched
from leeward.bench.fit import fits
from leeward.bench.read import read_bench
from leeward.bench.records import Stage
from leeward.board.records import Board, Pad
from leeward.constants import number
from leeward.heat import bodies
from leeward.heat.air import air
from leeward.heat.copper import standard_laminate
from leeward.heat.grid import Resolution
from leeward.heat.loads import Loads
from leeward.heat.model import assemble
from leeward.heat.records import FaceKind, Faces, ThermalModel
from leeward.heat.run import longest_step_s
from leeward.heat.stepping import Surroundings, fluxes, march, step_of, surroundings
from leeward.parts.records import Part, Parts
from thermal_boards import board, parts, pour, quad

STAGES = (
    Stage("preheat", 60.0, board_heater_c=160.0),
    Stage("soak", 40.0, board_heater_c=190.0),
    Stage("reflow", 50.0, air_c=350.0, flow_l_min=25.0, board_heater_c=190.0),
    Stage("cool", 50.0),
)
STEPS_S = {"preheat": 2.0, "soak": 2.0, "reflow": 0.5, "cool": 1.0}  # of the judge
SLOT = shapely.box(8.0, -6.0, 9.0, 3.0)
OUTLINE = shapely.box(-16.0, -16.0, 26.0, 16.0).difference(SLOT)
PLANE = OUTLINE.difference(shapely.box(-3.0, 9.0, 14.0, 9.5))  # a plane with a cut in it
COPPER = {
    "F.Cu": shapely.box(-15.0, -15.0, -8.0, 15.0),
    "In1.Cu": PLANE,
    "In2.Cu": shapely.box(-15.0, -15.0, 4.0, 15.0),
    "B.Cu": shapely.box(-15.0, 4.0, 25.0, 15.0),
}
THICK_MM, FOIL_MM = 1.6, 0.035


@dataclass(frozen=True, slots=True)
class Setting:
    """The judged case."""

    board: Board
    parts: Parts
    target: Part
    near: Part
    loads: Loads


@cache
def setting() -> Setting:
    """Return four layers with planes and a slot, a quad of 10 mm to take off and one of 5 mm beyond the slot."""
    target, near = quad("U1", 0, 0, 10.0, pitch_mm=2.0), quad("U2", 14.0, 0, 5.0, pitch_mm=2.0)
    plain = board(
        OUTLINE,
        thickness_mm=THICK_MM,
        layers=4,
        copper_mm=FOIL_MM,
        footprints=(target.footprint, near.footprint),
        zones=tuple(pour(layer, shape) for layer, shape in COPPER.items()),
    )
    both, bench = parts(target, near), read_bench()
    fit = fits(both, target, bench)[0]
    return Setting(plain, both, target, near, Loads(fit, "top", bench.board_heater, bench.ambient_c))


def solid(finest_mm: float) -> Solid:
    """Return the judge's own geometry: solids, films, rods, and a mesh whose lines lie on every edge of copper."""
    case = setting()
    every = [case.target, case.near]
    lands = {"F.Cu": [pad.copper for part in every for pad in part.footprint.pads]}
    foils = tuple(
        Foil(FOIL_MM, shapely.union_all([shape, *lands.get(layer, [])]).intersection(OUTLINE))
        for layer, shape in COPPER.items()
    )
    blocks = tuple(
        Block(part.footprint.ref, part.body.bounds, part.height_mm.value, 0.1, part.heat_capacity_j_k) for part in every
    )
    rods = tuple(_rod(part, pad) for part in every for pad in part.footprint.pads)
    shapes = [OUTLINE, *(foil.copper for foil in foils), *(part.body for part in every)]
    return Solid(OUTLINE, foils, THICK_MM / 3, blocks, rods, *(_lines(shapes, axis, finest_mm) for axis in (0, 1)))


def _rod(part: Part, pad: Pad) -> Rod:
    """Return a gull-wing joint: solder 0.1 mm thick, a bar of C194 from land to frame, both its faces in the air."""
    wide, thick, long = 0.75 * 0.5e-3, 0.15e-3, 1.6e-3
    solder_m3 = pad.area_mm2 * 0.1e-9
    return Rod(
        part.footprint.ref,
        pad.copper,
        pad.x_mm,
        pad.y_mm,
        solder_w_k=58.0 * solder_m3 / 0.1e-3**2,
        lead_w_k=260.0 * wide * thick / long,
        heat_j_k=1.7e6 * solder_m3 + 3.4265e6 * wide * thick * long / 2,
        latent_j=0.5e9 * solder_m3,
        area_m2=2 * wide * long,
    )


def _lines(shapes: list[shapely.Geometry], axis: int, finest_mm: float) -> Floats:
    """Return grid lines through every corner, cut finer near the target than far from it."""
    corners = np.unique(np.round(np.concatenate([shapely.get_coordinates(s)[:, axis] for s in shapes]), 6))
    lines = [corners[:1]]
    for low, high in zip(corners[:-1], corners[1:], strict=True):
        most = finest_mm * (1.0 if abs(low + high) / 2 < 8.0 else 2.0)
        count = max(1, int(np.ceil((high - low) / most - 1e-9)))
        lines.append(np.linspace(low, high, count + 1)[1:])
    return np.concatenate(lines)


def matter() -> Matter:
    """Return the materials that judge and judged share."""
    board_of = standard_laminate()
    return Matter(
        copper_w_mk=board_of.copper_w_mk,
        copper_j_m3k=board_of.copper_j_m3k,
        in_plane_w_mk=board_of.in_plane_w_mk,
        through_w_mk=board_of.through_w_mk,
        laminate_j_m3k=board_of.laminate_j_m3k,
        mould_w_mk=number("materials", "body", "through_w_mk"),
        frame_w_mk=260.0,
        film_w_mk=float(air(bodies.WARM_C).conductivity_w_mk),
        melts_from_c=number("materials", "alloy", "SAC305", "melts_from_c"),
        melts_to_c=number("materials", "alloy", "SAC305", "melts_to_c"),
    )


@dataclass(frozen=True, slots=True)
class Seen:
    """Histories at common times: joints, tops of bodies, points of the board, (k, n) each."""

    time_s: Floats
    joints_c: Floats
    tops_c: Floats
    points_c: Floats
    unknowns: int
    assembly_s: float
    stepping_s: float  # factors included

    def at_c(self, seconds: Floats) -> Floats:
        """Return everything at times, (k, n), by straight lines between those stored."""
        return np.column_stack([np.interp(seconds, self.time_s, history) for history in self.all_c.T])

    @property
    def all_c(self) -> Floats:
        """Everything, (k, n)."""
        return np.hstack([self.joints_c, self.tops_c, self.points_c])


PLACES, BEAD_MM = 50, 0.5  # a place is looked at as by a thermocouple's bead, in a square of nine spots


def places() -> tuple[Floats, Floats, "np.ndarray"]:
    """Return the spots of 50 places on the board, nine a place: x, y, and whether each is looked at on top."""
    rng = np.random.default_rng(20250101)
    x, y = rng.uniform(-15.5, 25.5, 200), rng.uniform(-15.5, 15.5, 200)
    free = shapely.contains_xy(OUTLINE.buffer(-0.3), x, y)
    aside, down = (grid.ravel() for grid in np.meshgrid(*[np.array([-1, 0, 1]) * BEAD_MM / 3] * 2))
    on_top = rng.uniform(size=PLACES) < 0.5
    x, y = x[free][:PLACES, None] + aside, y[free][:PLACES, None] + down
    return x.ravel(), y.ravel(), np.repeat(on_top, aside.size)


def by_place(spots: Floats) -> Floats:
    """Return the means over each place's spots, (k, spots) to (k, places)."""
    means: Floats = spots.reshape(len(spots), PLACES, -1).mean(axis=2)
    return means


def judged(resolution: Resolution | None = None, pace: float = 1.0) -> Seen:
    """Return what the project's own assembly and stepping say; `pace` makes all steps longer or shorter."""
    case, began = setting(), time.perf_counter()
    model = assemble(case.board, case.parts, case.target, resolution)
    ready = time.perf_counter()
    field = np.full(model.capacity_j_k.size, 25.0)
    times, fields = [0.0], [field]
    for stage in STAGES:
        around, step_s = surroundings(model, case.loads, stage), pace * longest_step_s(stage)
        for step in march(model, around, field, stage.seconds, step_s, eased=True):
            field = step.field
            times.append(times[-1] + step.seconds)
            fields.append(field)
    marched_s, nodal = time.perf_counter() - ready, np.array(fields)
    tops = [model.bodies[part.id].top_face for part in (case.target, case.near)]
    return Seen(
        np.array(times),
        (model.joint_share @ nodal.T).T,
        nodal[:, tops],
        by_place(np.array([on_board(model, f) for f in fields])),
        model.capacity_j_k.size,
        ready - began,
        marched_s,
    )


def on_board(model: ThermalModel, field: Floats) -> Floats:
    """Return the field at the places, by the bilinear form between cells."""
    x, y, on_top = places()
    found = np.empty(x.size)
    for top in (True, False):
        sheet = model.sheet(field, "top" if top else "bottom")
        # A cell of the slot has no temperature; it takes its nearest neighbour's.
        nearest = ndimage.distance_transform_edt(np.isnan(sheet), return_distances=False, return_indices=True)
        filled = sheet[tuple(nearest)]
        read = RegularGridInterpolator((model.grid.y_mm, model.grid.x_mm), filled, bounds_error=False, fill_value=None)
        found[on_top == top] = read(np.column_stack([y, x])[on_top == top])
    return found


def judging(finest_mm: float, pace: float = 1.0, loads: Loads | None = None) -> Seen:
    """Return what the judge says, under other loads if given; `pace` makes all steps longer or shorter than STEPS_S."""
    case, geometry, began = setting(), solid(finest_mm), time.perf_counter()
    judge = assembled(geometry, matter())
    ready = time.perf_counter()
    faces = _faces(judge)
    own = replace(assemble(case.board, case.parts, case.target), faces=faces)  # lends its surroundings, nothing else
    x, y, on_top = places()
    at = judge.at(x, y, np.where(on_top, board_levels_mm(geometry)[-2], FOIL_MM))
    tops = [_top(judge, i) for i in (0, 1)]
    fields = [np.full(judge.mass.shape[0], 25.0)]
    times, stepping = [0.0], time.perf_counter()
    for stage in STAGES:
        around = surroundings(own, loads or case.loads, stage)
        step_s = step_of(stage.seconds, STEPS_S[stage.name] * pace)
        firm = around.jet.h_w_m2k + around.heater_w_m2k + 15.0 * around.room
        stage_fields = list(marched(judge, _law(around, faces), firm, fields[-1], stage.seconds, step_s))
        times += [times[-1] + (i + 1) * step_s for i in range(len(stage_fields))]
        fields += stage_fields
    marched_s, nodal = time.perf_counter() - stepping, np.array(fields)
    return Seen(
        np.array(times),
        nodal[:, judge.rods],
        nodal @ np.column_stack(tops),
        by_place((at @ nodal[:, : at.shape[1]].T).T),
        nodal.shape[1],
        ready - began,
        marched_s,
    )


def _law(around: Surroundings, faces: Faces):  # type: ignore[no-untyped-def]  # a closure
    def heat_w(face_c: Floats) -> Floats:
        flux = fluxes(around, faces, face_c)
        return flux.from_air_w + flux.from_heater_w - flux.to_room_w

    return heat_w


def _faces(judge: Judge) -> Faces:
    skin = judge.skin
    kind = np.where(skin.block >= 0, FaceKind.BODY, np.where(skin.look == 0, FaceKind.EDGE, FaceKind.BOARD))
    kind[skin.rod >= 0] = FaceKind.LEAD
    return Faces(
        np.arange(skin.area_m2.size),
        skin.area_m2,
        skin.x_mm,
        skin.y_mm,
        (skin.look >= 0),
        kind.astype(np.int8),
        skin.block == 0,
    )


def _top(judge: Judge, block: int) -> Floats:
    skin = judge.skin
    on = (skin.block == block) & (skin.look == 1) & (skin.rod < 0)
    weight = np.where(on, skin.area_m2, 0.0) / skin.area_m2[on].sum()
    return np.asarray(judge.skin.mean.T @ weight)
