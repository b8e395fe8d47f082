"""Plans on every board that LEEWARD_BOARDS names, three targets each: nothing lies where it must not, all are answered.

The heat is that of the survey, which is coarse and quick: the geometry is what is looked at here.
"""

import os
from functools import cache
from itertools import combinations
from pathlib import Path

import pytest
import shapely

from leeward.bench.read import read_bench
from leeward.board.read import read
from leeward.heat.bodies import soldered_pads
from leeward.heat.model import own_board
from leeward.parts.identify import identify
from leeward.parts.overrides import NONE
from leeward.parts.records import Part
from leeward.review.records import Case
from leeward.shields.plan import Job, propose
from leeward.shields.records import ShieldPlan
from leeward.survey.ground import Ground, ground, targets
from leeward.survey.settle import settle_coarsely

pytestmark = pytest.mark.outside_boards
FOLDER = os.environ.get("LEEWARD_BOARDS", "")
BOARDS = sorted(path.name for path in Path(FOLDER).glob("*.kicad_pcb")) if FOLDER else []
HAIR_MM2 = 1e-6
SHIELDS = {"air-mask", "barrier", "fence", "wet-sink"}

if not BOARDS:
    pytest.skip("needs boards: set LEEWARD_BOARDS to a directory that holds them", allow_module_level=True)


@cache
def shared(name: str) -> Ground:
    """Return what the targets of a board share."""
    board = read(str(Path(FOLDER) / name))
    return ground(board, identify(board, NONE, "SAC305"), read_bench(), geometry_only=False)


def chosen(name: str) -> list[Part]:
    """Return three targets: the one with most joints, and two further down that list."""
    ranked = sorted(targets(shared(name).parts), key=lambda part: (-len(soldered_pads(part)), part.ref, part.id))
    return [ranked[0], ranked[len(ranked) // 20], ranked[len(ranked) // 6]]


@cache
def planned(name: str, place: int) -> tuple[Case, ShieldPlan]:
    """Return the coarse case of a target and its plan."""
    ground_, target = shared(name), chosen(name)[place]
    case = settle_coarsely(ground_, target)
    outline = own_board(ground_.board, target)
    job = Job(ground_.parts, target, case.loads.fit, case.heat, ground_.bench, case.recipe.alloy, outline)
    return case, propose(job)


EACH = [(name, place) for name in BOARDS for place in range(3)]


@pytest.mark.parametrize(("name", "place"), EACH)
def test_no_piece_lies_where_it_must_not(name: str, place: int) -> None:
    """No piece meets the nozzle's wall, a land of the target, or another piece's folded edge."""
    case, plan = planned(name, place)
    side = case.target.footprint.side
    lands = [(pad.sides, pad.copper) for pad in case.target.footprint.pads if not pad.copper.is_empty]
    for piece in plan.pieces:
        if piece.side == side:
            assert piece.area.intersection(case.loads.fit.outside).area < HAIR_MM2
        for sides, copper in lands:
            assert piece.side not in sides or piece.area.intersection(copper).area < HAIR_MM2
    for one, other in combinations([piece for piece in plan.pieces if piece.shape in ("strip", "sheet")], 2):
        if one.side == other.side:
            for dams, area in ((one.dams, other.area), (other.dams, one.area)):
                assert dams.is_empty or area.buffer(-1e-3).intersection(dams).length < 1e-6


@pytest.mark.parametrize(("name", "place"), EACH)
def test_rigid_pieces_do_not_stand_in_each_other(name: str, place: int) -> None:
    """Blankets, lids, tents, coats and fences of one side share no ground."""
    _, plan = planned(name, place)
    rigid = [piece for piece in plan.pieces if piece.shape not in ("strip", "sheet")]
    for one, other in combinations(rigid, 2):
        assert one.side != other.side or one.area.intersection(other.area).area < HAIR_MM2


@pytest.mark.parametrize(("name", "place"), EACH)
def test_all_that_are_to_be_shielded_are_covered_or_say_why_not(name: str, place: int) -> None:
    """Who has a shield is covered by a piece of that kind, wholly by tape; who has none says what is in the way."""
    case, plan = planned(name, place)
    for part_id, decision in plan.decisions.items():
        mine = [piece for piece in plan.pieces if part_id in piece.covers]
        missing = (SHIELDS & set(decision.kinds)) - {piece.kind for piece in mine}
        assert not missing or ("cannot" in decision.kinds and ";" in decision.why), (part_id, decision)
        assert "cannot" not in decision.kinds or len(decision.why) > len("joints at 200 C; ")
        if part_id in shared(name).parts.by_id:
            body = shared(name).parts.by_id[part_id].body
            for piece in (piece for piece in mine if piece.kind == "air-mask"):
                assert piece.area.buffer(1e-6).contains(body)
    assert case.target.id not in {part_id for piece in plan.pieces for part_id in piece.covers}


@pytest.mark.parametrize(("name", "place"), EACH)
def test_small_chips_that_may_melt_are_masked(name: str, place: int) -> None:
    """Every chip of 0603 or smaller whose joints may melt, P over 5 %, is to be held by tape, whatever blows at it."""
    _, plan = planned(name, place)
    for part_id, need in plan.needs.items():
        part = need.part
        small = part.lead_style.value == "end-cap" and max(part.body_mm.value) <= 1.7
        if small and need.exposed.melts > 0.05:
            assert "air-mask" in plan.decisions[part_id].kinds


@pytest.mark.parametrize(("name", "place"), EACH)
def test_pieces_can_be_cut(name: str, place: int) -> None:
    """Every piece is of one cloth and fits its roll or sheet; its pattern is as large as it says, crossing nowhere."""
    _, plan = planned(name, place)
    for piece in plan.pieces:
        assert piece.width_mm <= piece.roll_width_mm + 1e-6
        if piece.shape in ("strip", "sheet"):
            assert shapely.get_num_geometries(piece.area) == 1
        if piece.pattern is None:
            continue
        for ring in piece.pattern.outlines:
            assert shapely.Polygon(ring).is_valid
        whole = shapely.union_all([shapely.Polygon(ring) for ring in piece.pattern.outlines])
        if piece.shape != "fence":
            x0, y0, x1, y1 = whole.bounds
            assert (x1 - x0, y1 - y0) == pytest.approx((piece.length_mm, piece.width_mm))
        for fold in piece.pattern.folds:
            assert whole.buffer(1e-6).contains(shapely.LineString(fold))
