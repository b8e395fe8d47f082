"""Zones without a fill: the copper that KiCad would about pour, and what it keeps clear of."""

from collections.abc import Callable
from math import pi

import pytest
import shapely

from board_texts import EDGE, board_text, part_text
from leeward.board.pours import EDGE_CLEARANCE_MM
from leeward.board.records import Board, Fill
from leeward.report.board_documents import board_document

Reader = Callable[[str], Board]

NETS = '(net 0 "") (net 1 "GND") (net 2 "SIG")'
INSIDE = (10, 5, 20, 15)  # well inside the board of 30 by 20 mm
OVERHANG = (-5, -5, 35, 25)
TRACK = '(segment (start 8 10) (end 22 10) (width 0.4) (layer "F.Cu") (net {net}))'


def pour(
    box: tuple[float, float, float, float] = INSIDE,
    *,
    net: int = 1,
    connect: str = "yes",
    fill: str = "(fill (thermal_gap 0.5) (thermal_bridge_width 0.5) (island_removal_mode 1))",
    more: str = "",
    copper: str = "",
    layers: str = '(layer "F.Cu")',
) -> str:
    """Return a zone over a box with a clearance of 0.3 mm, that keeps islands."""
    x0, y0, x1, y1 = box
    corners = f"(xy {x0} {y0}) (xy {x1} {y0}) (xy {x1} {y1}) (xy {x0} {y1})"
    filled = f'(filled_polygon (layer "F.Cu") (pts {corners}))' if copper else ""
    return f"""(zone (net {net}) (net_name "N") {layers} {more} (connect_pads {connect} (clearance 0.3))
        (min_thickness 0.2) (filled_areas_thickness no) {fill} (polygon (pts {corners})) {filled})"""


def keepout(copper: str) -> str:
    """Return a rule area over the left half of the zone that says this of poured copper."""
    return f"""(zone (net 0) (net_name "") (layers "F.Cu" "B.Cu") (hatch full 0.5)
        (keepout (tracks allowed) (vias allowed) (pads allowed) (copperpour {copper}) (footprints allowed))
        (polygon (pts (xy 10 5) (xy 15 5) (xy 15 15) (xy 10 15))))"""


def made(read_text: Reader, *bodies: str) -> Board:
    """Return the board that holds these."""
    return read_text(board_text("\n".join((NETS, EDGE, *bodies))))


def fill_of(board: Board, which: int = 0) -> Fill:
    """Return the only fill of a zone."""
    (fill,) = board.zones[which].fills
    assert fill.estimated
    return fill


def area(board: Board, which: int = 0) -> float:
    """Return the estimated area of the only fill of a zone."""
    return float(fill_of(board, which).copper.area)


def test_an_unfilled_zone_covers_its_outline_and_is_told(read_text: Reader) -> None:
    """With nothing in its way a zone fills its outline, marked as an estimate, and a note says what to do."""
    board = made(read_text, pour())
    assert area(board) == pytest.approx(100, rel=1e-3)
    (note,) = board.notes
    assert note.startswith("1 zone(s) hold no fill: their copper is estimated from the outline less clearances; fill")


def test_estimates_are_not_counted_as_filled_area(read_text: Reader) -> None:
    """The area that other programs read is that of fills in the file, as KiCad counts it."""
    board = made(read_text, pour(), pour((0, 0, 2, 2), copper="yes", fill="(fill yes)"))
    assert board_document(board).zone_area_mm2 == {"F.Cu": pytest.approx(4)}


def test_the_boards_edge_is_kept_clear(read_text: Reader) -> None:
    """A zone drawn beyond the board ends before its edge, by KiCad's clearance to it."""
    found = fill_of(made(read_text, pour(OVERHANG))).copper
    margin = EDGE_CLEARANCE_MM
    assert found.bounds == pytest.approx((margin, margin, 30 - margin, 20 - margin), abs=1e-3)


@pytest.mark.parametrize(("net", "lost"), [(2, 10 * (0.4 + 2 * 0.3)), (1, 0.0)])
def test_other_nets_tracks_are_kept_clear(read_text: Reader, net: int, lost: float) -> None:
    """A track of another net cuts a lane of its width and twice the clearance; one of the zone's own does not."""
    assert area(made(read_text, pour(), TRACK.format(net=net))) == pytest.approx(100 - lost, rel=1e-3)


def test_a_pad_of_another_net_and_a_hole_are_kept_clear(read_text: Reader) -> None:
    """A round pad of 2 mm and an unplated hole of 1 mm each keep 0.3 mm round them."""
    pads = """(pad "1" smd circle (at 3 3) (size 2 2) (layers "F.Cu") (net 2 "SIG"))
        (pad "" np_thru_hole circle (at 7 7) (size 1 1) (drill 1) (layers "*.Cu"))"""
    found = area(made(read_text, pour(), part_text(pads, at="10 5")))
    assert found == pytest.approx(100 - pi * 1.3**2 - pi * 0.8**2, rel=5e-3)


