"""What the nozzle's air does to the faces."""

from dataclasses import replace

import numpy as np
import pytest
import shapely

from leeward.bench.fit import outline
from leeward.bench.records import BoardHeater, Nozzle, NozzleFit, Outlet, Stage
from leeward.heat.grid import Floats
from leeward.heat.jets import jet, pressure_pa
from leeward.heat.loads import Loads, arrive, no_jet, stacked
from leeward.heat.records import FaceKind, Faces

REFLOW = Stage("reflow", 60.0, air_c=370.0, flow_l_min=20.0)


def plate_faces(half_mm: float, cell_mm: float = 0.5) -> Faces:
    """Return the top faces of a flat square plate round the origin."""
    centres = np.arange(-half_mm + cell_mm / 2, half_mm, cell_mm)
    x, y = (plane.ravel() for plane in np.meshgrid(centres, centres))
    n = x.size
    return Faces(
        np.arange(n), np.full(n, cell_mm**2 * 1e-6), x, y, np.ones(n, bool), np.full(n, FaceKind.BOARD, np.int8),
        np.zeros(n, bool),
    )  # fmt: skip


def loads(
    kind: Outlet, size_mm: tuple[float, float], standoff_mm: float, *, vented: float = 0.0, turn: float = 0.0
) -> Loads:
    """Return a nozzle over the origin."""
    slot = 1.5 if kind == "perimeter-slot" else None
    nozzle = Nozzle("n", kind, size_mm, 0.8, 10.0, slot_width_mm=slot, vented_up_fraction=vented)
    inner, outer = outline(nozzle, turn, 0, 0, 0.0), outline(nozzle, turn, 0, 0, 0.8)
    fit = NozzleFit(
        nozzle, turn, standoff_mm, 0, 0, inner, outer, (1, 1), fits=True, min_gap_mm=None, blockers=(), why=""
    )
    return Loads(fit, "top", BoardHeater("none", 0.0, 25.0), 25.0)


def taken_w(faces: Faces, field: "object", face_c: Floats) -> tuple[float, float]:
    """Return what the faces take from the air and what the air carried, W."""
    arrival = arrive(field, faces, face_c)  # type: ignore[arg-type]  # a Jet, typed loosely to keep the helper short
    power = faces.area_m2 * field.h_w_m2k * (arrival.air_c - face_c)  # type: ignore[attr-defined]  # the same
    return float(power.sum()), arrival.carried_w


@pytest.mark.parametrize("kind", ["round", "perimeter-slot", "area"])
def test_a_cold_plate_never_takes_more_than_the_air_carries(kind: Outlet) -> None:
    """However large and cold the plate, the energy limiter keeps its gain within the jet's own heat."""
    faces = plate_faces(100.0)
    set_up = loads(kind, (5.0, 5.0) if kind == "round" else (18.0, 18.0), 5.0 if kind == "round" else 1.0)
    field = jet(faces, set_up, REFLOW)
    taken, carried = taken_w(faces, field, np.full(faces.node.size, 25.0))
    assert 0.1 * carried < taken <= carried


def test_the_cavity_balances_its_heat() -> None:
    """Under a box, what the air loses between outlet and cavity is what the faces inside take."""
    faces = plate_faces(15.0)
    field = jet(faces, loads("area", (20.0, 20.0), 1.0, vented=0.3), REFLOW)
    face_c = np.full(faces.node.size, 150.0)
    arrival = arrive(field, faces, face_c)
    cavity_c = arrival.air_c[field.inside][0]
    given = field.heat_rate_w_k * (370.0 - cavity_c)
    taken = (faces.area_m2 * field.h_w_m2k * (arrival.air_c - face_c))[field.inside].sum()
    assert given == pytest.approx(taken, rel=1e-9)


def test_air_cools_outward() -> None:
    """Past the wall the air that reaches the board only gets colder with distance."""
    faces = plate_faces(40.0)
    field = jet(faces, loads("perimeter-slot", (18.0, 18.0), 1.0, vented=0.5), REFLOW)
    air_c = arrive(field, faces, np.full(faces.node.size, 100.0)).air_c
    row = np.flatnonzero((np.abs(faces.y_mm - 0.25) < 0.1) & (faces.x_mm > 10.0))
    assert np.all(np.diff(air_c[row]) <= 1e-9)
    assert air_c[row[0]] - air_c[row[-1]] > 50.0


def test_a_turned_nozzle_turns_its_inside() -> None:
    """A 10 by 30 mm box turned by 90 degrees heats 30 mm along x; turned by 30, its long side rises to the left."""
    faces = plate_faces(20.0)
    square_on = jet(faces, loads("area", (10.0, 30.0), 1.0, turn=90.0), REFLOW)
    assert np.ptp(faces.x_mm[square_on.inside]) == pytest.approx(29.5)
    assert np.ptp(faces.y_mm[square_on.inside]) == pytest.approx(9.5)
    set_up = loads("area", (10.0, 30.0), 1.0, turn=30.0)
    inside = jet(faces, set_up, REFLOW).inside
    expected = shapely.contains_xy(set_up.fit.aperture, faces.x_mm, faces.y_mm)
    assert np.array_equal(inside, expected)


