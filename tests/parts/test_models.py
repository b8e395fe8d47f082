"""3D models: found, placed, weighed against the footprint, and left aside where they are junk."""

import gzip
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from scipy.spatial.transform import Rotation

from leeward.board.records import Board, Footprint, Model3d
from leeward.parts.identify import identify
from leeward.parts.models import ModelFolders, ModelTops, model_folders, placed, read_models
from parts.drawn import board, box, two_rows
from parts.shapes import step_box, vrml_box

STRAIGHT = Model3d("", (0.0, 0.0, 0.0), (1.0, 1.0, 1.0), (0.0, 0.0, 0.0))
PLAN = ((-2.5, -3.0, 0.0), (2.5, 3.0, 1.37))  # of a part that fits the footprint below


def modelled(*models: Model3d, name: str = "Odd:Bespoke_8", ref: str = "U1", field: str = "") -> Footprint:
    """Return a part of two rows, 6.9 x 4.9 mm over all, with 3D models; no height in its name."""
    drawn = two_rows(name, leads=8, pitch=1.27, row=2.475, land=(1.95, 0.6), fab=box(3.9, 4.9), ref=ref)
    fields = {"Height": field} if field else {}
    return replace(drawn, id=f"id-{ref}", courtyard=box(7.4, 6.4), models=models, fields=fields)


def on_board(folder: Path, *parts: Footprint) -> Board:
    """Return a board file in a folder with parts."""
    return replace(board(*parts), file=str(folder / "drawn.kicad_pcb"))


def tops(folder: Path, *models: Model3d, folders: ModelFolders | None = None) -> ModelTops:
    """Return what the models of one part say, looked for beside the board or in the given folders."""
    return read_models(on_board(folder, modelled(*models)), folders or ModelFolders())


def local(path: str) -> Model3d:
    """Return an unmoved reference to a file beside the board."""
    return replace(STRAIGHT, path="${KIPRJMOD}/" + path)


@pytest.mark.parametrize(("name", "text"), [("a.wrl", vrml_box(*PLAN)), ("a.step", step_box(*PLAN))])
def test_the_model_gives_the_height(tmp_path: Path, name: str, text: str) -> None:
    """The top of a VRML and of a STEP box is the part's height, with the file as its source, over the family table."""
    (tmp_path / name).write_text(text, encoding="utf-8")
    drawn = on_board(tmp_path, modelled(local(name)))
    plain = identify(drawn).by_id["id-U1"].height_mm
    known = identify(drawn, models=read_models(drawn, ModelFolders())).by_id["id-U1"].height_mm
    assert plain.value != pytest.approx(1.37, abs=0.01)
    assert known.value == pytest.approx(1.37, abs=1e-5)
    assert known.source.startswith(f"3D model {name}")
    assert ("box of its vertices and circles" in known.source) == name.endswith(".step")
    assert known.confidence == "high"


def test_fields_and_names_come_before_the_model(tmp_path: Path) -> None:
    """Where a field or the name states the height the model is not even read."""
    (tmp_path / "a.wrl").write_text("junk", encoding="utf-8")
    by_field = modelled(local("a.wrl"), field="2.2")
    by_name = modelled(local("a.wrl"), name="Package_SO:SOIC-8_3.9x4.9x1.9mm_P1.27mm", ref="U2")
    drawn = on_board(tmp_path, by_field, by_name)
    found = read_models(drawn, ModelFolders())
    assert found.notes == ()
    assert [part.height_mm.value for part in identify(drawn, models=found).by_id.values()] == [2.2, 1.9]


def test_scale_turn_and_offset_are_applied(tmp_path: Path) -> None:
    """A model on its side, drawn at half size: x and y and z come from the scaled box turned about x, then moved."""
    (tmp_path / "a.step").write_text(step_box((-1.25, 0.0, -1.5), (1.25, 0.6, 1.5)), encoding="utf-8")
    model = replace(local("a.step"), scale=(2.0, 2.0, 2.0), rotation_deg=(-90.0, 0.0, 0.0), offset_mm=(0.0, 0.0, 0.2))
    assert tops(tmp_path, model).by_id["id-U1"].value == pytest.approx(1.4)


