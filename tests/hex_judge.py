"""A second opinion on a board's heat: trilinear finite elements (scikit-fem) on a mesh of boxes of their own.

Board and bodies are solids: laminate, foils of their true thickness, a film of air under each body, mould compound
with a lead frame halfway up. Solder joints with their leads are rods from a land to the frame. Air comes as a law of
place and of the face's own temperature. Time goes by the second backward difference formula; solder that melts is
taken by Newton's method on its heat content, each correction by conjugate gradients.
"""

from collections.abc import Callable, Iterator
from dataclasses import dataclass

import numpy as np
import shapely
from numpy.typing import NDArray
from scipy.sparse import coo_array, csc_array, csr_array, diags_array
from scipy.sparse.linalg import LinearOperator, cg, splu
from shapely.geometry.base import BaseGeometry
from skfem import Basis, BilinearForm, ElementHex0, ElementHex1, MeshHex, asm

Floats = NDArray[np.float64]
Ints = NDArray[np.intp]


@dataclass(frozen=True, slots=True)
class Foil:
    """A copper layer: thickness and where it lies."""

    thick_mm: float
    copper: BaseGeometry


@dataclass(frozen=True, slots=True)
class Block:
    """A body that stands on the board's top: its box in plan, height, film of air below, heat capacity."""

    name: str
    box_mm: tuple[float, float, float, float]  # x0, y0, x1, y1
    height_mm: float
    film_mm: float
    heat_j_k: float


@dataclass(frozen=True, slots=True)
class Rod:
    """A joint and its lead, from a land to a block's frame: conductances, heat, latent heat, surface in the air."""

    block: str
    land: BaseGeometry
    x_mm: float
    y_mm: float
    solder_w_k: float
    lead_w_k: float
    heat_j_k: float
    latent_j: float
    area_m2: float


@dataclass(frozen=True, slots=True)
class Matter:
    """Conductivities W/mK and heat J/m3K."""

    copper_w_mk: float
    copper_j_m3k: float
    in_plane_w_mk: float
    through_w_mk: float
    laminate_j_m3k: float
    mould_w_mk: float
    frame_w_mk: float
    film_w_mk: float
    melts_from_c: float
    melts_to_c: float


@dataclass(frozen=True, slots=True)
class Solid:
    """The board's outline, foils from the top and the laminate between them; what stands on it; grid lines in plan."""

    outline: BaseGeometry
    foils: tuple[Foil, ...]
    laminate_mm: float
    blocks: tuple[Block, ...]
    rods: tuple[Rod, ...]
    x_mm: Floats
    y_mm: Floats


FRAME_MM = 0.15
LAMINATE_CELLS, MOULD_CELLS = 2, 2
UNDAMPED = 6
EDGE_MM = 1e-6


@dataclass(frozen=True, slots=True)
class Skin:
    """Faces in the air, (m,) each. Rods' faces come last. `look` is 1 up, -1 down, 0 sideways."""

    area_m2: Floats
    x_mm: Floats
    y_mm: Floats
    z_mm: Floats
    look: Ints
    block: Ints  # index of the block that a face belongs to, -1 for the board
    rod: Ints  # index of the rod, -1 for others
    mean: csr_array  # (m, n): face temperature from nodal ones


@dataclass(frozen=True, slots=True)
class Judge:
    """The assembled problem: mass and stiffness (n, n), nodes of the mesh first, then one a rod."""

    mesh: MeshHex
    mass: csr_array
    stiffness: csr_array
    skin: Skin
    rods: Ints
    latent_j: Floats
    matter: Matter

    def heat_j(self, field: Floats) -> Floats:
        """Return heat content, sensible and latent."""
        heat: Floats = self.mass @ field
        heat[self.rods] += self.latent_j * self.molten(field[self.rods])
        return heat

    def molten(self, celsius: Floats) -> Floats:
        """Return molten shares."""
        matter = self.matter
        share: Floats = np.clip((celsius - matter.melts_from_c) / (matter.melts_to_c - matter.melts_from_c), 0, 1)
        return share

    def at(self, x_mm: Floats, y_mm: Floats, z_mm: Floats) -> csr_array:
        """Return the matrix that reads a field at places."""
        basis = Basis(self.mesh, ElementHex1())
        return csr_array(basis.probes(np.array([x_mm, y_mm, z_mm]) * 1e-3))


