"""The standard plan grid against a fine one on a real board: own study, no source."""

import os

import pytest

from bench.grid_study import study
from leeward.heat.grid import standard_resolution
from needs import kicad_demo


@pytest.mark.kicad
@pytest.mark.skipif(os.environ.get("LEEWARD_FULL") != "1", reason="300,000 unknowns for a minute: LEEWARD_FULL=1")
def test_joints_of_the_video_board_on_a_fine_grid() -> None:
    """U23's joints peak within 4 C of cells of 0.1 mm, and the coldest pad is the same or within 2 C of it."""
    _, standard = study(kicad_demo("video/video.kicad_pcb"), "U23", (0.1, standard_resolution().finest_mm))
    assert standard.worst_c < 4.0
    assert standard.behind_c < 2.0
