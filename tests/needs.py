"""What some tests need from outside the checkout; each function skips with the way to get it.

With LEEWARD_FULL=1 a missing Debian package fails instead, so that a full run cannot pass by skipping.
"""

import os
import subprocess
from functools import cache
from pathlib import Path
from typing import NoReturn

import pytest

DEMOS = Path("/usr/share/kicad/demos")
FOOTPRINTS = Path("/usr/share/kicad/footprints")
MODELS = Path("/usr/share/kicad/3dmodels")
SYSTEM_PYTHON = "/usr/bin/python3"
CHROMIUM = "/usr/bin/chromium"
PDFTOPPM = "/usr/bin/pdftoppm"


def kicad_demo(relative: str) -> Path:
    """Return a demo board of Debian's package kicad-demos, for example `video/video.kicad_pcb`."""
    path = DEMOS / relative
    if not path.is_file():
        _package_missing(f"needs {path}: install the Debian package kicad-demos")
    return path


def kicad_footprints() -> Path:
    """Return the directory of Debian's package kicad-footprints, which holds one `.pretty` directory a library."""
    if not FOOTPRINTS.is_dir():
        _package_missing(f"needs {FOOTPRINTS}: install the Debian package kicad-footprints")
    return FOOTPRINTS


def kicad_models() -> Path:
    """Return KiCad's own folder of 3D models: Debian's package kicad-packages3d (5 GB), or what KiCad's variable says.

    Skips even in a full run: what the models tell is held against a sample of their boxes too.
    """
    path = Path(os.environ.get("KICAD6_3DMODEL_DIR") or MODELS)
    if not path.is_dir():
        pytest.skip(f"needs {path}: install the Debian package kicad-packages3d")
    return path


def system_pcbnew() -> str:
    """Return the path of a Python that can import KiCad's pcbnew module."""
    if not _has_pcbnew():
        _package_missing(f"needs the pcbnew module of {SYSTEM_PYTHON}: install the Debian package kicad")
    return SYSTEM_PYTHON


def chromium() -> str:
    """Return the path of Debian's browser, which Playwright drives."""
    if not Path(CHROMIUM).is_file():
        _package_missing(f"needs {CHROMIUM}: install the Debian package chromium")
    return CHROMIUM


def pdf_renderer() -> str:
    """Return the path of poppler's renderer of PDF pages."""
    if not Path(PDFTOPPM).is_file():
        _package_missing(f"needs {PDFTOPPM}: install the Debian package poppler-utils")
    return PDFTOPPM


def outside_board(name: str) -> Path:
    """Return a file from the directory that LEEWARD_BOARDS names, for example `ulx3s.kicad_pcb`."""
    return _outside("LEEWARD_BOARDS", name)


def outside_schema(name: str) -> Path:
    """Return a file from the directory that LEEWARD_SCHEMAS names, for example `sarif-2.1.0.json`."""
    return _outside("LEEWARD_SCHEMAS", name)


def _outside(variable: str, name: str) -> Path:
    directory = os.environ.get(variable)
    if not directory:
        pytest.skip(f"needs {name}: set {variable} to a directory that holds it")
    path = Path(directory) / name
    if not path.is_file():
        pytest.skip(f"needs {name}, which the directory in {variable} does not hold")
    return path


@cache
def _has_pcbnew() -> bool:
    if not Path(SYSTEM_PYTHON).is_file():
        return False
    return subprocess.run([SYSTEM_PYTHON, "-c", "import pcbnew"], capture_output=True, check=False).returncode == 0


def _package_missing(sentence: str) -> NoReturn:
    if os.environ.get("LEEWARD_FULL") == "1":
        pytest.fail(sentence)
    pytest.skip(sentence)