def board_levels_mm(solid: Solid) -> Floats:
    """Return the levels of the board's mesh from its bottom, 0, to its top."""
    steps: list[float] = []
    for i, foil in enumerate(reversed(solid.foils)):
        if i:
            steps += [solid.laminate_mm / LAMINATE_CELLS] * LAMINATE_CELLS
        steps.append(foil.thick_mm)
    return np.concatenate([[0.0], np.cumsum(steps)])


def assembled(solid: Solid, matter: Matter) -> Judge:
    """Return the problem of a solid."""
    board = board_levels_mm(solid)
    levels = [board]
    top = board[-1]
    height = solid.blocks[0].height_mm
    film = solid.blocks[0].film_mm
    half = (height - FRAME_MM) / 2
    steps = [film, *[half / MOULD_CELLS] * MOULD_CELLS, FRAME_MM, *[half / MOULD_CELLS] * MOULD_CELLS]
    levels.append(top + np.cumsum(steps))
    z = np.concatenate(levels)
    mesh = MeshHex.init_tensor(solid.x_mm * 1e-3, solid.y_mm * 1e-3, z * 1e-3)
    centre = mesh.p[:, mesh.t].mean(axis=1) * 1e3
    kept, values = _materials(solid, matter, centre, board)
    mesh, values = mesh.restrict(np.flatnonzero(kept)), values[:, kept]
    basis = Basis(mesh, ElementHex1())
    flat = basis.with_element(ElementHex0())
    along, across, heat = (flat.interpolate(_by_dof(flat, row)) for row in values)
    stiffness = asm(_conduction, basis, along=along, across=across)
    mass = asm(_storage, basis, heat=heat)
    return _with_rods(solid, matter, mesh, csr_array(mass), csr_array(stiffness), top, film + half + FRAME_MM / 2)


def _by_dof(flat: Basis, values: Floats) -> Floats:
    """Return elementwise values in the order of the constant element's unknowns."""
    ordered = np.empty(values.size)
    ordered[flat.element_dofs[0]] = values
    return ordered


@BilinearForm
def _conduction(u, v, w):  # type: ignore[no-untyped-def]  # forms of scikit-fem carry no types
    du, dv = u.grad, v.grad
    return w.along * (du[0] * dv[0] + du[1] * dv[1]) + w.across * du[2] * dv[2]


@BilinearForm
def _storage(u, v, w):  # type: ignore[no-untyped-def]  # forms of scikit-fem carry no types
    return w.heat * u * v


def _materials(solid: Solid, matter: Matter, centre: Floats, board: Floats) -> tuple[NDArray[np.bool_], Floats]:
    """Return which boxes are solid, and along, across and heat of each, (3, boxes)."""
    x, y, z = centre
    on_board = shapely.contains_xy(solid.outline, x, y) & (z < board[-1])
    for foil, outer in ((solid.foils[0], z > board[-2]), (solid.foils[-1], z < board[1])):
        on_board &= ~outer | shapely.contains_xy(foil.copper, x, y)
    along = np.full(z.size, matter.in_plane_w_mk)
    across = np.full(z.size, matter.through_w_mk)
    heat = np.full(z.size, matter.laminate_j_m3k)
    low = 0.0
    for foil in reversed(solid.foils):
        inside = (z > low) & (z < low + foil.thick_mm) & shapely.contains_xy(foil.copper, x, y)
        along[inside] = across[inside] = matter.copper_w_mk
        heat[inside] = matter.copper_j_m3k
        low += foil.thick_mm + solid.laminate_mm
    standing = np.zeros(z.size, bool)
    for block in solid.blocks:
        inside = _within(block, x, y) & (z > board[-2]) & ~on_board
        x0, y0, x1, y1 = block.box_mm
        volume_m3 = (x1 - x0) * (y1 - y0) * block.height_mm * 1e-9
        film = inside & (z < board[-1] + block.film_mm)
        middle = board[-1] + block.film_mm + block.height_mm / 2
        frame = inside & (np.abs(z - middle) < FRAME_MM / 2)
        along[inside] = across[inside] = matter.mould_w_mk
        along[frame] = across[frame] = matter.frame_w_mk
        along[film] = across[film] = matter.film_w_mk
        heat[inside] = block.heat_j_k / volume_m3
        heat[film] = 1e3  # air
        standing |= inside
    return on_board | standing, np.array([along, across, heat])