def test_turns_are_about_x_then_y_then_z_and_negative() -> None:
    """A point on y goes by +90 about x to -z, then by +90 about y to +x, then by +90 about z to -y."""
    point = np.array([[0.0, 1.0, 0.0]])
    turned = [
        placed(point, replace(STRAIGHT, rotation_deg=turn))[0] for turn in ((90, 0, 0), (90, 90, 0), (90, 90, 90))
    ]
    assert np.allclose(turned, [[0, 0, -1], [1, 0, 0], [0, -1, 0]])


def test_turns_are_those_of_a_rotation_matrix() -> None:
    """At odd angles points go where scipy's rotation about x, then y, then z (fixed axes) leads them."""
    points = np.random.default_rng(3).uniform(-2, 2, (20, 3))
    angles = (17.0, -48.0, 133.0)
    want = Rotation.from_euler("xyz", [-angle for angle in angles], degrees=True).apply(points)
    assert np.allclose(placed(points, replace(STRAIGHT, rotation_deg=angles)), want)


def test_the_tallest_of_several_models_counts(tmp_path: Path) -> None:
    """A socket and what is plugged into it stand as tall as the taller; with one missing the height is less sure."""
    (tmp_path / "low.wrl").write_text(vrml_box(*PLAN), encoding="utf-8")
    (tmp_path / "high.wrl").write_text(vrml_box((-1, -1, 0), (1, 1, 4.5)), encoding="utf-8")
    both = tops(tmp_path, local("low.wrl"), local("high.wrl")).by_id["id-U1"]
    assert both.value == pytest.approx(4.5)
    assert both.confidence == "high"
    assert both.source == "3D model high.wrl, low.wrl"
    assert tops(tmp_path, local("low.wrl"), local("gone.wrl")).by_id["id-U1"].confidence == "medium"


def test_any_version_of_the_library_variable_will_do(tmp_path: Path) -> None:
    """A reference by ${KICAD6_3DMODEL_DIR} is found in the folder of KICAD9_3DMODEL_DIR, and in another form."""
    (tmp_path / "Odd.3dshapes").mkdir()
    (tmp_path / "Odd.3dshapes" / "a.step").write_text(step_box(*PLAN), encoding="utf-8")
    folders = model_folders((), {"KICAD9_3DMODEL_DIR": str(tmp_path), "HOME": "/nowhere", "KICAD6_3DMODEL_DIR": ""})
    assert folders.variables == {"KICAD9_3DMODEL_DIR": str(tmp_path)}
    for path in ("${KICAD6_3DMODEL_DIR}/Odd.3dshapes/a.wrl", "$(KISYS3DMOD)/Odd.3dshapes/a.wrl", "Odd.3dshapes/a.wrl"):
        found = tops(tmp_path / "board", replace(STRAIGHT, path=path), folders=folders)
        assert found.by_id["id-U1"].value == pytest.approx(1.37), path


def test_the_users_folder_is_asked_first(tmp_path: Path) -> None:
    """A model under --models DIR is taken before that of the environment."""
    for name, height in (("own", 2.0), ("system", 1.0)):
        (tmp_path / name).mkdir()
        (tmp_path / name / "a.wrl").write_text(vrml_box((-2.5, -3, 0), (2.5, 3, height)), encoding="utf-8")
    folders = model_folders([str(tmp_path / "own")], {"KICAD6_3DMODEL_DIR": str(tmp_path / "system")})
    model = replace(STRAIGHT, path="${KICAD6_3DMODEL_DIR}/a.wrl")
    assert tops(tmp_path, model, folders=folders).by_id["id-U1"].value == pytest.approx(2.0)


def test_packed_models_are_unpacked(tmp_path: Path) -> None:
    """A .wrz holds the same as its .wrl."""
    (tmp_path / "a.wrz").write_bytes(gzip.compress(vrml_box(*PLAN).encode()))
    assert tops(tmp_path, local("a.wrl")).by_id["id-U1"].value == pytest.approx(1.37)


def test_missing_files_are_no_fault(tmp_path: Path) -> None:
    """Without folders nothing is said; with folders one note tells how many models they lack."""
    model = replace(STRAIGHT, path="${KICAD6_3DMODEL_DIR}/Odd.3dshapes/a.wrl")
    assert tops(tmp_path, model) == ModelTops({}, ())
    (note,) = tops(tmp_path, model, folders=model_folders([str(tmp_path)], {})).notes
    assert note.startswith("1 3D model(s) not found in the folders")
    notes = tops(tmp_path, model, folders=model_folders([str(tmp_path / "gone")], {})).notes
    assert any(f"no folder {tmp_path / 'gone'}" in note for note in notes)


