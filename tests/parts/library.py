"""KiCad's own footprint library, read through the project's board reader."""

import re
from pathlib import Path

from leeward.board.read import read
from leeward.board.records import Board

HEAD = re.compile(r'^\s*\((?:footprint|module)\s+(?:"([^"]*)"|([^\s()]+))')
BOARD = """(kicad_pcb (version 20211014) (generator pcbnew) (general (thickness 1.6))
  (layers (0 "F.Cu" signal) (31 "B.Cu" signal) (37 "F.SilkS" user) (44 "Edge.Cuts" user)
    (46 "B.CrtYd" user) (47 "F.CrtYd" user) (48 "B.Fab" user) (49 "F.Fab" user))
  (net 0 "")
  (gr_rect (start -100 -100) (end 100 100) (layer "Edge.Cuts") (width 0.1))
"""


def library_as_board(library: Path, directory: Path) -> Board:
    """Write every footprint of a `.pretty` directory into one board at the origin, and read that."""
    nickname = library.name.removesuffix(".pretty")
    pieces = [BOARD]
    for file in sorted(library.glob("*.kicad_mod")):
        text = file.read_text(encoding="utf-8")
        pieces.append(HEAD.sub(f'(footprint "{nickname}:{file.stem}" (at 0 0)', text, count=1))
    path = directory / f"{nickname}.kicad_pcb"
    path.write_text("\n".join([*pieces, ")"]), encoding="utf-8")
    return read(str(path))
