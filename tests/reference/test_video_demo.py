"""The review of U23 on KiCad's demo board `video` against a ruler: the file as kiutils reads it, and plain geometry.

kiutils 1.4.8 reads this file (format 20211014) without loss; it shares no code with the project's reader. The board
is of Debian's package kicad-demos.
"""

import json
from functools import cache
from pathlib import Path
from typing import Any

import pytest
import shapely
from kiutils.board import Board as KiutilsBoard
from shapely import affinity
from shapely.geometry.base import BaseGeometry

from leeward.cli.main import run
from needs import kicad_demo

pytestmark = pytest.mark.kicad
LEAD_PAST_LAND_MM = 0.4  # a gull-wing's land reaches so far past its lead, IPC-7351B toe goals, as read by parts


@cache
def footprints() -> dict[str, Any]:
    """Return the demo's footprints by reference, as kiutils reads them."""
    board = KiutilsBoard.from_file(str(kicad_demo("video/video.kicad_pcb")), encoding="utf-8")
    return {_text(item, "reference"): item for item in board.footprints}


def _text(item: Any, kind: str) -> str:
    return str(next(graphic.text for graphic in item.graphicItems if getattr(graphic, "type", "") == kind))


def placed(item: Any, shape: BaseGeometry) -> BaseGeometry:
    """Return a shape of the footprint's frame where the footprint stands; y runs down, angles count upward."""
    turned = affinity.rotate(shape, -(item.position.angle or 0.0), origin=(0, 0))
    return affinity.translate(turned, item.position.X, item.position.Y)


def fab_box(ref: str) -> BaseGeometry:
    """Return the box round the fab lines of a footprint, in the board's frame."""
    item = footprints()[ref]
    lines = [g for g in item.graphicItems if getattr(g, "layer", "").endswith(".Fab") and hasattr(g, "start")]
    points = [(p.X, p.Y) for line in lines for p in (line.start, line.end)]
    return placed(item, shapely.MultiPoint(points).envelope)


def target_outline() -> BaseGeometry:
    """Return body and leads of U23: its 14 x 20 mm body, and lead rows as long as the rows of lands."""
    pads = [(pad.position.X, pad.position.Y, pad.size.X, pad.size.Y) for pad in footprints()["U23"].pads]
    sides = [(x, y, w, h) for x, y, w, h in pads if abs(x) > 7]
    ends = [(x, y, h, w) for x, y, w, h in pads if abs(y) > 10]  # these lands are turned by 90 degrees
    right = max(x + w / 2 for x, _, w, _ in sides) - LEAD_PAST_LAND_MM
    low = max(y + h / 2 for _, y, _, h in ends) - LEAD_PAST_LAND_MM
    row = max(y + h / 2 for _, y, _, h in sides)
    column = max(x + w / 2 for x, _, w, _ in ends)
    across, along = shapely.box(-right, -row, right, row), shapely.box(-column, -low, column, low)
    return placed(footprints()["U23"], shapely.union_all([across, along, shapely.box(-7, -10, 7, 10)]))


@pytest.fixture(scope="module")
def review(tmp_path_factory: pytest.TempPathFactory) -> Any:
    """Return the review of U23 as the command line writes it."""
    out: Path = tmp_path_factory.mktemp("video") / "u23.json"
    assert run(["review", str(kicad_demo("video/video.kicad_pcb")), "U23", "-o", str(out)]) == 0
    return json.loads(out.read_text(encoding="utf-8"))["reviews"][0]


def test_the_review_is_whole(review: Any) -> None:
    """Setup, heat, the three ranked lists, work order, cautions and findings are all there, joints molten."""
    assert review["setup"]["reaches_reflow"]
    assert len(review["pads"]) == 100
    assert review["neighbours"]
    assert review["clearance"]
    assert review["findings"]
    assert len(review["work_order"]) > 8
    assert len(review["cautions"]) >= 7


@pytest.mark.parametrize("ref", ["RR8", "P9", "RR7", "P4"])
def test_gaps_of_the_nearest_on_top(review: Any, ref: str) -> None:
    """The nearest neighbours on top stand where a ruler puts them, to 0.01 mm."""
    entry = next(entry for entry in review["neighbours"] if entry["ref"] == ref)
    assert entry["side"] == "top"
    assert entry["gap_mm"] == pytest.approx(fab_box(ref).distance(target_outline()), abs=0.01)


def test_the_gap_of_a_round_neighbour(review: Any) -> None:
    """The LED D6, whose fab drawing is an arc of 1.9 mm round (1.27, 0) of its frame, stands where a ruler puts it."""
    disc = placed(footprints()["D6"], shapely.Point(1.27, 0).buffer(1.9, quad_segs=256))
    entry = next(entry for entry in review["neighbours"] if entry["ref"] == "D6")
    assert entry["gap_mm"] == pytest.approx(disc.distance(target_outline()), abs=0.01)


def test_no_nearer_neighbour_is_missed(review: Any) -> None:
    """Every footprint on top whose fab box is within 3 mm of the target by the ruler is among the neighbours."""
    target = target_outline()
    drawn = [ref for ref, item in footprints().items() if item.layer == "F.Cu" and ref != "U23"]
    near = {ref for ref in drawn if not fab_box(ref).is_empty and fab_box(ref).distance(target) < 3.0}
    assert near
    assert near <= {entry["ref"] for entry in review["neighbours"]}


def test_the_chips_underneath(review: Any) -> None:
    """The parts on the bottom that lie under the target by the ruler are all listed, on the bottom, at gap 0."""
    target = target_outline()
    drawn = [ref for ref, item in footprints().items() if item.layer == "B.Cu"]
    under = {ref for ref in drawn if not fab_box(ref).is_empty and fab_box(ref).intersects(target)}
    listed = {entry["ref"]: entry for entry in review["neighbours"]}
    assert len(under) >= 3
    assert under <= set(listed)
    assert all(listed[ref]["side"] == "bottom" and listed[ref]["gap_mm"] == 0 for ref in under)


def test_energy_of_the_review(review: Any) -> None:
    """The balance closes to 1 % over the run, and the air gives no more than it carries; the report shows both."""
    energy = review["heat"]["energy"]
    assert abs(energy["imbalance"]) < 0.01
    assert 0 < energy["taken_from_air_j"] <= energy["carried_by_air_j"]