@pytest.mark.parametrize(
    ("name", "data", "why"),
    [
        ("a.wrl", b"\x00\x01 junk", "no VRML 2.0"),
        ("a.step", b"ISO-10303-21;\nDATA;\n#1=(", "no unit of length"),
        ("a.wrz", gzip.compress(b"x" * 1000)[:-20], "cannot be opened"),
        ("a.wrl", b"#VRML V2.0 utf8\n", "holds no shape"),
        ("a.wrl", b"#VRML V2.0 utf8\nCoordinate { point [0 0 nan] }", "no number"),
        ("a.stl", b"solid", "no model is read from files that end in .stl"),
    ],
)
def test_junk_is_a_note(tmp_path: Path, name: str, data: bytes, why: str) -> None:
    """A file that cannot be read is named with the reason, once, and the family's height stands."""
    (tmp_path / name).write_bytes(data)
    parts = [modelled(local(name), ref=ref) for ref in ("U1", "U2")]
    found = read_models(on_board(tmp_path, *parts), ModelFolders())
    assert found.by_id == {}
    (note,) = found.notes
    assert note.startswith(f"3D model {name} is left aside")
    assert why in note


def test_a_file_over_the_limit_is_left_aside(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A model larger than the limit is not read, packed or not."""
    monkeypatch.setattr("leeward.parts.models.MOST_BYTES", 100)
    (tmp_path / "a.wrl").write_text(vrml_box(*PLAN), encoding="utf-8")
    (tmp_path / "b.wrz").write_bytes(gzip.compress(b"#VRML V2.0 utf8\n" + b" " * 100_000))
    for name in ("a.wrl", "b.wrz"):
        assert "holds more than" in tops(tmp_path, local(name)).notes[0]


@pytest.mark.parametrize(
    ("least", "greatest", "confidence"),
    [
        ((-2.5, -3.0, 0.0), (2.5, 3.0, 1.0), "high"),
        ((-1.2, -1.5, 0.0), (1.2, 1.5, 1.0), "medium"),  # 0.39 of the courtyard
        ((-0.25, -0.3, 0.0), (0.25, 0.3, 1.0), None),  # a tenth: drawn in other units
        ((-25.0, -30.0, 0.0), (25.0, 30.0, 10.0), None),
        ((47.5, -3.0, 0.0), (52.5, 3.0, 1.0), None),  # beside the part
        ((-2.5, -3.0, -2.0), (2.5, 3.0, -0.5), None),  # under the board
    ],
)
def test_a_model_must_look_like_the_part(
    tmp_path: Path, least: tuple[float, float, float], greatest: tuple[float, float, float], confidence: str | None
) -> None:
    """A model of about the courtyard's size and place is believed, one far from it is noted and left aside."""
    (tmp_path / "a.wrl").write_text(vrml_box(least, greatest), encoding="utf-8")
    found = tops(tmp_path, local("a.wrl"))
    assert (found.by_id["id-U1"].confidence if found.by_id else None) == confidence
    assert bool(found.notes) == (confidence is None)
    assert all("does not look like U1" in note for note in found.notes)


@pytest.mark.parametrize(
    "path", ["", "${KIPRJMOD}", "${KIPRJMOD}/", "${UNKNOWN}/a.wrl", "a\0b.wrl", "x" * 5000, ".", ".."]
)
def test_odd_references_are_not_found(tmp_path: Path, path: str) -> None:
    """References that name no file are missing files, not faults."""
    assert tops(tmp_path, replace(STRAIGHT, path=path), folders=model_folders([str(tmp_path)], {})).by_id == {}


def test_bottom_parts_stand_as_tall(tmp_path: Path) -> None:
    """A turned part on the bottom has the same height over its side of the board."""
    (tmp_path / "a.wrl").write_text(vrml_box(*PLAN), encoding="utf-8")
    drawn = replace(modelled(local("a.wrl")), side="bottom")
    assert read_models(on_board(tmp_path, drawn), ModelFolders()).by_id["id-U1"].value == pytest.approx(1.37)
