"""Heights estimated for packages against the boxes of KiCad's own 3D models (kicad-packages3d 6.0.10)."""

import gzip
import json
from pathlib import Path

import pytest

from leeward.parts.identify import identify
from leeward.parts.records import Part
from needs import kicad_footprints, outside_board
from parts.library import library_as_board

LIBRARIES = (
    "Capacitor_SMD",
    "Capacitor_Tantalum_SMD",
    "Package_BGA",
    "Package_CSP",
    "Package_DFN_QFN",
    "Package_LGA",
    "Package_QFP",
    "Package_SO",
    "Package_SON",
    "Package_TO_SOT_SMD",
    "Resistor_SMD",
)


def model_key(part: Part) -> str | None:
    """Return "library/model" of the first 3D model of a part, None where it has none."""
    path = part.footprint.models[0].path if part.footprint.models else ""
    directory, _, name = path.partition(".3dshapes/")
    return f"{directory.rpartition('/')[2]}/{name.rpartition('.')[0]}" if name else None


@pytest.mark.kicad
@pytest.mark.outside_boards
def test_package_heights_against_models(tmp_path: Path) -> None:
    """Nine in ten of some five hundred packages are within 0.5 mm of the top of their model."""
    boxes = json.loads(gzip.decompress(outside_board("models.json.gz").read_bytes()))
    compared: list[tuple[str, float, float]] = []
    for library in LIBRARIES:
        parts = identify(library_as_board(kicad_footprints() / f"{library}.pretty", tmp_path)).by_id.values()
        for part in parts:
            key = model_key(part)
            if key is not None and key in boxes and part.surface_mount and not part.body.is_empty:
                compared.append((key, part.height_mm.value, boxes[key][1][2]))
    far = [f"{key}: {own:g} against {top:g} mm" for key, own, top in compared if abs(own - top) > 0.5]
    assert len(compared) > 400
    assert len(far) <= 0.1 * len(compared), "\n".join(far)
