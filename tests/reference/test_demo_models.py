"""Model files that come with Debian's package kicad-demos, against other rulers than the readers themselves.

STEP: boxes as OpenCASCADE 8.0 gives them of the exact shapes (BRepBndLib, optimal, without triangulation). VRML: these
files place nothing, so that the box is that of all numbers between the brackets of their points, in tenths of an inch.
"""

import re
from pathlib import Path

import numpy as np
import pytest

from leeward.board.read import read
from leeward.parts.models import model_folders, read_models
from leeward.parts.step import step_points
from leeward.parts.vrml import vrml_points
from needs import DEMOS, kicad_demo

STEP_BOXES = {
    "TDFN-8_1.5x2mm_Fused-Lead_MO-252-W2015D.step": ((-0.75, 0.0, -1.0), (0.75, 0.75, 1.0)),
    "APHB1608.step": ((-0.8, -0.076, -0.4), (0.8, 0.425, 0.4)),
    "Crystal_SMD_4P_2520.step": ((-1.25, 0.0, -1.0), (1.25, 1.0, 1.0)),
    "JST_SH_SM04B-SRSS-TB.STEP": ((-3.0, 0.0, -2.825), (3.0, 2.96, 2.125)),
}
POINTS = re.compile(r"point\s*\[([^\]]*)\]")
TENTH_INCH_MM = 2.54


@pytest.mark.kicad
@pytest.mark.parametrize("name", STEP_BOXES)
def test_step_boxes_are_those_of_a_cad_kernel(name: str) -> None:
    """Least and greatest corners agree to a thousandth of a millimetre."""
    text = kicad_demo(f"stickhub/3dmodels/{name}").read_text(encoding="utf-8", errors="replace")
    points = step_points(text)
    least, greatest = STEP_BOXES[name]
    assert points.min(axis=0) == pytest.approx(least, abs=1e-3)
    assert points.max(axis=0) == pytest.approx(greatest, abs=1e-3)


@pytest.mark.kicad
def test_vrml_boxes_are_those_of_the_numbers_in_the_file() -> None:
    """Each of the demos' VRML files gives the box of its own points."""
    kicad_demo("video/video.kicad_pcb")
    files = sorted(DEMOS.glob("**/*.wrl"))
    assert len(files) >= 9
    for file in files:
        text = file.read_text(encoding="latin-1")
        numbers = " ".join(POINTS.findall(text)).replace(",", " ").split()
        plain = np.array(numbers, dtype=float).reshape(-1, 3) * TENTH_INCH_MM
        points = vrml_points(text)
        assert points.min(axis=0) == pytest.approx(plain.min(axis=0), abs=1e-6), file
        assert points.max(axis=0) == pytest.approx(plain.max(axis=0), abs=1e-6), file


@pytest.mark.kicad
@pytest.mark.parametrize(
    ("demo", "ref", "height_mm"),
    [
        ("stickhub/StickHub.kicad_pcb", "Y1", 1.0),
        ("ecc83/ecc83-pp.kicad_pcb", "U1", 50.22),
        ("pic_programmer/pic_programmer.kicad_pcb", "RV1", 7.12),
        ("kit-dev-coldfire-xilinx_5213/kit-dev-coldfire-xilinx_5213.kicad_pcb", "J201", 14.06),
    ],
)
def test_models_beside_a_demo_board_give_heights(demo: str, ref: str, height_mm: float) -> None:
    """Models are found by the project's own variable, put in place by offset, scale and turn, and nothing is amiss."""
    board = read(str(kicad_demo(demo)))
    tops = read_models(board, model_folders((), {}))
    part = next(footprint for footprint in board.footprints if footprint.ref == ref)
    assert tops.by_id[part.id].value == pytest.approx(height_mm, abs=0.01)
    assert tops.notes == ()


@pytest.mark.kicad
def test_no_step_file_of_the_demos_is_left_out() -> None:
    """Every STEP file of the demos is in the table."""
    kicad_demo("stickhub/StickHub.kicad_pcb")
    found = {Path(file).name for file in DEMOS.glob("**/*") if file.suffix.lower() in (".step", ".stp")}
    assert found == set(STEP_BOXES)
