"""Shields against worked figures and against what was measured.

The worked figures are U/h of film, adhesive and still air with the values named beside them. Measured:
- a trade magazine's comparison of shields (iconnect007.uberflip.com/i/488725/71): clay and water gel kept neighbours
  coolest, then ceramic fibre; polyimide tape was worst. Its foils lie between and are beyond a one-dimensional model.
- Sci. Rep. 12 (2022) 15118 (s41598-022-19436-6): a shield round the heat source lowers adjacent peaks more than
  shields on the neighbours, by up to 8.18 %.
"""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
import shapely

from cases import case_of
from leeward.heat.air import air
from leeward.heat.covers import Cover as Laid
from leeward.heat.covers import Shelter, film_m2k_w, gap_m2k_w, leaky_fence, through_w_m2k, wet_gel, wet_seconds
from leeward.heat.model import assemble
from leeward.heat.run import march_stages
from leeward.review.records import Case
from thermal_boards import chip, part, quad
from thermal_boards import footprint as source_of
from thermal_boards import land as pad

# Film 25 um of 0.12 W/mK and 40 um of silicone adhesive of 0.2 W/mK, handbook values from memory: 4.1e-4 m2K/W.
TAPE = film_m2k_w(0.025, 0.12) + film_m2k_w(0.040, 0.20)
AIR_W_MK = 0.0354  # still air at 150 C, Incropera 7e table A.4
POINTS = 0.04


def relief(h_w_m2k: float, resistance_m2k_w: float) -> float:
    """Return the share by which a cover lowers the heat into a face whose temperature stays, 1 - U/h."""
    return 1 - float(through_w_m2k(h_w_m2k, resistance_m2k_w)) / h_w_m2k


def test_the_air_of_the_gap_is_what_is_stated() -> None:
    """Still air at 150 C conducts 0.0354 W/mK: between the table's rows of 400 K (0.0338) and 450 K (0.0373)."""
    assert float(air(150.0).conductivity_w_mk) == pytest.approx(AIR_W_MK, abs=5e-5)


@pytest.mark.parametrize(("h", "share"), [(60, 0.02), (120, 0.05), (200, 0.08), (300, 0.11), (600, 0.20)])
def test_flush_tape_stops_little_heat(h: float, share: float) -> None:
    """One layer of tape lowers the heat into a face by 2 to 20 % at 60 to 600 W/m2K (U = 1 / (1/h + R))."""
    assert relief(h, TAPE) == pytest.approx(share, abs=0.01)


@pytest.mark.parametrize("h", [60, 120, 200, 300])
def test_two_layers_about_double_one(h: float) -> None:
    """A second layer brings about as much as the first: 1.8 to 2 times in all."""
    assert 1.8 < relief(h, 2 * TAPE) / relief(h, TAPE) < 2.0


@pytest.mark.parametrize(
    ("h", "gap_mm", "share"), [(120, 0.2, 0.41), (120, 0.5, 0.60), (300, 0.2, 0.63), (300, 0.5, 0.79)]
)
def test_the_gap_does_it_not_the_film(h: float, gap_mm: float, share: float) -> None:
    """Tape over 0.2 and 0.5 mm of air lowers the heat by 41 to 79 %: air of 0.0354 W/mK, radiation of 14 W/m2K."""
    assert relief(h, TAPE + gap_m2k_w(gap_mm)) == pytest.approx(share, abs=POINTS)


@pytest.mark.parametrize(("conductivity", "share"), [(0.14, 0.72), (0.08, 0.82)])
def test_fibre_stops_most(conductivity: float, share: float) -> None:
    """3 mm of ceramic fibre of 0.08 to 0.14 W/mK lower the heat by 72 to 82 % at 120 W/m2K."""
    assert relief(120, film_m2k_w(3.0, conductivity)) == pytest.approx(share, abs=0.01)


@pytest.mark.parametrize(("flux", "seconds"), [(3e4, 150.0), (1e4, 440.0)])
def test_gel_holds_as_long_as_its_water(flux: float, seconds: float) -> None:
    """1.7 kg/m2 of water from 25 C last about 150 s at 3e4 W/m2 and 440 s at 1e4: m (c dT + 2.257 MJ/kg) / q."""
    assert wet_seconds(flux, 1.7, 25.0) == pytest.approx(seconds, rel=0.03)


@cache
def job() -> Case:
    """Return a quad with four small-outline neighbours round it, 4 mm from the nozzle's wall."""
    others = []
    for name, (x, y) in {"E": (16.5, 0), "N": (0, -16.5), "W": (-16.5, 0), "S": (0, 16.5)}.items():
        body = shapely.box(x - 2, y - 2.5, x + 2, y + 2.5)
        lands = tuple(pad(str(i), shapely.box(x + a - 0.8, y + b - 0.3, x + a + 0.8, y + b + 0.3))
                      for i, (a, b) in enumerate([(-2.7, -1.9), (-2.7, 1.9), (2.7, -1.9), (2.7, 1.9)], 1))  # fmt: skip
        others.append(part(source_of(f"U{name}", lands, body), body, height_mm=1.5))
    return case_of(quad("U1", 0, 0, 14.0), *others, chip("C1", 30, 30))


@cache
def model() -> object:
    """Return its thermal model."""
    return assemble(job().board, job().parts, job().target)


def peaks(*shelters: Shelter) -> dict[str, float]:
    """Return the highest temperature of each neighbour's body under shelters, by the recipe of the bare job."""
    bare = replace(job().loads, covers=())
    run = march_stages(model(), replace(bare, covers=shelters), job().answer.recipe)  # type: ignore[arg-type]  # the cached model
    return dict(zip(model().bodies, run.body_c.max(axis=0).tolist(), strict=True))  # type: ignore[attr-defined]


def over(part_id: str, resistance: float) -> Laid:
    """Return a cover over one neighbour and its lands."""
    return Laid("top", job().parts.by_id[part_id].body.buffer(2.0, join_style="mitre"), resistance)


def test_gel_and_fibre_beat_flush_tape() -> None:
    """The neighbour's peak under gel and under fibre is well below that under tape, and that below the bare one."""
    one = "id-UE"
    bare, tape = peaks()[one], peaks(over(one, TAPE))[one]
    fibre = peaks(over(one, film_m2k_w(3.0, 0.11)))[one]
    gel = peaks(wet_gel("top", over(one, 0.0).area))[one]
    assert gel < fibre - 5 < tape - 5 < bare


def test_a_fence_round_the_target_beats_tape_on_the_neighbours() -> None:
    """With the same recipe the neighbours' mean peak falls more by a fence round the target than by tape on each."""
    names = [f"id-U{name}" for name in "ENWS"]
    bare = np.mean([peaks()[name] for name in names])
    taped = np.mean([peaks(*(over(name, TAPE) for name in names))[name] for name in names])
    ring = job().loads.fit.outside.buffer(1.5, join_style="mitre")
    fenced = np.mean(
        [peaks(leaky_fence("top", shapely.box(-45, -45, 45, 45).difference(ring)))[name] for name in names]
    )
    assert bare - fenced > 2 * (bare - taped) > 0
