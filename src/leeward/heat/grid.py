"""The plan grid of the heat model: fine cells at the target, growing outward to the window's edge."""

from dataclasses import dataclass
from math import inf

import numpy as np
from numpy.typing import NDArray

from leeward.constants import number

Floats = NDArray[np.float64]
SUBCELLS = 4  # copper is looked at in so many parts of a cell each way


@dataclass(frozen=True, slots=True)
class Box:
    """An upright rectangle in the board frame, mm."""

    x0_mm: float
    y0_mm: float
    x1_mm: float
    y1_mm: float

    def grown(self, by_mm: float) -> "Box":
        """Return the box widened on every side."""
        return Box(self.x0_mm - by_mm, self.y0_mm - by_mm, self.x1_mm + by_mm, self.y1_mm + by_mm)

    def within(self, other: "Box") -> "Box":
        """Return the part of this box inside another."""
        return Box(
            max(self.x0_mm, other.x0_mm),
            max(self.y0_mm, other.y0_mm),
            min(self.x1_mm, other.x1_mm),
            min(self.y1_mm, other.y1_mm),
        )


@dataclass(frozen=True, slots=True)
class Resolution:
    """How fine the plan grid is and how far it reaches."""

    finest_mm: float
    coarsest_mm: float
    growth: float
    reach_mm: float
    thickest_mm: float | None = None  # slice of a dielectric; None: the data file's
    bodies_mm: float = inf  # chips further from the target than this are read off the board under them


@dataclass(frozen=True, slots=True)
class Grid:
    """A tensor grid. Edges (nx + 1,) and (ny + 1,) float, mm, ascending; row 0 at the smallest y."""

    x_edges_mm: Floats
    y_edges_mm: Floats

    @property
    def shape(self) -> tuple[int, int]:
        """(ny, nx)."""
        return self.y_edges_mm.size - 1, self.x_edges_mm.size - 1

    @property
    def x_mm(self) -> Floats:
        """Cell centres, (nx,)."""
        return _centres(self.x_edges_mm)

    @property
    def y_mm(self) -> Floats:
        """Cell centres, (ny,)."""
        return _centres(self.y_edges_mm)

    @property
    def areas_mm2(self) -> Floats:
        """Cell areas, (ny, nx)."""
        return np.outer(np.diff(self.y_edges_mm), np.diff(self.x_edges_mm))

    def subgrid(self) -> "Grid":
        """Return the grid with each cell cut into SUBCELLS by SUBCELLS."""
        return Grid(_cut(self.x_edges_mm), _cut(self.y_edges_mm))


def standard_resolution() -> Resolution:
    """Return the resolution of a single review, from the data file."""
    return Resolution(*(number("heat", "grid", key) for key in ("finest_mm", "coarsest_mm", "growth", "reach_mm")))


def graded(core: Box, limits: Box, resolution: Resolution) -> Grid:
    """Return a grid that is fine over `core` and grows to the resolution's reach, cut off at `limits`.

    A core that lies partly outside the limits is cut with them.
    """
    inner = core.within(limits)
    return Grid(
        _edges(inner.x0_mm, inner.x1_mm, limits.x0_mm, limits.x1_mm, resolution),
        _edges(inner.y0_mm, inner.y1_mm, limits.y0_mm, limits.y1_mm, resolution),
    )


def _edges(core_from: float, core_to: float, least: float, most: float, resolution: Resolution) -> Floats:
    count = max(1, int(np.ceil((core_to - core_from) / resolution.finest_mm)))
    core = np.linspace(core_from, core_to, count + 1)
    left = _growing(core_from - max(least, core_from - resolution.reach_mm), resolution)
    right = _growing(min(most, core_to + resolution.reach_mm) - core_to, resolution)
    return np.concatenate([core_from - left[::-1], core, core_to + right])


def _growing(length_mm: float, resolution: Resolution) -> Floats:
    """Distances from the core's edge of the cell edges that fill `length_mm`, growing outward, ending on it."""
    if length_mm < 1e-6:
        return np.empty(0)
    steps = [resolution.finest_mm]
    while sum(steps) < length_mm:
        steps.append(min(steps[-1] * resolution.growth, resolution.coarsest_mm))
    distances: Floats = np.cumsum(steps)
    return distances * float(length_mm / distances[-1])


def _centres(edges: Floats) -> Floats:
    centres: Floats = (edges[:-1] + edges[1:]) / 2
    return centres


def _cut(edges: Floats) -> Floats:
    parts = np.arange(SUBCELLS) / SUBCELLS
    inner = (edges[:-1, None] + np.diff(edges)[:, None] * parts).ravel()
    return np.append(inner, edges[-1])
