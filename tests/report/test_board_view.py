"""The board seen from one side."""

from dataclasses import replace

import pytest
import shapely

from builders import board, part
from leeward.report.board_view import (
    PAGE_MM,
    View,
    bodies,
    edge,
    ground,
    hatched,
    lands,
    on_side,
    page_frame,
    references,
    view_of,
)
from leeward.report.callouts import COLUMN_MM, PITCH_MM
from leeward.report.drawing import Area, Line
from leeward.report.lettering import Room, box_of

WHOLE = View((-2.0, -2.0, 62.0, 42.0), "top", 0.5, whole=True)


def test_a_board_that_is_little_larger_than_what_must_be_seen_is_shown_whole() -> None:
    """Parts at both ends need the whole board: its bounds with a margin, scaled to the page's width."""
    view = view_of(board(), "top", [shapely.box(1, 1, 2, 2), shapely.box(58, 30, 59, 31)], tall_mm=500.0)
    assert view.window == (-2.0, -2.0, 62.0, 42.0)
    assert view.whole
    assert view.paper_mm == pytest.approx(64 / (PAGE_MM - 2 * COLUMN_MM))


def test_a_window_shows_all_that_must_be_seen() -> None:
    """Of a larger board only a window is shown; it holds what it must, has the page's ratio, and stays on the board."""
    must = shapely.box(1, 1, 3, 2)
    view = view_of(board(), "top", [must], tall_mm=61.0)
    x0, y0, x1, y1 = view.window
    assert shapely.box(*view.window).contains(must)
    assert (x1 - x0) / (y1 - y0) == pytest.approx(2.0)
    assert x0 >= -2
    assert y0 >= -2
    assert not view.whole


def test_the_frame_leaves_room_for_the_callouts() -> None:
    """The frame is the page's width, and as tall as the rows of callouts where the view is not."""
    x0, y0, x1, y1 = page_frame(WHOLE, rows=3)
    assert x1 - x0 == PAGE_MM * 0.5
    assert y1 - y0 == 44.0
    _, y0, _, y1 = page_frame(WHOLE, rows=20)
    assert y1 - y0 == pytest.approx(20 * PITCH_MM * 0.5)


def test_copper_is_that_of_the_side() -> None:
    """Fills and tracks of the top are hinted from the top; from below there is only the via."""
    top = shapely.union_all([shape_of(item) for item in ground(board(), WHOLE) if item.ink == "copper"])
    assert top.area == pytest.approx(100 + 50, abs=1.0)
    below = [item for item in ground(board(), replace(WHOLE, side="bottom")) if item.ink == "copper"]
    assert shapely.union_all([shape_of(item) for item in below]).area < 1.0


def shape_of(item: object) -> shapely.Geometry:
    """Return the shape of an area."""
    assert isinstance(item, Area)
    return shapely.Polygon(item.rings[0], item.rings[1:])


def test_the_window_cuts_the_edge() -> None:
    """Where the board goes on beyond the window its edge ends there, and a thin frame says that it goes on."""
    view = View((-2.0, -2.0, 20.0, 20.0), "top", 0.2, whole=False)
    inks = {item.ink for item in edge(board(), view)}
    assert inks == {"edge", "thin"}
    drawn = [item for item in edge(board(), view) if item.ink == "edge"]
    assert all(x <= 20 and y <= 20 for item in drawn if isinstance(item, Line) for x, y in item.points)
    assert {item.ink for item in edge(board(), WHOLE)} == {"edge"}


def test_parts_of_the_other_side_are_not_seen() -> None:
    """Only parts of the side within the window are shown, the largest first, and their lands with them."""
    large = replace(part("U1"), body=shapely.box(10, 10, 30, 30))
    parts = [part("C2", 40.0), part("D3", side="bottom"), large, part("C9", 500.0)]
    shown = on_side(parts, WHOLE)
    assert [entry.ref for entry in shown] == ["U1", "C2"]
    assert sum(shape_of(item).area for item in lands(shown[1:], WHOLE)) == pytest.approx(2 * 0.6 * 1.5)


def test_a_body_that_is_not_there_is_not_drawn() -> None:
    """A part that is not fitted has lands but no body."""
    bare = replace(part("R9"), body=shapely.Polygon())
    assert bodies([bare], WHOLE, {}) == ()
    assert references([bare], WHOLE, Room()) == ()


def test_risk_is_hatched_both_ways_when_high() -> None:
    """High: strokes that rise and strokes that fall; medium: those that rise; low: none."""
    entry = part("C2", 40.0)
    found = {}
    for level in ("high", "medium", "low"):
        strokes = [item for item in bodies([entry], WHOLE, {entry.id: level}) if isinstance(item, Line)]
        slopes = {(b[1] - a[1]) * (b[0] - a[0]) > 0 for a, b in (item.points for item in strokes)}
        found[level] = slopes
    assert found == {"high": {True, False}, "medium": {False}, "low": set()}


def test_hatching_keeps_its_spacing_and_stays_inside() -> None:
    """Strokes at 45 degrees, 1 mm apart, cover a square of 10 mm with its area over the spacing."""
    strokes = hatched(shapely.box(0, 0, 10, 10), "risk-line", 1.0)
    assert sum(shapely.LineString(item.points).length for item in strokes if isinstance(item, Line)) == pytest.approx(
        100.0, rel=0.05
    )


def test_a_reference_is_written_in_its_body_beside_it_or_not_at_all() -> None:
    """It stands in a large body, beside a small one, and nowhere where something is in the way on all sides."""
    large = replace(part("U1"), body=shapely.box(10, 10, 30, 30))
    small = replace(part("C2"), body=shapely.box(40, 20, 40.4, 20.2))
    inside, beside = references([large, small], WHOLE, Room())
    assert shapely.box(10, 10, 30, 30).contains(shapely.box(*box_of(inside)))
    assert not shapely.box(*box_of(beside)).intersects(small.body)
    full = Room()
    full.take((35, 15, 45, 25))
    assert [words.text for words in references([large, small], WHOLE, full)] == ["U1"]
