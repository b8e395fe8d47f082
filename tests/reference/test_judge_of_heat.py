"""An independent judge: the same board by finite elements (scikit-fem), with its own geometry, mesh and stepping."""

import os

import numpy as np
import pytest

from judged_case import judged, judging


@pytest.mark.skipif(os.environ.get("LEEWARD_FULL") != "1", reason="half a minute of finite elements: LEEWARD_FULL=1")
def test_the_judge_agrees() -> None:
    """Joints, tops of bodies and 50 places differ by less than 3 C, in their peaks and at ten times of the history."""
    ours, other = judged(), judging(1.0)
    np.testing.assert_allclose(ours.all_c.max(axis=0), other.all_c.max(axis=0), atol=3.0)
    seconds = np.linspace(20.0, 200.0, 10)
    np.testing.assert_allclose(ours.at_c(seconds), other.at_c(seconds), atol=3.0)
