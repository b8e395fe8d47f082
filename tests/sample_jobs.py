"""Jobs on whole boards, each solved once for all tests that look at it."""

from functools import cache
from pathlib import Path

from leeward.bench.read import read_bench
from leeward.board.read import read
from leeward.board.records import Board
from leeward.job import Request, WorkSequence, find_targets, order, settle
from leeward.parts.identify import identify
from leeward.parts.overrides import NONE
from leeward.report.sheet import JobSheet, job_sheet
from leeward.review.judge import judge
from leeward.review.records import Review

SAMPLE = Path(__file__).parents[1] / "sample_boards" / "tide_logger.kicad_pcb"
Job = tuple[Board, tuple[Review, ...], WorkSequence]


@cache
def job(path: Path, *refs: str) -> Job:
    """Return a board, the reviews of some of its parts, and the order to work in."""
    board = read(str(path))
    parts, request, bench = identify(board, NONE, "SAC305"), Request(refs), read_bench()
    reviews = tuple(judge(settle(request, target, board, parts, bench)) for target in find_targets(board, parts, refs))
    return board, reviews, order([review.case for review in reviews])


@cache
def sample_sheet() -> JobSheet:
    """Return the job sheet of U1 on the sample board."""
    return job_sheet(*job(SAMPLE, "U1"))
