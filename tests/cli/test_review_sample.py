"""Tests of `leeward review` on the sample board that the project ships."""

import json
from collections.abc import Iterator
from pathlib import Path

import jsonschema
import pytest

from leeward.bench.records import Bench
from leeward.board.records import Board
from leeward.cli.exit_codes import ExitCode
from leeward.cli.main import run
from leeward.job import Request, settle
from leeward.parts.records import Part, Parts
from leeward.report.schemas import schema
from leeward.review.records import Case

SAMPLE = str(Path(__file__).parents[2] / "sample_boards" / "tide_logger.kicad_pcb")


@pytest.fixture(scope="module", autouse=True)
def solved_once() -> Iterator[None]:
    """Let the tests of this file share one solve, which takes seconds; everything else runs each time."""
    cases: dict[str, Case] = {}

    def settle_once(request: Request, target: Part, board: Board, parts: Parts, bench: Bench) -> Case:
        if target.id not in cases:
            cases[target.id] = settle(request, target, board, parts, bench)
        return cases[target.id]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("leeward.cli.review.settle", settle_once)
        yield


def test_the_sample_board_is_reviewed(capsys: pytest.CaptureFixture[str]) -> None:
    """U1 is reviewed whole: joints melt, neighbours and pads are ranked, heat balances within 2 percent."""
    assert run(["review", SAMPLE, "U1", "--format", "json"]) == ExitCode.DONE
    found = json.loads(capsys.readouterr().out, parse_constant=pytest.fail)
    jsonschema.validate(found, schema("review"))
    (reviewed,) = found["reviews"]
    assert reviewed["target"]["ref"] == "U1"
    assert reviewed["setup"]["reaches_reflow"] is True
    assert len(reviewed["neighbours"]) > 5
    assert {pad["number"] for pad in reviewed["pads"]} == {pad["number"] for pad in reviewed["target"]["pads"]}
    assert abs(reviewed["heat"]["energy"]["imbalance"]) < 0.02
    ranks = [("high", "medium", "low").index(near["priority"]) for near in reviewed["neighbours"]]
    assert ranks == sorted(ranks)


def test_the_sample_review_reads_as_text(capsys: pytest.CaptureFixture[str]) -> None:
    """The text begins with the verdict on U1 and has all three ranked lists."""
    assert run(["review", SAMPLE, "U1"]) == ExitCode.DONE
    told = capsys.readouterr().out
    assert told.startswith("U1 (")
    for heading in ("Neighbours, by shielding need", "Nozzles, by clearance", "Lands, by risk of lifting"):
        assert f"\n{heading}\n" in told
