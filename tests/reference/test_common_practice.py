"""Facts of the trade that have no published source: common practice, no source."""

import pytest
import shapely

from cases import spacious
from leeward.bench.fit import fits
from leeward.bench.read import read_bench
from leeward.parts.identify import identify
from leeward.review.judge import judge
from thermal_boards import board, footprint, land, part, parts, square


def test_pitch_is_centre_to_centre() -> None:
    """Common practice, no source: pitch runs from centre to centre, 25 mil being 0.635 mm, whatever a land's width."""
    body = square(0, 0, 8.0)
    rows = [(side * 4.7, (i - 5.5) * 25 * 0.0254) for side in (-1, 1) for i in range(12)]
    for width_mm in (0.25, 0.40):
        half = width_mm / 2
        lands = [land(str(i), shapely.box(x - 0.75, y - half, x + 0.75, y + half)) for i, (x, y) in enumerate(rows)]
        source = footprint("U1", tuple(lands), body)
        found = identify(board(square(0, 0, 30), footprints=(source,))).by_id[source.id]
        assert found.pitch_mm == pytest.approx(0.635, abs=1e-6)


def test_the_nozzle_of_a_quad_is_larger_than_its_lead_span() -> None:
    """Common practice, no source: a nozzle for a 14 x 20 mm quad is larger than its lead span, not just its body."""
    body, leads = shapely.box(-7, -10, 7, 10), shapely.box(-8.4, -11.4, 8.4, 11.4)
    target = part(footprint("U1", (land("1", square(8, 0, 0.5)),), body), body, leads=leads, height_mm=3.0)
    best = fits(parts(target), target, read_bench())[0]
    assert best.fits
    assert best.aperture.contains(leads)
    assert min(best.nozzle.aperture_mm[0] - 16.8, best.nozzle.aperture_mm[1] - 22.8) >= 2 * 0.5


def test_the_board_lies_still_until_it_is_below_100() -> None:
    """Common practice, no source: leave the board to cool below 100 C before it is moved."""
    steps = judge(spacious()).work_order
    still = next(step for step in steps if "Do not move the board above 100 C" in step.do)
    lift = next(step for step in steps if step.do.startswith("Lift U1"))
    assert still.step > lift.step
