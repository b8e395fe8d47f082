"""Windows cut out of boards."""

import shapely

from leeward.board.records import Track, Via
from leeward.board.window import extents, window
from thermal_boards import board, chip, pour, square

TRACKS = (Track("F.Cu", "A", 0.2, ((1.0, 1.0), (9.0, 1.0))), Track("F.Cu", "A", 0.2, ((20.0, 1.0), (30.0, 1.0))))
VIAS = (Via(2.0, 2.0, 0.6, 0.3, ("F.Cu", "B.Cu"), "A"), Via(25.0, 2.0, 0.6, 0.3, ("F.Cu", "B.Cu"), "A"))
WHOLE = board(
    shapely.box(0, 0, 40, 20),
    footprints=(chip("C1", 5, 5).footprint, chip("C2", 25, 5).footprint, chip("C3", 38, 15).footprint),
    tracks=TRACKS,
    vias=VIAS,
    zones=(pour("B.Cu", shapely.box(0, 0, 40, 20)),),
)


def test_a_window_holds_what_reaches_into_it() -> None:
    """Parts, tracks and vias that touch the bounds stay, others go; fills are cut; the outline stays whole."""
    cut = window(WHOLE, extents(WHOLE), (0.0, 0.0, 10.0, 10.0))
    assert [part.ref for part in cut.footprints] == ["C1"]
    assert cut.tracks == TRACKS[:1]
    assert cut.vias == VIAS[:1]
    assert cut.zones[0].fills[0].copper.area == 100.0
    assert cut.outline is WHOLE.outline


def test_what_only_touches_the_bounds_is_kept() -> None:
    """A track whose edge lies on the bounds, by its width, is inside."""
    cut = window(WHOLE, extents(WHOLE), (0.0, 1.1, 10.0, 1.2))
    assert cut.tracks == TRACKS[:1]


def test_named_parts_stay_wherever_they_are() -> None:
    """A part asked to be kept is kept though it lies far off."""
    cut = window(WHOLE, extents(WHOLE), (0.0, 0.0, 10.0, 10.0), ["id-C3"])
    assert [part.ref for part in cut.footprints] == ["C1", "C3"]


def test_fills_may_be_left_whole() -> None:
    """Without cutting the zones are the board's own."""
    cut = window(WHOLE, extents(WHOLE), (0.0, 0.0, 1.0, 1.0), fills=False)
    assert cut.zones is WHOLE.zones


def test_an_empty_board_has_an_empty_window() -> None:
    """A board that holds nothing is cut without a fault."""
    bare = board(square(0, 0, 10))
    assert window(bare, extents(bare), (0.0, 0.0, 1.0, 1.0)).footprints == ()
