"""The drawings of a review's board: what stands where, and whether it is where the numbers say."""

from collections.abc import Iterable
from dataclasses import replace
from itertools import combinations
from pathlib import Path

import numpy as np
import pytest
import shapely

import sample_jobs
from builders import case, neighbour, part, review
from cases import crowded
from leeward.board.records import Side
from leeward.report.as_json import plain
from leeward.report.board_picture import called_out, opposite_side, place_on_board, work_side
from leeward.report.drawing import Area, Drawing, Words
from leeward.report.lettering import box_of
from leeward.report.review_documents import review_document
from leeward.report.svg import svg_element
from leeward.review.judge import judge
from leeward.review.records import Review
from needs import kicad_demo
from report.drawn import group, rings, root_of, shape

NEAR_MM = 0.01
VIDEO = "video/video.kicad_pcb"


@pytest.fixture(params=["sample", pytest.param("video", marks=pytest.mark.kicad)])
def job(request: pytest.FixtureRequest) -> sample_jobs.Job:
    """Return the review of U1 on the sample board, and of U23 on the demo board `video`."""
    if request.param == "sample":
        return sample_jobs.job(sample_jobs.SAMPLE, "U1")
    return sample_jobs.job(Path(kicad_demo(VIDEO)), "U23")


def sides(review_: Review) -> Iterable[tuple[Side, Drawing]]:
    """Return both drawings with the side that each shows."""
    work = review_.case.target.footprint.side
    other: Side = "bottom" if work == "top" else "top"
    return ((work, work_side(review_)), (other, opposite_side(review_)))


def seen(geometry: shapely.Geometry, side: Side, drawing: Drawing) -> shapely.Geometry:
    """Return a shape of the board frame as a drawing shows it: from below, x runs the other way."""
    about = drawing.frame_mm[0] + drawing.frame_mm[2]
    return geometry if side == "top" else shapely.transform(geometry, lambda at: at * [-1, 1] + [about, 0])


def nozzle_outline(setup: dict[str, object], middle: shapely.Geometry) -> shapely.Geometry:
    """Return the outside of a box nozzle's wall, worked out from the figures of the JSON alone."""
    nozzle = setup["nozzle"]
    assert isinstance(nozzle, dict)
    wide, long = (side + 2 * nozzle["wall_mm"] for side in nozzle["aperture_mm"])
    box = shapely.box(-wide / 2, -long / 2, wide / 2, long / 2)
    turn = np.radians(-nozzle["rotation_deg"])  # counter-clockwise as drawn, y down
    matrix = np.array([[np.cos(turn), -np.sin(turn)], [np.sin(turn), np.cos(turn)]])
    return shapely.transform(box, lambda at: at @ matrix.T + [middle.x, middle.y])