@pytest.mark.parametrize(
    ("connect", "kind", "lost"),
    [
        ("yes", "smd", 0.0),
        ("", "smd", 8 * 0.5 * 0.75 + pi * 0.5**2),  # a gap of 0.5 mm round 2 by 2 mm, four spokes of 0.5 mm
        ("thru_hole_only", "smd", 0.0),
        ("no", "smd", 4 * 2 * 0.3 + pi * 0.3**2 + 2 * 2),  # what is kept clear is the land and the clearance
    ],
)
def test_pads_of_the_zones_own_net(read_text: Reader, connect: str, kind: str, lost: float) -> None:
    """A pad of the zone's net is joined solidly, by four spokes over a gap, or not at all, as the zone says."""
    pad = f'(pad "1" {kind} rect (at 5 5) (size 2 2) (layers "F.Cu") (net 1 "GND"))'
    found = area(made(read_text, pour(connect=connect), part_text(pad, at="10 5")))
    assert found == pytest.approx(100 - lost, abs=0.05)


def test_a_pads_own_word_goes_before_the_zones(read_text: Reader) -> None:
    """The zone joins by spokes, the footprint's pads are solid but for the one that says otherwise."""
    pads = """(zone_connect 2)
        (pad "1" smd rect (at 5 5) (size 2 2) (layers "F.Cu") (net 1 "GND"))
        (pad "2" smd rect (at 8 5) (size 2 2) (zone_connect 1) (layers "F.Cu") (net 1 "GND"))
        (pad "3" smd rect (at 5 8) (size 2 2) (zone_connect 3) (layers "F.Cu") (net 1 "GND"))"""
    board = made(read_text, pour(connect=""), part_text(pads, at="10 5"))
    (part,) = board.footprints
    assert [board.zones[0].connection(pad) for pad in part.pads] == ["solid", "thermal", "solid"]


@pytest.mark.parametrize(("copper", "left"), [("not_allowed", 50.0), ("allowed", 100.0)])
def test_keepouts_cut_where_they_bar_poured_copper(read_text: Reader, copper: str, left: float) -> None:
    """A rule area takes its share only where it forbids pours."""
    assert area(made(read_text, pour(), keepout(copper))) == pytest.approx(left, rel=1e-3)


@pytest.mark.parametrize(("net", "gap"), [(2, 0.3), (1, 0.0)])
def test_higher_priority_keeps_its_copper(read_text: Reader, net: int, gap: float) -> None:
    """The lower zone gives way to the higher one whatever their order, with clearance where the nets differ."""
    board = made(read_text, pour(), pour((10, 5, 14, 15), net=net, more="(priority 7)"))
    assert area(board, 1) == pytest.approx(40, rel=1e-3)
    assert area(board, 0) == pytest.approx((6 - gap) * 10, rel=1e-3)


@pytest.mark.parametrize("more", ["", TRACK.format(net=1)])
def test_islands_are_poured_only_where_the_zone_keeps_them(read_text: Reader, more: str) -> None:
    """Copper that nothing of its net touches is left out, unless a track of its net runs there."""
    board = made(read_text, pour(fill="(fill (thermal_gap 0.5) (thermal_bridge_width 0.5))"), more)
    assert sum(fill.copper.area for fill in board.zones[0].fills) == pytest.approx(100 if more else 0, abs=0.1)


def test_a_hatched_zone_has_its_holes(read_text: Reader) -> None:
    """Lines of 1 mm 1 mm apart leave about three quarters of the copper."""
    hatched = "(fill (mode hatch) (island_removal_mode 1) (hatch_thickness 1) (hatch_gap 1))"
    found = area(made(read_text, pour((5, 5, 26, 16), fill=hatched)))
    assert found == pytest.approx(21 * 11 - 10 * 5, rel=1e-3)


def test_zones_filled_with_nothing_are_not_estimated(read_text: Reader) -> None:
    """Where others hold fills, a zone called filled got no copper; where none does, fills were not saved."""
    empty = pour((22, 2, 28, 8), fill="(fill yes (island_removal_mode 1))")
    beside = made(read_text, empty, pour(copper="yes", fill="(fill yes)"))
    assert beside.zones[0].fills == ()
    assert beside.notes == ()
    assert area(made(read_text, empty)) == pytest.approx(36, rel=1e-3)


def test_each_layer_is_poured_by_itself(read_text: Reader) -> None:
    """A track on the top cuts the copper of the top alone."""
    board = made(read_text, pour(layers='(layers "F.Cu" "B.Cu")'), TRACK.format(net=2))
    assert {fill.layer: round(fill.copper.area, 1) for fill in board.zones[0].fills} == {"F.Cu": 90.0, "B.Cu": 100.0}
    assert shapely.is_valid([fill.copper for fill in board.zones[0].fills]).all()
