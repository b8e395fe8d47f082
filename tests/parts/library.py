"""KiCad's own footprint library, read through the project's board reader."""

import re
import tempfile
from collections.abc import Callable, Iterable
from functools import cache
from pathlib import Path

from leeward.board.read import read
from leeward.board.records import Board
from leeward.parts.identify import identify
from leeward.parts.records import Part
from needs import kicad_footprints

HEAD = re.compile(r'^\s*\((?:footprint|module)\s+(?:"([^"]*)"|([^\s()]+))')
SURFACE_MOUNT = re.compile(r"\(attr smd\b")
BOARD = """(kicad_pcb (version 20211014) (generator pcbnew) (general (thickness 1.6))
  (layers (0 "F.Cu" signal) (31 "B.Cu" signal) (37 "F.SilkS" user) (44 "Edge.Cuts" user)
    (46 "B.CrtYd" user) (47 "F.CrtYd" user) (48 "B.Fab" user) (49 "F.Fab" user))
  (net 0 "")
  (gr_rect (start -100 -100) (end 100 100) (layer "Edge.Cuts") (width 0.1))
"""


def library_as_board(library: Path, directory: Path) -> Board:
    """Write every footprint of a `.pretty` directory into one board at the origin, and read that."""
    return footprints_as_board(library.glob("*.kicad_mod"), directory)


def footprints_as_board(files: Iterable[Path], directory: Path, wanted: Callable[[str], bool] | None = None) -> Board:
    """Write footprint files into one board at the origin, those whose text is wanted, and read that."""
    pieces = [BOARD]
    for file in sorted(files):
        text = file.read_text(encoding="utf-8")
        if wanted is None or wanted(text):
            nickname = file.parent.name.removesuffix(".pretty")
            own = text.replace("Edge.Cuts", "Dwgs.User")  # card edges draw pieces of a board's outline
            pieces.append(HEAD.sub(f'(footprint "{nickname}:{file.stem}" (at 0 0)', own, count=1))
    path = directory / "library.kicad_pcb"
    path.write_text("\n".join([*pieces, ")"]), encoding="utf-8")
    return read(str(path))


@cache
def surface_mount_parts() -> tuple[Part, ...]:
    """Return every footprint of the library that says it is surface mounted, as a part; read once a session."""
    with tempfile.TemporaryDirectory() as directory:
        files = kicad_footprints().glob("*.pretty/*.kicad_mod")
        board = footprints_as_board(files, Path(directory), lambda text: SURFACE_MOUNT.search(text) is not None)
    return tuple(identify(board).by_id.values())


def named(part: Part) -> tuple[str, str]:
    """Return library and name of a part's footprint."""
    library, _, name = part.footprint.library_id.partition(":")
    return library, name
