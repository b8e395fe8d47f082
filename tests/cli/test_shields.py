"""Tests of `leeward shields`, end to end on a small invented board."""

import io
import json
from pathlib import Path

import ezdxf
import pytest

from cli.boards import resistor, transistor, write_board
from leeward.cli.exit_codes import ExitCode
from leeward.cli.main import run


@pytest.fixture(scope="module")
def board(tmp_path_factory: pytest.TempPathFactory) -> str:
    """Return a board with a transistor and a resistor 5 mm from it."""
    return write_board(tmp_path_factory.mktemp("board"), transistor(), resistor(x_mm=120.0))


def told(arguments: list[str], capsys: pytest.CaptureFixture[str], code: ExitCode = ExitCode.DONE) -> str:
    """Run the command and return what it prints."""
    assert run(["shields", *arguments]) == code
    return capsys.readouterr().out


def test_the_plan_is_printed(board: str, capsys: pytest.CaptureFixture[str]) -> None:
    """The answer first, then the pieces with sizes and what they cover, then before and after, then cautions."""
    text = told([board, "Q1"], capsys)
    assert text.startswith("Q1: 1 piece to lay. The last joint, pad ")
    assert "with at most 20 C" in text
    assert "Shields, in laying order" in text
    assert "polyimide-tape" in text
    assert "R1" in text
    assert "Neighbours, without the plan and with it" in text
    assert "Tape: peel it slowly" in text


def test_nothing_at_hand_is_no_piece(board: str, capsys: pytest.CaptureFixture[str]) -> None:
    """With --have none there is nothing to lay, and the chip says so; a drawing of nothing is refused."""
    text = told([board, "Q1", "--have", "none"], capsys)
    assert text.startswith("Q1: 0 pieces to lay.")
    assert "none is at hand" in text
    assert run(["shields", board, "Q1", "--have", "none", "--format", "svg"]) == ExitCode.USAGE
    assert "no piece to draw" in capsys.readouterr().err


def test_rolls_are_those_at_hand(board: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Of the widths that are named the strip takes the narrowest that serves."""
    text = told([board, "Q1", "--roll-width", "15", "--roll-width", "9"], capsys)
    line = next(line for line in text.splitlines() if "polyimide-tape" in line)
    assert " 9.0 " in line


def test_one_material_alone(board: str, capsys: pytest.CaptureFixture[str]) -> None:
    """With --material fibre there is no tape for the chip."""
    assert "polyimide-tape" not in told([board, "Q1", "--material", "ceramic-fibre"], capsys)


@pytest.mark.parametrize(
    ("options", "words"),
    [
        (["--material", "lead"], "the bench has no shield material lead; name one of aluminium-foil"),
        (["--have", "wood"], "no form 'wood': tape, foil, fibre, gel or none"),
        (["--have", ""], "no form ''"),
        (["--roll-width", "1"], "'1' is no number from 2 to 500"),
        (["--format", "json"], "'json' is not one of"),
    ],
)
def test_what_is_not_there_is_refused(
    options: list[str], words: str, board: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """An unknown material, form or width ends with code 2 and says what there is."""
    assert run(["shields", board, "Q1", *options]) == ExitCode.USAGE
    assert words in capsys.readouterr().err


def test_an_unknown_part_is_nothing_to_assess(board: str, capsys: pytest.CaptureFixture[str]) -> None:
    """As in a review: code 10, and the nearest references."""
    assert run(["shields", board, "Q2"]) == ExitCode.NOTHING_ASSESSED
    assert "nearest: Q1" in capsys.readouterr().err


def test_the_ending_decides_the_form(board: str, tmp_path: Path) -> None:
    """SVG, DXF and PDF are written by the name of the file; each is what it says."""
    for ending in ("svg", "dxf", "pdf"):
        assert run(["shields", board, "Q1", "-o", str(tmp_path / f"plan.{ending}")]) == ExitCode.DONE
    assert (tmp_path / "plan.svg").read_text(encoding="utf-8").startswith("<?xml")
    assert (tmp_path / "plan.pdf").read_bytes().startswith(b"%PDF-")
    drawing = ezdxf.read(io.StringIO((tmp_path / "plan.dxf").read_text(encoding="utf-8")))  # type: ignore[attr-defined]  # not in its exports
    assert not drawing.audit().errors


def test_the_board_is_never_the_output(board: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Writing over the board is refused."""
    assert run(["shields", board, "Q1", "--format", "svg", "-o", board]) == ExitCode.USAGE
    assert "is an input" in capsys.readouterr().err


def test_a_review_carries_the_plan(board: str, capsys: pytest.CaptureFixture[str]) -> None:
    """The JSON of a review has the pieces, what each neighbour gets, before and after, and what is credited."""
    assert run(["review", board, "Q1", "--format", "json"]) == ExitCode.DONE
    (reviewed,) = json.loads(capsys.readouterr().out)["reviews"]
    (piece,) = reviewed["shields"]
    (near,) = reviewed["neighbours"]
    assert piece["kind"] == "air-mask"
    assert piece["covers"] == [near["id"]]
    assert piece["polygon"][0][0] == piece["polygon"][0][-1]
    assert near["shield"] == ["air-mask"]
    assert abs(near["body_peak_c"] - near["shielded_peak_c"]) < 60.0
    assert near["credited_peak_c"] >= near["body_peak_c"] - 20.0 - 0.1
    assert any(step["do"].startswith("Lay tape, piece 1, over R1.") for step in reviewed["work_order"])