def test_places_in_the_svg_are_those_of_the_json(job: sample_jobs.Job) -> None:
    """The nozzle's wall, every zone and every thermocouple lie within 0.01 mm of the figures, on both sides."""
    board, (judged,), sequence = job
    told = plain(review_document(board, [judged], sequence))["reviews"][0]
    for side, drawing in sides(judged):
        root = root_of(svg_element(drawing))
        for number, probe in enumerate(told["heat"]["thermocouples"], 1):
            if probe["side"] == side:
                ((ring, *_), *_) = rings(group(root, f"probe-{number}"))
                at = seen(shapely.Point(probe["x_mm"], probe["y_mm"]), side, drawing)
                assert shapely.distance(shapely.Polygon(ring).centroid, at) < NEAR_MM
        for number, (x, y) in enumerate(told["opposite"]["supports_mm"] if side != told["target"]["side"] else [], 1):
            pin = shape(group(root, f"pin-{number}"))
            middle = seen(shapely.Point(x, y), side, drawing)
            x0, y0, x1, y1 = pin.bounds
            assert ((x0 + x1) / 2, (y0 + y1) / 2) == pytest.approx((middle.x, middle.y), abs=NEAR_MM)
        for shield in (shield for shield in told["shields"] if shield["side"] == side):
            area = shapely.Polygon(shield["polygon"][0], shield["polygon"][1:])
            expected = shapely.intersection(seen(area, side, drawing), window_of(root))
            found = shape(group(root, f"shield-{shield['number']}"))
            assert shapely.hausdorff_distance(found, expected) < NEAR_MM
        window = window_of(root)
        for zone in (zone for zone in told["heat"]["zones"] if zone["side"] == side and zone["area_mm2"] > 1):
            area = shapely.union_all([shapely.Polygon(rings[0], rings[1:]) for rings in zone["polygons"]])
            expected = shapely.intersection(seen(area, side, drawing), window)
            found = shape(group(root, f"zone-{side}-{zone['above_c']:g}"))
            assert shapely.hausdorff_distance(found, expected) < NEAR_MM
    side, drawing = next(iter(sides(judged)))
    (((outer, inner),),) = ([rings(group(root_of(svg_element(drawing)), "nozzle-wall"))[0]],)
    middle = shapely.Point(judged.case.loads.fit.x_mm, judged.case.loads.fit.y_mm)
    expected = seen(nozzle_outline(told["setup"], middle), side, drawing)
    assert shapely.hausdorff_distance(shapely.Polygon(outer), expected) < NEAR_MM
    wall = told["setup"]["nozzle"]["wall_mm"]
    assert shapely.distance(shapely.LinearRing(outer), shapely.LinearRing(inner)) == pytest.approx(wall, abs=NEAR_MM)


def window_of(root: object) -> shapely.Geometry:
    """Return the box round all that is drawn of the board itself."""
    board = [path for path in root.iter() if path.get("class") == "ink-board"]  # type: ignore[attr-defined]
    return shapely.box(*shapely.union_all([shape(path) for path in board]).bounds)


def test_words_overlap_nothing(job: sample_jobs.Job) -> None:
    """No two words of a drawing overlap, nor words that are no number of a mark and a mark."""
    _, (judged,), _ = job
    for _, drawing in sides(judged):
        words = [item for item in drawing.items if isinstance(item, Words)]
        boxes = {item: shapely.box(*box_of(item)).buffer(-0.05 / drawing.scale) for item in words}
        clashes = [(a.text, b.text) for a, b in combinations(words, 2) if boxes[a].intersects(boxes[b])]
        assert not clashes
        marks = [item for item in drawing.items if isinstance(item, Area) and item.ink.startswith("mark-")]
        free = [item for item in words if not item.ink.startswith("mark-")]
        assert not [
            (item.text, mark.key) for item in free for mark in marks
            if boxes[item].intersects(shapely.Polygon(mark.rings[0]))
        ]  # fmt: skip


def test_all_that_is_drawn_lies_in_the_frame(job: sample_jobs.Job) -> None:
    """Words, marks and legend end within the drawing's frame."""
    _, (judged,), _ = job
    for _, drawing in sides(judged):
        x0, y0, x1, y1 = drawing.frame_mm
        for item in drawing.items:
            points = [box_of(item)[:2], box_of(item)[2:]] if isinstance(item, Words) else list(all_points(item))
            assert all(x0 - 1e-6 <= x <= x1 + 1e-6 and y0 - 1e-6 <= y <= y1 + 1e-6 for x, y in points), item


def all_points(item: object) -> Iterable[tuple[float, float]]:
    """Return the points of an area or a line."""
    return [point for ring in item.rings for point in ring] if isinstance(item, Area) else item.points  # type: ignore[attr-defined]


def test_all_at_high_risk_are_called_out_and_numbered_as_they_are_ranked() -> None:
    """Every neighbour at high risk has a callout on its side, numbered by its place in the list by shielding need."""
    judged = judge(crowded())
    numbers = {entry.number for side in ("top", "bottom") for entry in called_out(judged, side)}
    high = {i for i, entry in enumerate(judged.neighbours, 1) if entry.priority == "high"}
    assert high
    assert high <= numbers
    keys = {item.key for _, drawing in sides(judged) for item in drawing.items if item.key.startswith("call-")}
    assert keys == {f"call-{number}" for number in numbers}


