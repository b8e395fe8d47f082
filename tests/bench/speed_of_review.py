"""How long a review takes, as a ratio to what kiutils takes to read the same file, and how much memory it needs.

The review is timed without shields and with them, their plan and a second solution included.

Not a test: run `python tests/bench/speed_of_review.py BOARD REF [RUNS]`, for example on the demo board `video` of
Debian's package kicad-demos with U23. All are timed in turn in fresh processes of one thread, so that a ratio holds on
a busy machine: by the clock, and by the processor. It ends with 1 where a limit is passed.
"""

import json
import os
import statistics
import subprocess
import sys
from dataclasses import dataclass

MOST_RATIO = 4.0  # a review without shields over kiutils, by the processor
MOST_SHIELDS = 2.5  # with shields over without
MOST_MIB = 1024.0
MEASURED = """
import contextlib, io, json, resource, sys, time
def told(start):
    peak_mib = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
    print(json.dumps([time.perf_counter() - start[0], time.process_time() - start[1], peak_mib]))
def now():
    return time.perf_counter(), time.process_time()
"""
KIUTILS = """
from kiutils.board import Board
start = now()
Board.from_file(sys.argv[1], encoding="utf-8")
told(start)
"""
LOAD = """
from leeward.board.read import read
start = now()
read(sys.argv[1])
told(start)
"""
REVIEW = """
start = now()
from leeward.cli.main import main
with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
    try:
        main(["review", *sys.argv[1:]])
    except SystemExit as end:
        if end.code != 0:
            raise
told(start)
"""


@dataclass(frozen=True, slots=True)
class Taken:
    """What a program took."""

    clock_s: float
    processor_s: float
    peak_mib: float


def measured(program: str, *arguments: str) -> Taken:
    """Return what a program takes in a fresh interpreter of one thread."""
    alone = {**os.environ, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}
    command = [sys.executable, "-c", MEASURED + program, *arguments]
    run = subprocess.run(command, check=True, capture_output=True, text=True, env=alone)
    return Taken(*json.loads(run.stdout.splitlines()[-1]))


def main() -> int:
    """Print the medians of a few turns and the ratios turn by turn; return 1 where a limit is passed."""
    board, ref = sys.argv[1], sys.argv[2]
    runs = int(sys.argv[3]) if len(sys.argv) > 3 else 3
    bare = (board, ref, "--have", "none")
    timed = ((KIUTILS, (board,)), (LOAD, (board,)), (REVIEW, bare), (REVIEW, (board, ref)))
    turns = [[measured(program, *arguments) for program, arguments in timed] for _ in range(runs)]
    ratios = []
    for column, name in enumerate(("kiutils from_file", "leeward read", "review, no shield", "leeward review")):
        taken = [turn[column] for turn in turns]
        clock, processor = (
            statistics.median(getattr(turn[column], key) / getattr(turn[0], key) for turn in turns)
            for key in ("clock_s", "processor_s")
        )
        ratios.append(processor)
        sys.stdout.write(
            f"{name:<18} {statistics.median(one.clock_s for one in taken):6.2f} s, {clock:5.2f} times kiutils; "
            f"of the processor {statistics.median(one.processor_s for one in taken):6.2f} s, {processor:5.2f} times; "
            f"peak {max(one.peak_mib for one in taken):5.0f} MiB\n"
        )
    most_mib = max(turn[column].peak_mib for turn in turns for column in (2, 3))
    return int(ratios[2] > MOST_RATIO or ratios[3] > MOST_SHIELDS * ratios[2] or most_mib > MOST_MIB)


if __name__ == "__main__":
    sys.exit(main())
