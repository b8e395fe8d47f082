"""What copper foil holds on hot laminate.

Adhesion P(T) = P0 c_n (f + (1 - f) / (1 + exp((T - Tg) / w))) for foil of peel strength P0 after n cycles of earlier
rework. A land bears the lesser of an even pull, sigma A P / P0, and a pry along its narrow side, P w; what anchors
it adds to that. Derived; constants and their sources in the data file `lift`.
"""

from dataclasses import dataclass
from math import exp

import numpy as np
import shapely
from shapely.geometry.base import BaseGeometry

from leeward.constants import constant, number
from leeward.review.anchors import Anchors


@dataclass(frozen=True, slots=True)
class Foil:
    """What the foil under one land went through."""

    celsius: float
    glass_transition_c: float
    cycles: int = 0  # of earlier rework
    spoiled: bool = False  # held far above the glass transition for long, or near decomposition


def peel_n_mm(foil: Foil, hot_share: float | None = None) -> float:
    """Return the peel strength, N/mm; `hot_share` stands in for the share left far above the glass transition."""
    left = constant("lift", "peel", "cycles_left").value
    hot = number("lift", "peel", "hot_share") if hot_share is None else hot_share
    over = (foil.celsius - foil.glass_transition_c) / number("lift", "peel", "softening_c")
    fall = hot + (1 - hot) / (1 + exp(over))
    spoiled = number("lift", "peel", "spoiled_share") if foil.spoiled else 1.0
    return number("lift", "peel", "cold_n_mm") * float(left[min(foil.cycles, len(left) - 1)]) * fall * spoiled


def pull_n(land: BaseGeometry, peel: float) -> float:
    """Return the even upward pull that a land bears by its area, N."""
    return number("lift", "peel", "pull_n_mm2") * float(land.area) * peel / number("lift", "peel", "cold_n_mm")


def pry_n(land: BaseGeometry, peel: float) -> float:
    """Return the force at one edge that starts to peel a land, N: it gives way along its narrow side."""
    return peel * least_width_mm(land)


def anchored_n(held: Anchors, peel: float) -> float:
    """Return what the anchors of a land add to what it bears, N.

    The foil of a trace or a pour has to be peeled at its width; of a pour round the land a quarter counts, because
    one side gives way first. A barrel has to be torn. A via near the land keeps the trace from tearing off and does
    not keep the land down: it adds nothing.
    """
    traces = sum(trace.neck_mm for trace in held.traces)
    barrels = number("lift", "peel", "barrel_n_mm2") * held.barrel_mm2
    return peel * (traces + sum(held.pour_contacts_mm) / 4) + barrels


def capability_n(land: BaseGeometry, held: Anchors, peel: float) -> float:
    """Return the force that a land bears with its anchors, N."""
    return min(pull_n(land, peel), pry_n(land, peel)) + anchored_n(held, peel)


def least_width_mm(shape: BaseGeometry) -> float:
    """Return the least extent of a shape over all directions, mm; never less for a shape that holds another."""
    hull = shapely.convex_hull(shape)
    if hull.geom_type != "Polygon":
        return 0.0
    corners = shapely.get_coordinates(hull)
    edges = np.diff(corners, axis=0)
    normals = np.column_stack([-edges[:, 1], edges[:, 0]]) / np.hypot(edges[:, 0], edges[:, 1])[:, None]
    reach = corners @ normals.T
    return float((reach.max(axis=0) - reach.min(axis=0)).min())