def test_no_number_of_high_risks_is_too_many() -> None:
    """Twenty neighbours at high risk get twenty callouts, in a frame that is tall enough for all of them."""
    near = tuple(neighbour(part(f"C{i}", 5.0 + 2.5 * i)) for i in range(1, 21))
    medium = tuple(neighbour(part(f"R{i}", 5.0 + 2.5 * i), "medium") for i in range(1, 21))
    judged = replace(review(), neighbours=(*near, *medium))
    assert [entry.neighbour.part.ref for entry in called_out(judged, "top")] == [f"C{i}" for i in range(1, 21)]
    marks = [item for item in work_side(judged).items if isinstance(item, Area) and item.ink == "mark-high"]
    assert len(marks) == 20
    assert shapely.union_all([shapely.Polygon(mark.rings[0]) for mark in marks]).geom_type == "MultiPolygon"


def test_a_callout_leads_into_the_body_that_it_is_about() -> None:
    """The leader's end lies in the body of the neighbour of that number, also where the board is turned over."""
    judged = judge(crowded())
    for side, drawing in sides(judged):
        root = root_of(svg_element(drawing))
        for entry in called_out(judged, side):
            leader, *_ = rings(group(root, f"call-{entry.number}"))
            end = shapely.Point(leader[0][1])
            assert seen(entry.neighbour.part.body, side, drawing).buffer(NEAR_MM).contains(end)


def test_a_callout_says_word_and_figures() -> None:
    """Beside the number stand the reference, the level as a word, and the peak with its limit."""
    judged = review()
    drawing = work_side(judged)
    texts = [item.text for item in drawing.items if isinstance(item, Words) and item.key == "call-1"]
    assert texts[0] == "1"
    assert texts[1].split() == ["C10", "high"]
    assert texts[2] == "body 231 of 245 C"


def test_levels_are_hatched_too() -> None:
    """Without colour a part at high risk still differs: strokes both ways over it, one way at medium, none at low."""
    judged = judge(crowded())
    drawing = work_side(judged)
    inks = [item.ink for item in drawing.items]
    assert "risk-line" in inks
    legend = [item.text for item in drawing.items if isinstance(item, Words)]
    assert "high risk" in legend
    assert "nozzle wall" in legend


@pytest.mark.kicad
def test_a_large_board_is_shown_where_the_work_is() -> None:
    """Of the 312 mm of `video` only the surroundings of U23 are drawn, with a small plan that shows where that is."""
    _, (judged,), _ = sample_jobs.job(Path(kicad_demo(VIDEO)), "U23")
    drawing = work_side(judged)
    assert drawing.frame_mm[2] - drawing.frame_mm[0] < 120
    place = place_on_board(judged)
    assert place is not None
    assert place.frame_mm[2] - place.frame_mm[0] == pytest.approx(314.0, abs=0.1)


def test_a_small_board_is_shown_whole() -> None:
    """A board that fits needs no plan of where the window lies."""
    _, (judged,), _ = sample_jobs.job(sample_jobs.SAMPLE, "U1")
    assert place_on_board(judged) is None


def test_a_target_below_is_worked_on_with_the_board_turned() -> None:
    """For a part on the bottom the side to work on is mirrored, and the other side is not."""
    target = part("U1", side="bottom")
    judged = review(case(target))
    (below, work), (above, other) = sides(judged)
    assert (below, above) == ("bottom", "top")
    first = target.footprint.pads[0]
    pin = shape(group(root_of(svg_element(work)), "pad-one"))
    middle = (work.frame_mm[0] + work.frame_mm[2]) / 2
    assert (pin.centroid.x, pin.centroid.y) == pytest.approx((2 * middle - first.x_mm, first.y_mm), abs=NEAR_MM)
    outline = [item for item in other.items if item.ink == "target-behind"]
    x0, _, x1, _ = shapely.MultiPoint([point for item in outline for point in all_points(item)]).bounds
    assert (x0, x1) == pytest.approx((target.leads.bounds[0], target.leads.bounds[2]), abs=1e-6)
