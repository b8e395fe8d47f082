"""Make the tide logger's board file: `python sample_boards/make_tide_logger.py [OUT.kicad_pcb]`.

Places the parts, routes them (about a minute), writes the board in the grammar of KiCad 6 and lets KiCad fill the
pours. The same maker gives the same bytes.
"""

from __future__ import annotations

import argparse
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

import shapely
from maker.board import write
from maker.copper import Plan, net_numbers, routed
from maker.tide_logger import CORNER, HEIGHT, PLANES, POWER, SLOT, WIDTH, WORDS, tide_logger

HERE = Path(__file__).resolve().parent


def outline() -> shapely.Polygon:
    """Return the board's edge, mm: a rounded box with the milled slot in it."""
    x, start, end, width = SLOT
    slot = shapely.LineString([(x, start), (x, end)]).buffer(width / 2)
    inner = shapely.box(CORNER, CORNER, WIDTH - CORNER, HEIGHT - CORNER)
    return inner.buffer(CORNER).difference(slot)


def make(out: Path, kicad_python: str) -> None:
    """Write the finished board to `out`.

    Raises maker.route.UnroutedError where a net finds no way, CalledProcessError where KiCad will not fill.
    """
    parts = tide_logger()
    numbers = net_numbers(parts)
    plan = Plan(outline(), WIDTH, HEIGHT, parts, PLANES, POWER)
    routes = routed(plan, numbers, say=lambda text: print(text, file=sys.stderr))
    with tempfile.TemporaryDirectory() as folder:
        unfilled, filled = Path(folder, "unfilled.kicad_pcb"), Path(folder, "filled.kicad_pcb")
        write(plan, numbers, routes, WORDS, unfilled)
        subprocess.run([kicad_python, str(HERE / "maker" / "fill_pours.py"), str(unfilled), str(filled)], check=True)
        shutil.copyfile(filled, out)
    print(f"{out}: {len(parts)} parts, {len(numbers) - 1} nets, {sum(len(r.vias) for r in routes)} vias")


def main() -> None:
    """Read the command line and make the board."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("out", nargs="?", type=Path, default=HERE / "tide_logger.kicad_pcb")
    parser.add_argument("--kicad-python", default="/usr/bin/python3", help="interpreter that has KiCad 6's pcbnew")
    arguments = parser.parse_args()
    make(arguments.out, arguments.kicad_python)


if __name__ == "__main__":
    main()
