"""Which nozzle fits over a target."""

from dataclasses import replace

import pytest
import shapely

from leeward.bench.fit import Fixed, fits, place, suits
from leeward.bench.read import read_bench
from leeward.bench.records import Bench, Nozzle
from leeward.errors import UsageError
from leeward.parts.records import LeadStyle, Part
from thermal_boards import chip, footprint, land, part, parts, quad, square

BENCH = read_bench()


def rectangular_quad(style: LeadStyle = "gull-wing") -> Part:
    """Return a 14 by 20 mm quad whose leads span 16.8 by 22.8 mm."""
    body, leads = shapely.box(-7, -10, 7, 10), shapely.box(-8.4, -11.4, 8.4, 11.4)
    return part(footprint("U1", (land("1", square(8, 0, 0.5)),), body), body, style=style, leads=leads, height_mm=3.0)


def test_a_nozzle_takes_the_lead_span_not_the_body() -> None:
    """Common practice, no source: the nozzle of a 14 x 20 mm quad is larger than its lead span, by 0.8 mm a side."""
    best = fits(parts(rectangular_quad()), rectangular_quad(), BENCH)[0]
    assert best.fits
    assert best.nozzle.aperture_mm == (19.0, 25.0)
    assert best.clearance_mm == pytest.approx((1.1, 1.1))
    assert best.aperture.contains(rectangular_quad().leads.buffer(0.79))


def test_j_leads_get_a_closer_box() -> None:
    """Common practice, no source: room round J-leads is 0.3 to 0.7 mm, less than round gull-wings, before tolerance."""
    body = square(0, 0, 16.59)
    carrier = part(
        footprint("U1", (land("1", square(8, 0, 1)),), body), body, style="j-lead", leads=square(0, 0, 17.53)
    )
    best = fits(parts(carrier), carrier, BENCH)[0]
    assert best.nozzle.id == "quad-19x19"
    assert 0.6 <= min(best.clearance_mm) <= max(best.clearance_mm) <= 1.0


def test_the_wrong_way_round_does_not_fit() -> None:
    """Turned by 90 degrees the rectangular nozzle would stand on the leads: it does not fit, and says so."""
    target = rectangular_quad()
    across = fits(parts(target), target, BENCH, Fixed("quad-19x25", rotation_deg=90.0))[0]
    assert not across.fits
    assert "round the leads" in across.why


def test_a_wall_on_a_tall_neighbour_is_blocked_by_name() -> None:
    """A 2 mm tall neighbour under the wall blocks the nozzle; at 0.8 mm it passes under a 1 mm stand-off."""
    target = rectangular_quad()
    at_wall = square(10.0, 0, 1.0)  # the wall stands from 9.5 to 10.3
    for height_mm, blocked in ((2.0, True), (0.8, False)):
        near = part(footprint("C7", (land("1", at_wall),), at_wall), at_wall, height_mm=height_mm)
        fit = fits(parts(target, near), target, BENCH, Fixed("quad-19x25"))[0]
        assert fit.fits is not blocked
        assert [(b.ref, b.gap_mm) for b in fit.blockers] == ([("C7", 0.0)] if blocked else [])


def test_placement_tolerance_counts_as_wall() -> None:
    """A tall neighbour 0.25 mm from the wall blocks (placement is good to 0.3 mm), one at 0.35 mm does not."""
    target = rectangular_quad()
    for gap_mm, blocked in ((0.25, True), (0.35, False)):
        body = shapely.box(10.3 + gap_mm, -1, 12.3 + gap_mm, 1)
        near = part(footprint("J1", (land("1", body),), body), body, height_mm=5.0)
        fit = fits(parts(target, near), target, BENCH, Fixed("quad-19x25"))[0]
        assert (not fit.fits) is blocked
        assert fit.min_gap_mm == pytest.approx(gap_mm)


def test_a_neighbour_taller_than_the_skirt_meets_the_head() -> None:
    """A 20 mm tall part 3 mm beside a nozzle with a 12 mm skirt meets the wider head above it."""
    target = rectangular_quad()
    body = shapely.box(13.3, -1, 15.3, 1)
    near = part(footprint("K1", (land("1", body),), body), body, height_mm=20.0)
    assert [b.ref for b in fits(parts(target, near), target, BENCH, Fixed("quad-19x25"))[0].blockers] == ["K1"]


def test_parts_on_the_other_side_do_not_block() -> None:
    """A chip under the board is in nobody's way on top."""
    target = quad("U1", 0, 0, 14.0)
    below = chip("C1", 9.5, 0, bottom=True)
    assert fits(parts(target, below), target, BENCH)[0].min_gap_mm is None


