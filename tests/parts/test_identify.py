"""Whole parts: what a footprint was taken to be."""

from dataclasses import replace

import pytest
import shapely

from leeward.board.read import read
from leeward.board.records import Footprint, Side
from leeward.parts.identify import identify
from leeward.parts.records import Alloy, Part
from needs import kicad_demo, outside_board
from parts.drawn import board, box, chip, footprint, placed, quad, two_rows


def pqfp(outward_mm: float = 0.0) -> Footprint:
    """Return a quad flat pack of 100 leads, its lands so much further out."""
    return quad(
        "Package_QFP:PQFP-100_14x20mm_P0.65mm",
        per_side=(30, 20),
        pitch=0.65,
        row=(8.15 + outward_mm, 11.15 + outward_mm),
        land=(1.3, 0.35),
        fab=box(14, 20),
    )


PQFP = pqfp()
PLCC = quad(
    "Package_LCC:PLCC-44", per_side=(11, 11), pitch=1.27, row=(7.86, 7.86), land=(1.93, 0.7), fab=box(17.65, 17.65)
)


def only(drawn: Footprint, alloy: Alloy = "SAC305") -> Part:
    """Return the one part of a board that carries one footprint."""
    (found,) = identify(board(drawn), alloy=alloy).by_id.values()
    return found


def test_gull_wing_quad() -> None:
    """A quad flat pack has four rows, leads 0.4 mm inside its lands and the height of its size in MS-022."""
    part = only(PQFP)
    assert part.family.value == "quad gull-wing"
    assert part.lead_style.value == "gull-wing"
    assert part.body_mm.value == (14.0, 20.0)
    assert part.lead_span_mm == pytest.approx((16.8, 22.8))
    assert (part.rows, part.pitch_mm, part.exposed_pad) == (4, 0.65, None)
    assert part.height_mm.value == 3.05
    assert part.limit_c.value == 245.0
    assert part.surface_mount
    assert part.reworkable


def test_lands_tell_which_outline_of_a_name_was_drawn() -> None:
    """Lands that end 0.2 mm further out make the same name MS-022's 17.2 by 23.2 mm over leads (from memory)."""
    assert only(pqfp(outward_mm=0.2)).lead_span_mm == pytest.approx((17.2, 23.2))


@pytest.mark.parametrize(
    ("name", "row", "span_mm"),
    [
        ("SOIC-8_3.9x4.9mm_P1.27mm", 2.475, 6.0),  # MS-012: 5.8 to 6.2 mm
        ("SOIC-8_3.9x4.9mm_P1.27mm", 2.7, 6.0),  # lands drawn further out, for soldering by hand
        ("SOIC-8_3.9x4.9mm_P1.27mm", 1.9, 5.75 - 0.9),  # the outline's tips would miss these lands
        ("SOIC-8_3.9x4.9mm_P1.27mm_HandSoldering", 3.1, 6.0),
        ("Unheard-of_3.9x4.9mm_P1.27mm", 2.475, 6.9 - 0.9),
    ],
)
def test_lead_span_by_outline_then_by_lands(name: str, row: float, span_mm: float) -> None:
    """Gull-wings reach as far as their outline says if their lands are there, else 0.45 mm short of the lands' ends."""
    drawn = two_rows(f"Package_SO:{name}", leads=8, pitch=1.27, row=row, land=(1.95, 0.6), fab=box(3.9, 4.9))
    assert only(drawn).lead_span_mm == pytest.approx((span_mm, 4.9))


def test_leads_are_a_cross_round_the_body() -> None:
    """The outline with leads holds the body and the feet but not the empty corners between them."""
    part = only(PQFP)
    assert part.leads.contains(part.body)
    assert part.leads.contains(shapely.Point(8.3, 0))
    assert not part.leads.contains(shapely.Point(8.3, 11.3))


def test_old_j_lead_drawing_is_narrowed() -> None:
    """A PLCC whose fab outline is the lands' extent gets MS-018's body (from memory), and 0.94 mm more over leads."""
    part = only(PLCC)
    assert part.family.value == "quad J-lead"
    assert part.body_mm.value == pytest.approx((16.59, 16.59))
    assert part.lead_span_mm == pytest.approx((17.53, 17.53))
    assert part.limit_c.value == 245.0
    assert "1.06 mm" in part.outline_source.source


def test_exposed_pad_is_found_and_left_out_of_pitch() -> None:
    """The land between the rows of a QFN is its exposed pad; pitch and rows are those of the terminals."""
    part = only(
        quad("QFN-28", per_side=(7, 7), pitch=0.5, row=(2.45, 2.45), land=(0.8, 0.25), fab=box(5, 5), exposed_mm=3.1)
    )
    assert part.exposed_pad == "EP"
    assert part.pitch_mm == 0.5
    assert part.rows == 4
    assert part.lead_span_mm == pytest.approx((5, 5))


