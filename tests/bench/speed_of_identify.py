"""How much identification adds to the time that a board of 2,000 parts takes to load.

Not a test: run `python tests/bench/speed_of_identify.py BOARD [PARTS] [RUNS]`, for example on the demo board `video`
of Debian's package kicad-demos. The board's own footprints are copied beside each other until there are enough; all
else that it holds stays as it is. Both are timed in one fresh process each turn, so that the ratio holds on a busy
machine.
"""

import json
import re
import statistics
import subprocess
import sys
import tempfile
from pathlib import Path

TIMED = """
import json, sys, time
from leeward.board.read import read
from leeward.parts.identify import identify
start = time.process_time()
board = read(sys.argv[1])
loaded = time.process_time()
parts = identify(board)
print(json.dumps([len(parts.by_id), loaded - start, time.process_time() - loaded]))
"""
FOOTPRINT = re.compile(r"^(?:  |\t)\((?:footprint|module) .*?^(?:  |\t)\)$", re.MULTILINE | re.DOTALL)
PLACE = re.compile(r"(\(at )(-?[\d.]+)( -?[\d.]+)")
UNIQUE = re.compile(r'\((?:tstamp|uuid) "?[0-9a-fA-F-]+"?\)')
STEP_MM = 100.0  # copies lie so far apart, and from the thirteenth on over earlier ones, so that the board keeps a size


def multiplied(text: str, parts: int) -> str:
    """Return the text of a board whose footprints are copied, each round 100 mm further right, up to `parts`."""
    originals = [found.group() for found in FOOTPRINT.finditer(text) if "(pad " in found.group()]
    if not originals:
        message = "no footprints with pads in this board"
        raise SystemExit(message)
    copies = [
        _copy(originals[index % len(originals)], STEP_MM * (index // len(originals) % 12))
        for index in range(len(originals), parts)
    ]
    end = text.rstrip().rindex(")")
    return text[:end] + "\n".join(copies) + "\n)\n"


def _copy(original: str, by_mm: float) -> str:
    return UNIQUE.sub("", PLACE.sub(lambda place: _moved(place, by_mm), original, count=1))


def _moved(place: re.Match[str], by_mm: float) -> str:
    return f"{place[1]}{float(place[2]) + by_mm:g}{place[3]}"


def timed(board: Path) -> tuple[int, float, float]:
    """Return parts, seconds of reading and seconds of identification in a fresh interpreter."""
    run = subprocess.run([sys.executable, "-c", TIMED, str(board)], check=True, capture_output=True, text=True)
    parts, loading, identifying = json.loads(run.stdout.splitlines()[-1])
    return parts, loading, identifying


def main() -> None:
    """Print the medians of a few turns and the ratio turn by turn."""
    source = Path(sys.argv[1])
    wanted = int(sys.argv[2]) if len(sys.argv) > 2 else 2000
    runs = int(sys.argv[3]) if len(sys.argv) > 3 else 3
    with tempfile.TemporaryDirectory() as directory:
        board = Path(directory) / source.name
        board.write_text(multiplied(source.read_text(encoding="utf-8"), wanted), encoding="utf-8")
        turns = [timed(board) for _ in range(runs)]
    parts = turns[0][0]
    loading = statistics.median(turn[1] for turn in turns)
    identifying = statistics.median(turn[2] for turn in turns)
    ratio = statistics.median(turn[2] / turn[1] for turn in turns)
    sys.stdout.write(f"{parts} parts: read {loading:.2f} s, identify {identifying:.2f} s, {ratio:.0%} on top\n")


if __name__ == "__main__":
    main()
