"""Tests of `leeward parts --unsure`, and of what is filled in being used everywhere."""

import json
import re
from pathlib import Path
from typing import Any

import pytest

from cli.boards import footprint, resistor, transistor, write_board
from leeward.cli.exit_codes import ExitCode
from leeward.cli.main import run
from parts.shapes import vrml_box

ODD_PADS = " ".join(
    f'(pad "{n}" smd rect (at {x} 0) (size 1 1.6) (layers "F.Cu" "F.Paste" "F.Mask") (net 1 "GND"))'
    for n, x in (("1", -2), ("2", 2))
)
MODEL = (
    '(model "${KICAD6_3DMODEL_DIR}/Odd.3dshapes/box.wrl" (offset (xyz 0 0 0)) (scale (xyz 1 1 1)) (rotate (xyz 0 0 0)))'
)


def odd(ref: str, x_mm: float, extra: str = "") -> str:
    """Return a part of which no name tells anything."""
    return footprint("Bench:Oddity", ref, "thing", x_mm, ODD_PADS + extra)


def parts_of(board: str, capsys: pytest.CaptureFixture[str], *options: str) -> dict[str, Any]:
    """Return the parts of a board by reference, as JSON gives them."""
    capsys.readouterr()
    assert run(["parts", board, "--format", "json", *options]) == ExitCode.DONE
    return {part["ref"]: part for part in json.loads(capsys.readouterr().out)["parts"]}