@pytest.mark.parametrize("rotation_deg", [0.0, 30.0, 90.0, 135.0, 270.0, 359.5])
@pytest.mark.parametrize("side", ["top", "bottom"])
def test_sizes_do_not_depend_on_placement(rotation_deg: float, side: Side) -> None:
    """A turned and moved part keeps its sizes, and its outlines move with it."""
    still = only(PQFP)
    turned = only(placed(PQFP, 40.0, -25.0, rotation_deg, side))
    assert turned.body_mm.value == pytest.approx(still.body_mm.value, abs=1e-6)
    assert turned.lead_span_mm == pytest.approx(still.lead_span_mm, abs=1e-6)
    assert turned.pitch_mm == pytest.approx(still.pitch_mm)
    assert turned.rows == still.rows
    assert turned.mass_mg.value == pytest.approx(still.mass_mg.value)
    assert (turned.leads.centroid.x, turned.leads.centroid.y) == pytest.approx((40.0, -25.0))
    assert turned.leads.area == pytest.approx(still.leads.area)


def test_turning_is_counter_clockwise_as_drawn() -> None:
    """A box from a name lies on the board as its lands do after a turn by 30 degrees."""
    bare = replace(PQFP, fab=None)
    part = only(placed(bare, 10.0, 5.0, 30.0))
    lands = shapely.union_all([pad.copper for pad in part.footprint.pads])
    assert part.outline_source.value == "name"
    assert part.leads.difference(lands.convex_hull).area < 1e-6
    assert part.leads.intersection(lands).area > 0.5 * lands.area


def test_part_that_is_not_fitted_has_lands_only() -> None:
    """What is not fitted has no body, height or mass, cannot be taken off, and the list of the unassessed says why."""
    parts = identify(board(replace(PQFP, fitted=False)))
    (part,) = parts.by_id.values()
    assert part.body.is_empty
    assert part.leads.is_empty
    assert part.height_mm.value == part.mass_mg.value == part.heat_capacity_j_k == 0.0
    assert part.mass_mg.source == "not fitted"
    assert not part.reworkable
    assert [(each.ref, each.reason) for each in parts.not_assessed] == [("U1", "not fitted: only its lands are there")]


@pytest.mark.parametrize(
    ("library_id", "ref"),
    [
        ("Fiducial:Fiducial_1mm_Mask2mm", "FID1"),
        ("TestPoint:TestPoint_Pad_D1.5mm", "TP1"),
        ("NetTie:NetTie-2_SMD_Pad0.5mm", "NT1"),
        ("own:logo-front", "G1"),
        ("own:one-thing", "TP7"),
    ],
)
def test_bare_lands_are_parts_but_not_assessed(library_id: str, ref: str) -> None:
    """Lands on which nothing stands are listed as parts, hold no body, and are not targets."""
    parts = identify(board(footprint(library_id, [("1", 0, 0, 1, 1)], ref=ref)))
    (part,) = parts.by_id.values()
    assert part.lead_style.value == "hardware"
    assert part.body.is_empty
    assert not part.reworkable
    assert len(parts.not_assessed) == 1
    assert "lands only" in parts.not_assessed[0].reason


def test_contradicting_lands_lower_the_confidence() -> None:
    """A footprint named as a QFN whose lands reach out like gull-wings is believed less, and the source says why."""
    part = only(two_rows("own:QFN-8", leads=8, pitch=1.27, row=2.475, land=(1.95, 0.6), fab=box(3.9, 4.9)))
    assert part.lead_style.value == "bottom-terminated"
    assert part.lead_style.confidence == "low"
    assert "look like gull-wing" in part.lead_style.source


def test_unknown_part_is_judged_by_its_lands() -> None:
    """A part whose name and reference say nothing gets its family from where its lands lie."""
    part = only(two_rows("own:4711", leads=8, pitch=1.27, row=2.475, land=(1.95, 0.6), fab=box(3.9, 4.9), ref="ZZ1"))
    assert (part.family.value, part.family.confidence) == ("two-row gull-wing", "low")
    assert part.lead_style.value == "gull-wing"


def test_unknown_part_of_two_lands_stays_other() -> None:
    """Two lands tell nothing about a part that nothing names."""
    part = only(chip("own:4711", 3.0, ref="ZZ1", fab=box(2.4, 1.2)))
    assert part.lead_style.value == "other"
    assert part.height_mm.value == 2.0
    assert part.limit_c.confidence == "low"


