"""The factors of the board and its bodies put into a thermal model."""

from dataclasses import replace

import numpy as np
from scipy.sparse import coo_array, csr_array, diags_array

from leeward.heat.factors import Factors
from leeward.heat.grid import Floats
from leeward.heat.records import ThermalModel


def scaled(model: ThermalModel, factors: Factors) -> ThermalModel:
    """Return a model with more or less heat capacity of laminate and bodies, and thicker or thinner copper.

    Copper acts through the board's in-plane conductances, which it makes nearly alone.
    """
    copper = (factors.copper - 1.0) * in_plane(model) if factors.copper != 1.0 else None
    return replace(
        model,
        capacity_j_k=model.capacity_j_k * capacity_factor(model, factors),
        conductance_w_k=model.conductance_w_k if copper is None else csr_array(model.conductance_w_k + copper),
    )


def board_nodes(model: ThermalModel) -> int:
    """Return how many nodes are the board's; they come first."""
    return len(model.stack.sheets) * model.columns


def capacity_factor(model: ThermalModel, factors: Factors) -> Floats:
    """Return the factor on each node's heat capacity, (n,)."""
    nodes = np.full(model.capacity_j_k.size, factors.body_heat)
    nodes[: board_nodes(model)] = factors.laminate_heat
    return nodes


def in_plane(model: ThermalModel) -> csr_array:
    """Return the part of the conductance matrix that lies within the board's sheets, (n, n) W/K, rows summing to 0."""
    every = coo_array(model.conductance_w_k)
    a, b = every.coords
    board = board_nodes(model)
    within = (a != b) & (a < board) & (b < board) & (a // model.columns == b // model.columns)
    links = coo_array((every.data[within], (a[within], b[within])), shape=every.shape)
    return csr_array(links - diags_array(np.asarray(links.sum(axis=1)).ravel()))