def test_fits_come_ranked_by_gap() -> None:
    """Those that fit come before those that do not, and wider gaps before narrower ones."""
    target = quad("U1", 0, 0, 10.0)
    body = shapely.box(9, -1, 12, 1)
    near = part(footprint("J1", (land("1", body),), body), body, height_mm=5.0)
    ranked = [fit for fit in fits(parts(target, near), target, BENCH) if fit.fits]
    gaps = [fit.min_gap_mm for fit in ranked if fit.min_gap_mm is not None]
    assert gaps == sorted(gaps, reverse=True)


def test_two_row_slots_run_along_the_rows() -> None:
    """A two-row part takes a two-slot box with its slots along the rows, whatever way the part is turned."""
    body, leads = shapely.box(-1.95, -2.45, 1.95, 2.45), shapely.box(-3, -2.45, 3, 2.45)
    source = footprint("U1", (land("1", square(2.7, 0, 0.5)),), body)
    for turn in (0.0, 90.0):
        turned = shapely.affinity.rotate(leads, -turn, origin=(0, 0))
        target = replace(
            part(replace(source, rotation_deg=turn), shapely.affinity.rotate(body, -turn, origin=(0, 0)), leads=turned),
            rows=2, body_mm=replace(part(source, body).body_mm, value=(3.9, 4.9)), lead_span_mm=(6.0, 4.9),
        )  # fmt: skip
        boxes = [
            fit for fit in fits(parts(target), target, BENCH) if fit.nozzle.outlet == "perimeter-slot" and fit.fits
        ]
        assert boxes
        assert all(fit.rotation_deg % 180 == turn for fit in boxes)


def test_a_chip_takes_a_bore_of_its_own_size() -> None:
    """Common practice, no source: a round bore is 1 to 1.5 times the part's longest side; 2.5 mm is never too wide."""
    target = chip("R1", 0, 0)
    best = fits(parts(target), target, BENCH)[0]
    assert best.nozzle.outlet == "round"
    assert 1.6 <= best.nozzle.aperture_mm[0] <= 2.5


def test_of_bores_with_room_enough_the_wider_is_taken() -> None:
    """With nothing near, the widest bore that suits comes first: its air is slower and heats more evenly."""
    target = chip("R1", 0, 0)
    sizes = [fit.nozzle.aperture_mm[0] for fit in fits(parts(target), target, BENCH) if fit.fits]
    assert sizes == sorted(sizes, reverse=True)


def test_an_unknown_nozzle_is_a_usage_error() -> None:
    """Holding a nozzle that the bench does not have is refused with its name."""
    with pytest.raises(UsageError, match="no nozzle spout-1"):
        fits(parts(rectangular_quad()), rectangular_quad(), BENCH, Fixed("spout-1"))


def test_area_nozzles_are_for_hidden_joints() -> None:
    """A full-area nozzle is meant for ball grids and not for gull-wings; a slotted box the other way round."""
    area, box = Nozzle("a", "area", (12, 12), 1, 10), Nozzle("b", "perimeter-slot", (12, 12), 1, 10, slot_width_mm=1)
    grid = part(footprint("U2", (), square(0, 0, 10)), square(0, 0, 10), style="ball-grid")
    assert suits(area, grid)
    assert not suits(area, rectangular_quad())
    assert suits(box, rectangular_quad())
    assert not suits(box, grid)


def test_a_body_taller_than_the_skirt_is_refused() -> None:
    """The body must stand inside the box: 15 mm under a 12 mm skirt at 1 mm stand-off does not."""
    tall = replace(rectangular_quad(), height_mm=replace(rectangular_quad().height_mm, value=15.0))
    nozzle = next(n for n in BENCH.nozzles if n.id == "quad-19x25")
    assert "tall" in place(nozzle, 0.0, tall, [], BENCH, Fixed()).why


def test_the_default_drawer_serves_the_usual_packages() -> None:
    """Common practice, no source: the standard quads of JEDEC MS-026 from 7 to 28 mm all find a nozzle that fits."""
    bench: Bench = BENCH
    for body_mm in (7.0, 10.0, 12.0, 14.0, 20.0, 24.0, 28.0):
        assert fits(parts(quad("U1", 0, 0, body_mm)), quad("U1", 0, 0, body_mm), bench)[0].fits, body_mm


def test_where_no_box_fits_a_bore_is_moved_over_the_lead_rows() -> None:
    """With a tall wall of neighbours all round, a bore smaller than the part is offered, moved along its lands."""
    target = quad("U1", 0.0, 0.0, 14.0)
    around = [square(x, y, 2.0) for x, y in ((10, 0), (-10, 0), (0, 10), (0, -10))]
    tall = [part(footprint(f"D{i}", (land("1", body),), body), body, height_mm=4.0) for i, body in enumerate(around)]
    best = fits(parts(target, *tall), target, BENCH)[0]
    assert best.fits
    assert best.nozzle.outlet == "round"
    assert best.path is not None
    assert "moved" in best.why
    for pad in target.footprint.pads:
        assert best.path.distance(pad.copper) < best.nozzle.aperture_mm[0] / 2