def _within(block: Block, x_mm: Floats, y_mm: Floats) -> NDArray[np.bool_]:
    """Return which places lie over a block, its edges included."""
    x0, y0, x1, y1 = block.box_mm
    along = (x_mm > x0 - EDGE_MM) & (x_mm < x1 + EDGE_MM)
    return along & (y_mm > y0 - EDGE_MM) & (y_mm < y1 + EDGE_MM)


def _with_rods(
    solid: Solid, matter: Matter, mesh: MeshHex, mass: csr_array, stiffness: csr_array, top_mm: float, frame_mm: float
) -> Judge:
    """Join the rods to the mesh: to the mean of their land's top, and to the frame at the nearest place."""
    points = mesh.p * 1e3
    skin, land_mean = _skin(solid, mesh, top_mm)
    count, rods = mesh.nvertices, len(solid.rods)
    nodes = np.arange(rods) + count
    shares = [land_mean(rod.land) for rod in solid.rods]
    links: list[tuple[Ints, Floats, float]] = []
    for i, rod in enumerate(solid.rods):
        block = next(block for block in solid.blocks if block.name == rod.block)
        level = np.abs(points[2] - (top_mm + frame_mm)) < FRAME_MM / 2 + 1e-6
        frame = np.flatnonzero(level & _within(block, points[0], points[1]))
        away = np.hypot(points[0, frame] - rod.x_mm, points[1, frame] - rod.y_mm)
        near = frame[away < away.min() + 1e-6]
        links.append((np.append(near, nodes[i]), np.append(np.full(near.size, 1 / near.size), -1.0), rod.lead_w_k))
        at, weight = shares[i]
        links.append((np.append(at, nodes[i]), np.append(weight, -1.0), rod.solder_w_k))
    jumps = csr_array(
        coo_array(
            (
                np.concatenate([weight for _, weight, _ in links]),
                (
                    np.repeat(np.arange(len(links)), [at.size for at, _, _ in links]),
                    np.concatenate([at for at, _, _ in links]),
                ),
            ),
            shape=(len(links), count + rods),
        )
    )
    joined = jumps.T @ diags_array(np.array([g for _, _, g in links])) @ jumps
    own = coo_array(stiffness)
    full = coo_array((own.data, own.coords), shape=(count + rods, count + rods))
    held = coo_array(mass)
    heat = coo_array((held.data, held.coords), shape=(count + rods, count + rods))
    rod_heat = np.concatenate([np.zeros(count), [rod.heat_j_k for rod in solid.rods]])
    return Judge(
        mesh,
        csr_array(heat + diags_array(rod_heat)),
        csr_array(full + joined),
        skin,
        nodes,
        np.array([rod.latent_j for rod in solid.rods]),
        matter,
    )


def _skin(solid: Solid, mesh: MeshHex, top_mm: float) -> tuple[Skin, Callable[[BaseGeometry], tuple[Ints, Floats]]]:
    """Return the faces in the air, and how to read the mean of the board's top over a land."""
    facets = mesh.boundary_facets()
    corners = mesh.p[:, mesh.facets[:, facets]] * 1e3  # (3, 4, m)
    centre, extent = corners.mean(axis=1), np.ptp(corners, axis=1)
    normal = extent.argmin(axis=0)
    area = np.where(
        normal == 2, extent[0] * extent[1], np.where(normal == 1, extent[0] * extent[2], extent[1] * extent[2])
    )
    block = np.full(facets.size, -1)
    behind = mesh.p[2, mesh.t[:, mesh.f2t[0, facets]]].mean(axis=0) * 1e3  # height of the box that a face closes
    above = behind > top_mm - solid.foils[0].thick_mm * 0.9
    film = np.zeros(facets.size, bool)
    for i, one in enumerate(solid.blocks):
        inside = above & _within(one, centre[0], centre[1])
        block[inside & (behind > top_mm)] = i
        film |= inside & (centre[2] < top_mm + one.film_mm)
    look = np.where(normal != 2, 0, np.where(centre[2] > behind, 1, -1))
    open_ = ~film
    count, rods = int(open_.sum()), len(solid.rods)
    rows = np.repeat(np.arange(count), 4)
    mean = coo_array(
        (
            np.concatenate([np.full(rows.size, 0.25), np.ones(rods)]),
            (
                np.concatenate([rows, count + np.arange(rods)]),
                np.concatenate([mesh.facets[:, facets[open_]].T.ravel(), mesh.nvertices + np.arange(rods)]),
            ),
        ),
        shape=(count + rods, mesh.nvertices + rods),
    )
    names = [one.name for one in solid.blocks]
    skin = Skin(
        area_m2=np.concatenate([area[open_] * 1e-6, [rod.area_m2 for rod in solid.rods]]),
        x_mm=np.concatenate([centre[0, open_], [rod.x_mm for rod in solid.rods]]),
        y_mm=np.concatenate([centre[1, open_], [rod.y_mm for rod in solid.rods]]),
        z_mm=np.concatenate([centre[2, open_], np.full(rods, top_mm)]),
        look=np.concatenate([look[open_], np.ones(rods, dtype=np.intp)]),
        block=np.concatenate([block[open_], [names.index(rod.block) for rod in solid.rods]]),
        rod=np.concatenate([np.full(count, -1), np.arange(rods)]),
        mean=csr_array(mean),
    )

    def land_mean(land: BaseGeometry) -> tuple[Ints, Floats]:
        on = (np.abs(centre[2] - top_mm) < 1e-6) & (normal == 2) & shapely.contains_xy(land, centre[0], centre[1])
        at = mesh.facets[:, facets[on]]
        weight = np.bincount(at.ravel(), np.tile(area[on] / 4, 4), minlength=mesh.nvertices) / area[on].sum()
        used = np.flatnonzero(weight)
        return used, weight[used]

    return skin, land_mean


