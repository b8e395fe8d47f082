"""The one measured fall of temperature beside a confined nozzle that could be found."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from leeward.bench.fit import outline
from leeward.bench.read import read_bench
from leeward.bench.records import Nozzle, NozzleFit
from leeward.heat.loads import Loads
from leeward.heat.model import assemble
from leeward.heat.recipe import Held, starting_recipe
from leeward.heat.records import FaceKind
from leeward.heat.run import march_stages
from leeward.parts.records import Part
from thermal_boards import board, footprint, land, part, parts, square

BODY_MM, CLEARANCE_MM, AWAY_MM = 10.0, 0.5, 3.8


def ball_grid() -> Part:
    """Return a chip-scale package: 11 by 11 balls of 0.8 mm pitch."""
    along = (np.arange(11) - 5) * 0.8
    pads = tuple(
        land(f"{i}.{j}", shapely.Point(x, y).buffer(0.2)) for i, x in enumerate(along) for j, y in enumerate(along)
    )
    body = square(0, 0, BODY_MM)
    return part(footprint("U1", pads, body), body, style="ball-grid", height_mm=1.2, leads=body)


def fall_c(vented_up: float) -> float:
    """Return by how much the board 3.8 mm off the body is colder than the joints at the body's edge, at the lift.

    Two layers without planes, board heater off, 20 l/min of 370 C through a full-area box with 0.5 mm clearance.
    """
    target, bench = ball_grid(), read_bench()
    side_mm = BODY_MM + 2 * CLEARANCE_MM
    nozzle = Nozzle("box", "area", (side_mm, side_mm), 0.8, 12.0, slot_width_mm=None, vented_up_fraction=vented_up)
    inner, outer = (outline(nozzle, 0, 0, 0, more_mm) for more_mm in (0.0, nozzle.wall_mm))
    fit = NozzleFit(nozzle, 0.0, 0.5, 0.0, 0.0, inner, outer, (1, 1), fits=True, min_gap_mm=None, blockers=(), why="")
    recipe = starting_recipe(bench, target, nozzle, "SAC305", Held(air_c=370.0, flow_l_min=20.0, board_heater_c=0.0))
    stages = tuple(stage for stage in recipe.stages if stage.name != "cool")
    model = assemble(board(square(0, 0, 80.0), footprints=(target.footprint,)), parts(target), target)
    loads = Loads(fit, "top", bench.board_heater, bench.ambient_c)
    last = march_stages(model, loads, replace(recipe, stages=stages)).legs[-1]
    faces = model.faces
    row = (faces.kind == FaceKind.BOARD) & faces.on_top & (np.abs(faces.y_mm) < 1.0)
    order = np.argsort(faces.x_mm[row])
    at = np.interp(BODY_MM / 2 + AWAY_MM, faces.x_mm[row][order], last.face_c[row][order])
    outermost = [i for i in model.target_joints if model.joints[i].x_mm > 3.9 and abs(model.joints[i].y_mm) < 1.0]
    return float(last.joint_c[-1, outermost].mean() - at)


@pytest.mark.parametrize("vented_up", [0.9, 0.95])
def test_fall_beside_a_confined_nozzle(vented_up: float) -> None:
    """About 130 C over 3.8 mm from the component's edge, 0.5 mm side clearance (SMTnet thread 3175, 1999): 60 to 160.

    The report tells neither flow nor board. It holds for a box that lets its air out at the top; with half of the air
    under the skirt the model finds next to no fall there, for the reason that DEVELOPERS.md derives.
    """
    assert 60.0 < fall_c(vented_up) < 160.0