def test_the_leak_spreads_round_the_box() -> None:
    """At x = P / 2 pi = 12.7 mm the jet is twice as wide as at the box: q falls as 3.5^2 / (x/g) / 2 of its start."""
    stage = Stage("reflow", 60.0, air_c=350.0, flow_l_min=40.0)
    set_up = loads("area", (20.0, 20.0), 1.0)
    x_mm = 80.0 / (2 * np.pi)
    ratio = pressure_pa(set_up, (stage,), x_mm) / pressure_pa(set_up, (stage,), 0.0)
    assert ratio == pytest.approx(3.5**2 / x_mm / 2)


@pytest.mark.parametrize("kind", ["round", "perimeter-slot", "area"])
def test_air_stays_on_the_side_that_is_worked(kind: Outlet) -> None:
    """A nozzle on the bottom leaves the faces of the top in still air, and one on top reaches them."""
    faces = plate_faces(10.0)
    above = loads(kind, (5.0, 5.0), 2.0)
    assert jet(faces, replace(above, side="bottom"), REFLOW).h_w_m2k.max() == 0
    assert jet(faces, above, REFLOW).h_w_m2k.max() > 10


def test_without_air_nothing_blows() -> None:
    """A stage without air leaves every face at room air with no coefficient."""
    faces = plate_faces(5.0)
    field = jet(faces, loads("round", (5.0, 5.0), 5.0), Stage("soak", 60.0))
    assert field.h_w_m2k.max() == 0
    assert arrive(no_jet(faces, 25.0), faces, np.full(faces.node.size, 80.0)).carried_w == 0


def test_gap_pressure_of_a_boxed_nozzle() -> None:
    """40 l/min of 350 C under an 80 mm skirt: 20.07 kg/m2s through 0.5 mm are 20.07^2 / 2 / 0.559 = 360 Pa."""
    stage = Stage("reflow", 60.0, air_c=350.0, flow_l_min=40.0)
    for gap_mm, pascal in ((0.5, 360.3), (1.0, 90.1)):
        found = pressure_pa(loads("area", (20.0, 20.0), gap_mm), (stage,), 0.0)
        assert found == pytest.approx(pascal, rel=0.005)


def test_stacked_jets_bring_what_each_brings_alone() -> None:
    """Several jets in one record give every face the air that each gives by itself, with a cavity and without."""
    faces = plate_faces(30.0, 1.0)
    nozzles: tuple[tuple[Outlet, tuple[float, float]], ...] = (("round", (5.0, 5.0)), ("perimeter-slot", (18.0, 18.0)))
    for kind, size in nozzles:
        set_up = loads(kind, size, 3.0, vented=0.0 if kind == "round" else 0.3)
        jets = [jet(faces, set_up, replace(REFLOW, air_c=hot, flow_l_min=flow)) for hot, flow in ((300, 8), (400, 20))]
        celsius = np.array([np.linspace(30.0, 200.0, faces.node.size), np.linspace(250.0, 60.0, faces.node.size)])
        both = arrive(stacked(jets), faces, celsius).air_c
        for i, alone in enumerate(jets):
            assert both[i] == pytest.approx(arrive(alone, faces, celsius[i]).air_c, abs=1e-9)


def test_a_moved_bore_spreads_the_same_strength_along_its_path() -> None:
    """Moved round a square, the air treats its four corners alike and leaves less on each place than standing there."""
    faces = plate_faces(20.0)
    still = loads("round", (4.0, 4.0), 5.0)
    path = shapely.box(-6, -6, 6, 6).exterior
    moved = replace(still, fit=replace(still.fit, path=path))
    field = jet(faces, moved, REFLOW)
    corner = np.argmin(np.hypot(faces.x_mm - 6, faces.y_mm - 6))
    other = np.argmin(np.hypot(faces.x_mm + 6, faces.y_mm - 6))
    assert field.h_w_m2k[corner] == pytest.approx(field.h_w_m2k[other], rel=0.02)
    assert field.h_w_m2k[corner] < jet(faces, still, REFLOW).h_w_m2k.max()
    taken, carried = taken_w(faces, field, np.full(faces.node.size, 25.0))
    assert 0.1 * carried < taken <= carried


def test_less_of_the_air_gets_to_tucked_joints() -> None:
    """Under a box, leads under the body's edge see a smaller coefficient than leads that stand out."""
    faces = replace(plate_faces(9.0), kind=np.full(1296, FaceKind.LEAD, np.int8), of_target=np.ones(1296, bool))
    out = loads("perimeter-slot", (18.0, 18.0), 1.0)
    under = jet(faces, replace(out, tucked=True), REFLOW).h_w_m2k
    assert np.all(under < jet(faces, out, REFLOW).h_w_m2k)


@pytest.mark.parametrize(
    ("factor", "grows"), [("air_h", "h_w_m2k"), ("reach", "decay"), ("flow", "heat_rate_w_k"), ("outlet", "outlet_c")]
)
@pytest.mark.parametrize("kind", ["round", "perimeter-slot"])
def test_each_factor_of_the_air_acts_on_its_own_quantity(kind: Outlet, factor: str, grows: str) -> None:
    """A factor above one raises what it stands for."""
    faces = plate_faces(30.0, 1.0)
    plain = loads(kind, (5.0, 5.0) if kind == "round" else (18.0, 18.0), 4.0)
    more = replace(plain, factors=replace(plain.factors, **{factor: 1.2}))
    before, after = (np.sum(getattr(jet(faces, each, REFLOW), grows)) for each in (plain, more))
    assert after > before
