"""How long a review takes, as a ratio to what kiutils takes to read the same file, and how much memory it needs.

The review is timed without shields and with them, their plan and a second solution included.

Not a test: run `python tests/bench/speed_of_review.py BOARD REF [RUNS]`, for example on the demo board `video` of
Debian's package kicad-demos with U23. The two are timed in turn in fresh processes, so that a ratio holds on a busy
machine.
"""

import json
import statistics
import subprocess
import sys

KIUTILS = """
import json, resource, sys, time
from kiutils.board import Board
start = time.perf_counter()
Board.from_file(sys.argv[1], encoding="utf-8")
print(json.dumps([time.perf_counter() - start, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024]))
"""
LOAD = """
import json, resource, sys, time
from leeward.board.read import read
start = time.perf_counter()
read(sys.argv[1])
print(json.dumps([time.perf_counter() - start, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024]))
"""
REVIEW = """
import contextlib, io, json, resource, sys, time
start = time.perf_counter()
from leeward.cli.main import run
with contextlib.redirect_stdout(io.StringIO()):
    code = run(["review", *sys.argv[1:]])
if code != 0:
    sys.exit(code)
print(json.dumps([time.perf_counter() - start, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024]))
"""


def measured(program: str, *arguments: str) -> tuple[float, float]:
    """Return seconds and peak MiB of a program in a fresh interpreter."""
    run = subprocess.run([sys.executable, "-c", program, *arguments], check=True, capture_output=True, text=True)
    seconds, mebibytes = json.loads(run.stdout.splitlines()[-1])
    return seconds, mebibytes


def main() -> None:
    """Print the medians of a few turns and the ratios turn by turn."""
    board, ref = sys.argv[1], sys.argv[2]
    runs = int(sys.argv[3]) if len(sys.argv) > 3 else 3
    bare = (board, ref, "--have", "none")
    timed = ((KIUTILS, (board,)), (LOAD, (board,)), (REVIEW, bare), (REVIEW, (board, ref)))
    turns = [[measured(program, *arguments) for program, arguments in timed] for _ in range(runs)]
    for column, name in enumerate(("kiutils from_file", "leeward read", "review, no shield", "leeward review")):
        seconds = statistics.median(turn[column][0] for turn in turns)
        ratio = statistics.median(turn[column][0] / turn[0][0] for turn in turns)
        memory = max(turn[column][1] for turn in turns)
        sys.stdout.write(f"{name:<18} {seconds:6.2f} s  {ratio:5.2f} times kiutils  peak {memory:5.0f} MiB\n")


if __name__ == "__main__":
    main()