def test_only_the_unsure_are_listed(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Text and JSON hold the parts with a guess, and no others."""
    board = write_board(tmp_path, transistor(), odd("ODD1", 120), odd("ODD2", 126))
    sure = {ref for ref, part in parts_of(board, capsys).items() if ref == "Q1"}
    assert sure == {"Q1"}
    assert set(parts_of(board, capsys, "--unsure")) == {"ODD1", "ODD2"}
    assert run(["parts", board, "--unsure"]) == ExitCode.DONE
    text = capsys.readouterr().out
    assert "ODD1" in text
    assert "Q1" not in text


def test_filled_in_and_given_back_it_is_used_everywhere(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The skeleton's heights and limits, filled in, stand in parts and review, and nothing is unsure any more."""
    board = write_board(tmp_path, transistor(), odd("ODD1", 120), odd("ODD2", 126))
    known = tmp_path / "known.toml"
    assert run(["parts", board, "--unsure", "-o", str(known)]) == ExitCode.DONE
    skeleton = known.read_text(encoding="utf-8")
    assert skeleton.count("[[part]]") == 1
    assert "# ODD1, ODD2\n" in skeleton
    guesses = parts_of(board, capsys)["ODD1"]
    assert f"# height_mm = {guesses['height_mm']:g}" in skeleton
    filled = re.sub(r"^# (\w+ = )", r"\1", skeleton, flags=re.MULTILINE)
    filled = re.sub(r"^height_mm = \S+", "height_mm = 7.25", filled, flags=re.MULTILINE)
    filled = re.sub(r"^limit_c = \S+", "limit_c = 111", filled, flags=re.MULTILINE)
    known.write_text(filled, encoding="utf-8")
    for part in (parts_of(board, capsys, "--parts", str(known))[ref] for ref in ("ODD1", "ODD2")):
        assert (part["height_mm"], part["limit_c"]) == (7.25, 111.0)
        assert part["sources"]["height_mm"]["confidence"] == "high"
    assert parts_of(board, capsys, "--parts", str(known), "--unsure") == {}
    assert run(["review", board, "Q1", "--parts", str(known), "--format", "json"]) == ExitCode.DONE
    neighbours = json.loads(capsys.readouterr().out)["reviews"][0]["neighbours"]
    assert {entry["limit_c"] for entry in neighbours if entry["ref"] in ("ODD1", "ODD2")} == {111.0}
    assert all("known.toml" in entry["limit_source"] for entry in neighbours if entry["ref"] in ("ODD1", "ODD2"))


def test_a_resin_may_be_filled_in(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The skeleton asks for a connector's resin, which sets its limit; left empty it says nothing."""
    header = footprint("Connector_PinHeader_2.54mm:PinHeader_1x02_P2.54mm_Vertical_SMD", "J1", "", 120, ODD_PADS)
    board = write_board(tmp_path, transistor(), header)
    known = tmp_path / "known.toml"
    assert run(["parts", board, "--unsure", "-o", str(known)]) == ExitCode.DONE
    skeleton = known.read_text(encoding="utf-8")
    assert '# resin = ""' in skeleton
    for resin, limit_c in (("", 200.0), ("LCP", 260.0)):
        known.write_text(skeleton.replace('# resin = ""', f'resin = "{resin}"'), encoding="utf-8")
        assert parts_of(board, capsys, "--parts", str(known))["J1"]["limit_c"] == limit_c


def test_toml_is_for_the_unsure(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A parts file of everything is refused, and reviews have no such form."""
    board = write_board(tmp_path, resistor())
    assert run(["parts", board, "--format", "toml"]) == ExitCode.USAGE
    assert "--unsure" in capsys.readouterr().err
    assert run(["review", board, "R1", "--format", "toml"]) == ExitCode.USAGE
    assert run(["review", board, "R1", "-o", str(tmp_path / "r.toml")]) == ExitCode.USAGE
    assert "no format is known by the ending .toml; give --format, or end the name in .txt or .json" in (
        capsys.readouterr().err
    )


@pytest.mark.parametrize("by", ["--models", "environment"])
def test_models_are_found_by_option_and_environment(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch, by: str
) -> None:
    """A model's height is used where its folder is told either way; what is wrong with another is a warning."""
    folder = tmp_path / "models" / "Odd.3dshapes"
    folder.mkdir(parents=True)
    (folder / "box.wrl").write_text(vrml_box((-2.4, -0.8, 0), (2.4, 0.8, 3.21)), encoding="utf-8")
    (folder / "bad.wrl").write_text("junk", encoding="utf-8")
    board = write_board(tmp_path, odd("ODD1", 120, MODEL), odd("ODD2", 126, MODEL.replace("box", "bad")), transistor())
    monkeypatch.delenv("KICAD6_3DMODEL_DIR", raising=False)
    plain = parts_of(board, capsys)["ODD1"]
    assert not plain["sources"]["height_mm"]["source"].startswith("3D model")
    options = ["--models", str(folder.parent)]
    if by == "environment":
        monkeypatch.setenv("KICAD9_3DMODEL_DIR", str(folder.parent))
        options = []
    found = parts_of(board, capsys, *options)["ODD1"]
    assert (found["height_mm"], found["sources"]["height_mm"]["source"]) == (3.21, "3D model box.wrl")
    assert run(["parts", board, *options]) == ExitCode.DONE
    assert "warning: 3D model bad.wrl is left aside: it is no VRML 2.0" in capsys.readouterr().err
    assert run(["review", board, "Q1", *options, "--format", "json"]) == ExitCode.DONE
    assert any("bad.wrl" in note for note in json.loads(capsys.readouterr().out)["board"]["notes"])


def test_fields_reach_the_documents(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """An MSL field stands in the document with its source, and a wrong field of ours stops with file and line."""
    field = '(property "MSL" "Level 3" (at 0 0 0) (layer "F.Fab"))'
    board = write_board(tmp_path, odd("ODD1", 120, field))
    part = parts_of(board, capsys)["ODD1"]
    assert (part["msl"], part["msl_source"]["source"]) == ("3", "field MSL of the footprint")
    assert (part["floor_life"], part["under"]) == (None, None)
    board = write_board(tmp_path, odd("ODD1", 120, field.replace("MSL", "Leeward.msi")))
    assert run(["parts", board]) == ExitCode.INPUT
    assert re.search(r"lamp\.kicad_pcb:\d+: ODD1: unknown field 'Leeward\.msi', nearest msl", capsys.readouterr().err)
