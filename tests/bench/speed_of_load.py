"""How long a board takes to load, as ratios to kiutils and to KiCad itself, and how much memory that needs.

Not a test: run `python tests/bench/speed_of_load.py BOARD [BOARD ...]`, for example on the demo board `video` of
Debian's package kicad-demos. The three are timed in turn in fresh processes, five turns a board, so that a ratio holds
on a busy machine; imports are not counted. Loading is from file to `Board` with all its areas. KiCad (pcbnew of the
system's Python, Debian's package kicad) is left out where it is not installed or refuses the file as too new.
"""

import json
import statistics
import subprocess
import sys
from pathlib import Path

TURNS = 5
BASE_MIB, TIMES_FILE = 150, 25  # what a load may need: this much, and this many times the file's size
TIMED = """
import json, resource, sys, time
{imported}
start = time.perf_counter()
{load}
print(json.dumps([time.perf_counter() - start, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024]))
"""
OURS = TIMED.format(imported="from leeward.board.read import read", load="read(sys.argv[1])")
KIUTILS = TIMED.format(
    imported="from kiutils.board import Board", load='Board.from_file(sys.argv[1], encoding="utf-8")'
)
KICAD = TIMED.format(imported="import pcbnew", load="board = pcbnew.LoadBoard(sys.argv[1])")
SYSTEM_PYTHON = "/usr/bin/python3"
Measure = tuple[float, float]


def measured(python: str, program: str, board: str) -> Measure | None:
    """Return seconds and peak MiB of a program in a fresh interpreter, None where it fails."""
    run = subprocess.run([python, "-c", program, board], check=False, capture_output=True, text=True)
    if run.returncode != 0:
        return None
    seconds, mebibytes = json.loads(run.stdout.splitlines()[-1])
    return seconds, mebibytes


def ratio(ours: list[Measure], others: list[Measure | None]) -> str:
    """Return the median, over turns, of our time to another's, and the other's median time."""
    if None in others:
        return "fails"
    pairs = [(mine[0], other[0]) for mine, other in zip(ours, others, strict=True) if other is not None]
    times = statistics.median(mine / other for mine, other in pairs)
    return f"{times:.2f} times ({statistics.median(other for _, other in pairs):.3f} s)"


def report(board: str) -> str:
    """Return one line on a board; raises CalledProcessError where our own load fails."""
    ours: list[Measure] = []
    kiutils: list[Measure | None] = []
    kicad: list[Measure | None] = []
    for _ in range(TURNS):
        mine = measured(sys.executable, OURS, board)
        if mine is None:
            raise subprocess.CalledProcessError(1, [sys.executable, "-c", OURS, board])
        ours.append(mine)
        kiutils.append(measured(sys.executable, KIUTILS, board))
        kicad.append(measured(SYSTEM_PYTHON, KICAD, board))
    size = Path(board).stat().st_size / 2**20
    peak, allowed = max(memory for _, memory in ours), BASE_MIB + TIMES_FILE * size
    return (
        f"{Path(board).name}: {size:.2f} MiB in {statistics.median(seconds for seconds, _ in ours):.3f} s; "
        f"kiutils {ratio(ours, kiutils)}; pcbnew {ratio(ours, kicad)}; "
        f"peak {peak:.0f} MiB, {peak / allowed:.2f} of {allowed:.0f} MiB"
    )


def main() -> None:
    """Print a line for each board."""
    for board in sys.argv[1:]:
        sys.stdout.write(f"{report(board)}\n")


if __name__ == "__main__":
    main()
