"""Factors in one order of elimination."""

import numpy as np
from scipy.sparse import csr_array, diags_array

from leeward.heat.factor import elimination_order, factored
from leeward.heat.grid import Floats

SIDE, SHEETS = 12, 3


def lattice() -> csr_array:
    """Return the conductance matrix of a lattice of SHEETS by SIDE by SIDE nodes, uneven links, grounded everywhere."""
    number = np.arange(SHEETS * SIDE * SIDE).reshape(SHEETS, SIDE, SIDE)
    pairs = [(number[1:], number[:-1]), (number[:, 1:], number[:, :-1]), (number[:, :, 1:], number[:, :, :-1])]
    a, b = (np.concatenate([pair[i].ravel() for pair in pairs]) for i in (0, 1))
    link = np.random.default_rng(7).uniform(0.1, 3.0, a.size)
    off = csr_array((link, (a, b)), shape=(number.size, number.size))
    off = off + off.T
    return csr_array(diags_array(np.asarray(off.sum(axis=1)).ravel() + 0.5) - off)


def order_of(matrix: csr_array, last: "np.ndarray") -> "np.ndarray":
    """Return the order with all sheets of a place together."""
    return elimination_order(matrix, np.tile(np.arange(SIDE * SIDE), SHEETS), last)


def test_the_order_is_a_permutation_with_its_last_behind() -> None:
    """Every unknown is eliminated once, those set apart at the end and as they were given."""
    last = np.array([50, 3, 17])
    order = order_of(lattice(), last)
    assert sorted(order) == list(range(SHEETS * SIDE * SIDE))
    assert list(order[-3:]) == [50, 3, 17]


def test_a_factor_solves() -> None:
    """The factor's answer satisfies the equations to rounding, in the unknowns' own numbering."""
    matrix = lattice()
    right: Floats = np.random.default_rng(8).normal(size=matrix.shape[0])
    found = factored(matrix, order_of(matrix, np.array([4]))).solve(right)
    np.testing.assert_allclose(matrix @ found, right, atol=1e-12)


def test_the_schur_complement_answers_for_the_rest() -> None:
    """Its inverse is the response at the unknowns set apart to heat at them, found by solving with the whole."""
    matrix, last = lattice(), np.array([11, 200, 90])
    factor = factored(matrix, order_of(matrix, last))
    columns = [factor.solve(np.eye(matrix.shape[0])[node])[last] for node in last]
    np.testing.assert_allclose(np.linalg.inv(factor.schur(3)), np.array(columns).T, rtol=1e-10)
