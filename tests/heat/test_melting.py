"""Solder that melts within a stage."""

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from leeward.heat.grid import Floats
from leeward.heat.melting import Response, molten
from leeward.heat.records import Melting


def response(count: int, seed: int, ground_w_k: float) -> Response:
    """Return the response of nodes that are all linked and grounded."""
    links = np.triu(np.random.default_rng(seed).uniform(0.0, 0.1, (count, count)), 1)
    links = links + links.T
    stiffness = np.diag(links.sum(axis=1) + ground_w_k) - links
    return Response(stiffness, np.linalg.inv(stiffness).astype(float))


def test_one_joint_melts_as_far_as_its_heat_goes() -> None:
    """A joint bound for 230 C through 50 K/W, 1 W of it latent when whole: 230 - 50 f = 217 + 3 f, so f = 13/53."""
    melting = Melting(np.array([0]), np.array([0.3]), 217.0, 220.0)
    alone = Response(np.array([[0.02]]), np.array([[50.0]]))
    share = molten(melting, alone, np.array([230.0]), np.zeros(1), 0.3)
    assert float(share[0]) == pytest.approx(13 / 53, abs=1e-9)


@settings(max_examples=60, deadline=None)
@example(seed=10, count=10, width_c=1e-3, ground_w_k=1e-3)  # full steps cut in half never got there
@given(
    seed=st.integers(0, 10_000),
    count=st.integers(1, 12),
    width_c=st.sampled_from([1e-3, 0.5, 3.0]),
    ground_w_k=st.sampled_from([1e-3, 0.05, 1.0]),
)
def test_shares_and_temperatures_agree(seed: int, count: int, width_c: float, ground_w_k: float) -> None:
    """However narrow the range, each node's share is that of the temperature it then has: no latent heat is skipped."""
    rng = np.random.default_rng(seed)
    melting = Melting(np.arange(count), rng.uniform(0.005, 0.5, count), 217.0, 217.0 + width_c)
    all_linked = response(count, seed, ground_w_k)
    held_c: Floats = rng.uniform(190.0, 260.0, count)
    held_share: Floats = np.round(rng.uniform(0.0, 1.0, count), 1)
    share = molten(melting, all_linked, held_c, held_share, 0.3)
    celsius = held_c - all_linked.compliance_k_w @ (melting.latent_j / 0.3 * (share - held_share))
    np.testing.assert_allclose(share, melting.share(celsius), atol=2e-5 / width_c)


def test_below_the_solidus_nothing_melts() -> None:
    """Nodes that stay cold keep a share of nought."""
    melting = Melting(np.arange(2), np.full(2, 0.03), 217.0, 220.0)
    share = molten(melting, response(2, 1, 0.05), np.array([100.0, 216.9]), np.zeros(2), 0.3)
    np.testing.assert_array_equal(share, 0.0)