def test_through_hole_part_of_a_surface_mount_family() -> None:
    """A switch soldered through holes is a through-hole part with a leaded part's limit."""
    part = only(
        two_rows(
            "own:SW_Push", leads=4, pitch=4.5, row=3.25, land=(2, 2), fab=box(6, 6), kind="through-hole", ref="SW1"
        )
    )
    assert part.lead_style.value == "through-hole"
    assert not part.surface_mount
    assert (part.limit_c.value, part.fragile_class) == (200.0, "D")
    assert part.leads.contains(part.footprint.pads[0].copper)


def test_lithium_cell_holder_must_come_off_first() -> None:
    """A coin cell holder carries the cell's limit and hazard."""
    part = only(footprint("own:CoinCell_12mm", [("1", -8, 0, 3, 3), ("2", 8, 0, 3, 3)], ref="BT1", fab=box(13, 13)))
    assert part.hazards == ("lithium-cell",)
    assert part.limit_c.value == 85.0
    assert part.fragile_class == "E"


def test_alloy_sets_the_package_limits() -> None:
    """The same package is classified lower on a tin-lead board (J-STD-020D tables 4-1 and 4-2)."""
    soic = two_rows(
        "Package_SO:SOIC-8_3.9x4.9mm_P1.27mm", leads=8, pitch=1.27, row=2.475, land=(1.95, 0.6), fab=box(3.9, 4.9)
    )
    assert only(soic, "SAC305").limit_c.value == 260.0
    assert only(soic, "Sn63Pb37").limit_c.value == 235.0


def test_parts_come_in_natural_order() -> None:
    """Parts are ordered by reference with numbers by value, then by id; footprints without a pad are left out."""
    chips = [chip("Resistor_SMD:R_0603", 2.4, ref=ref) for ref in ("R10", "C3", "R2")]
    twin = replace(chips[0], id="id-A")
    parts = identify(board(*chips, twin, footprint("own:drawing", [], ref="A1")))
    assert list(parts.by_id) == ["id-C3", "id-R2", "id-A", "id-R10"]


@pytest.mark.outside_boards
@pytest.mark.parametrize(
    "name", ["bitaxe-gamma", "luna-r0", "moteus-c1", "nrfmicro", "operacake-v4", "topaz", "ulx3s", "vivaldi"]
)
def test_real_boards_are_recognised(name: str) -> None:
    """Every footprint with a pad is a part, at most one in twenty of unknown lead style, and sizes are sane."""
    drawn = read(str(outside_board(f"{name}.kicad_pcb")))
    parts = list(identify(drawn).by_id.values())
    assert {part.id for part in parts} == {each.id for each in drawn.footprints if each.pads}
    other = [f"{part.ref} {part.footprint.library_id}" for part in parts if part.lead_style.value == "other"]
    assert len(other) <= 0.05 * len(parts), other
    for part in parts:
        assert 0 <= part.height_mm.value <= 30, part.ref
        assert part.body.is_empty or part.body.area > 0.1, part.ref
        assert part.body.is_empty == (part.height_mm.value == 0), part.ref
        assert part.body.difference(part.leads.buffer(1e-6)).is_empty, part.ref


@pytest.mark.kicad
def test_demo_boards_are_recognised() -> None:
    """On every demo board of KiCad each footprint with copper is a part or named, at most 5 % of each of no style."""
    demos = sorted(kicad_demo("video/video.kicad_pcb").parents[1].rglob("*.kicad_pcb"))
    count = 0
    for demo in demos:
        drawn = read(str(demo))
        parts = identify(drawn)
        listed = {*parts.by_id, *(each.id for each in parts.not_assessed)}
        copper = {each.id for each in drawn.footprints if any(not pad.copper.is_empty for pad in each.pads)}
        assert copper <= listed, demo
        own = [part for part in parts.by_id.values() if part.lead_style.value == "other"]
        assert len(own) <= 0.05 * len(parts.by_id), demo
        count += len(parts.by_id)
    assert len(demos) > 10
    assert count > 700


@pytest.mark.kicad
def test_gull_wing_quad_of_the_video_demo() -> None:
    """U23 of KiCad's video demo: fab outline 14x20 mm, lands 8.15 and 11.15 mm from the middle, 0.65 mm outward."""
    parts = identify(read(str(kicad_demo("video/video.kicad_pcb")))).by_id.values()
    part = next(part for part in parts if part.ref == "U23")
    assert part.lead_style.value == "gull-wing"
    assert part.outline_source.value == "fab drawing"
    assert part.body_mm.value == pytest.approx((14, 20), abs=0.01)
    assert part.lead_span_mm == pytest.approx((16.8, 22.8), abs=0.1)
    assert (part.height_mm.value, part.rows, part.pitch_mm) == (3.05, 4, 0.65)