Law = Callable[[Floats], Floats]  # heat into each face, W, at the faces' temperatures


def marched(
    judge: Judge, law: Law, firm_w_m2k: Floats, start: Floats, seconds: float, step_s: float
) -> Iterator[Floats]:
    """Yield the field after each step of a stage; `firm_w_m2k` (m,) is what the matrix assumes of the law's slope."""
    steps = round(seconds / step_s)
    exchange = judge.skin.mean.T @ diags_array(judge.skin.area_m2 * firm_w_m2k) @ judge.skin.mean
    past, now = start, start
    first, later = (_system(judge, exchange, lead / step_s) for lead in (1.0, 1.5))
    for i in range(steps):
        if i == 0:
            system, lead, old = first, 1.0, judge.heat_j(now)
        else:
            system, lead, old = later, 1.5, 2 * judge.heat_j(now) - judge.heat_j(past) / 2
        past, now = now, _step(judge, system, lead / step_s, old / step_s, law, exchange, 2 * now - past)
        yield now


@dataclass(frozen=True, slots=True)
class _System:
    matrix: csr_array
    solve: Callable[[Floats], Floats]


def _system(judge: Judge, exchange: csr_array, rate_1_s: float) -> _System:
    matrix = csr_array(judge.stiffness + exchange + rate_1_s * judge.mass)
    lu = splu(csc_array(matrix), permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
    return _System(matrix, lu.solve)


def _step(
    judge: Judge, system: _System, rate_1_s: float, old_w: Floats, law: Law, exchange: csr_array, guess: Floats
) -> Floats:
    """Return the field at which heat content, conduction and the faces' law balance."""
    matter, field = judge.matter, guess
    slope = judge.latent_j / (matter.melts_to_c - matter.melts_from_c) * rate_1_s
    for turn in range(60):
        load = judge.skin.mean.T @ law(judge.skin.mean @ field)
        left = rate_1_s * judge.heat_j(field) - old_w + judge.stiffness @ field - load
        share = judge.molten(field[judge.rods])
        melting = np.flatnonzero((share > 0) & (share < 1))
        move = _correction(system, judge.rods[melting], slope[melting], left)
        field = field - (move if turn < UNDAMPED else move / 2)  # halves end a swing across the melting range
        if np.abs(move).max() < 2e-3:
            return field
    raise RuntimeError("the judge's step does not converge")


def _correction(system: _System, nodes: Ints, slope: Floats, left: Floats) -> Floats:
    if nodes.size == 0:
        return system.solve(left)
    more = np.zeros(left.size)
    more[nodes] = slope
    count = left.size
    whole = LinearOperator((count, count), matvec=lambda v: system.matrix @ v + more * v, dtype=float)
    before = LinearOperator((count, count), matvec=system.solve, dtype=float)
    answer, failed = cg(whole, left, M=before, rtol=1e-6, maxiter=200)
    if failed:
        raise RuntimeError("the judge's correction does not converge")
    return np.asarray(answer)
