"""How long a survey takes, as a ratio to what kiutils takes to read the same file, and how much memory it needs.

Not a test: run `python tests/bench/speed_of_survey.py BOARD [RUNS] [--panel COPIES]`, for example on the demo board
`video` of Debian's package kicad-demos. The two are timed in turn in fresh processes, so that a ratio holds on a busy
machine: by the clock, which all cores share, and by the processor time of all processes together. With `--panel` a
panel of so many copies of the board is surveyed too, and compared with the one. Memory is that of all processes
at once, pages that they share counted once, looked at ten times a second (Linux).
"""

import argparse
import os
import re
import resource
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from leeward.board.read import read

KIUTILS = 'import sys; from kiutils.board import Board; Board.from_file(sys.argv[1], encoding="utf-8")'
IMPORTS = "import kiutils.board"
SURVEY = ("-m", "leeward", "survey", "--format", "json", "-o", os.devnull)
GAP_MM = 5.0  # between the boards of a panel
LOOK_EVERY_S = 0.1
TOKEN = re.compile(r'"(?:[^"\\]|\\.)*"|[()]')
KIND = re.compile(r"\((\w+)")
PLACE = re.compile(r"(\((?:at|start|mid|end|center|xy) )(-?[\d.]+)( -?[\d.]+)")
UNIQUE = re.compile(r'\((?:tstamp|uuid) "?[0-9a-fA-F-]+"?\)')
PARTS = ("footprint", "module")  # what they hold lies in their own frame
COPIED = ("segment", "via", "arc", "zone", "gr_line", "gr_arc", "gr_circle", "gr_rect", "gr_poly", "gr_curve", *PARTS)


@dataclass(frozen=True)
class Cost:
    """What a program took, all its processes together."""

    clock_s: float
    processor_s: float
    peak_mib: float

    def less(self, other: "Cost") -> "Cost":
        """Return the cost without what another took."""
        return Cost(self.clock_s - other.clock_s, self.processor_s - other.processor_s, self.peak_mib)


def cost(*arguments: str) -> Cost:
    """Return what the interpreter takes for some arguments, in a fresh process."""
    before, start = used_s(), time.perf_counter()
    process = subprocess.Popen([sys.executable, *arguments], stderr=subprocess.DEVNULL)
    peak = 0.0
    while process.poll() is None:
        peak = max(peak, sum(held_mib(pid) for pid in family(process.pid)))
        time.sleep(LOOK_EVERY_S)
    if process.returncode != 0:
        message = f"{' '.join(arguments)}: exit code {process.returncode}"
        raise SystemExit(message)
    return Cost(time.perf_counter() - start, used_s() - before, peak)


def used_s() -> float:
    """Return the processor time of all children that have ended, theirs included, s."""
    used = resource.getrusage(resource.RUSAGE_CHILDREN)
    return used.ru_utime + used.ru_stime


def family(pid: int) -> Iterator[int]:
    """Yield a process and all that came of it."""
    yield pid
    for children in Path(f"/proc/{pid}/task").glob("*/children"):
        try:
            ids = children.read_text(encoding="ascii").split()
        except OSError:
            continue
        for child in ids:
            yield from family(int(child))


def held_mib(pid: int) -> float:
    """Return the memory of a process, its share of shared pages; 0 where it has ended."""
    try:
        lines = Path(f"/proc/{pid}/smaps_rollup").read_text(encoding="ascii").splitlines()
    except OSError:
        return 0.0
    return sum(float(line.split()[1]) for line in lines if line.startswith("Pss:")) / 1024


def kiutils_reads(board: Path) -> Cost:
    """Return what reading alone takes, the interpreter's start and the imports left out."""
    return cost("-c", KIUTILS, str(board)).less(cost("-c", IMPORTS))


def panel_of(board: Path, copies: int, folder: Path) -> Path:
    """Return the file of a panel of a board."""
    x0, _, x1, _ = read(str(board)).outline.bounds
    made = folder / board.name
    made.write_text(panel(board.read_text(encoding="utf-8"), copies, x1 - x0 + GAP_MM), encoding="utf-8")
    return made


def panel(text: str, copies: int, step_mm: float) -> str:
    """Return the text of a board file with so many copies of the board side by side, the original among them.

    Copies share the nets' names, which no tool would do and heat does not ask about. Ids go: copies then have their
    place for one.
    """
    own = [item for item in items(text) if kind(item) in COPIED]
    more = [shifted(item, step_mm * number) for number in range(1, copies) for item in own]
    end = text.rstrip().rindex(")")
    return text[:end] + "\n".join(more) + "\n)\n"


def items(text: str) -> Iterator[str]:
    """Yield what a file's outermost list holds, list by list."""
    depth, start = 0, 0
    for token in TOKEN.finditer(text):
        if token[0] == "(":
            depth += 1
            start = token.start() if depth == 2 else start
        elif token[0] == ")":
            depth -= 1
            if depth == 1:
                yield text[start : token.end()]


def kind(item: str) -> str:
    """Return the first word of a list."""
    found = KIND.match(item)
    return "" if found is None else found[1]


def shifted(item: str, by_mm: float) -> str:
    """Return an item moved to the right."""
    count = 1 if kind(item) in PARTS else 0  # of a part its own place alone
    moved = PLACE.sub(lambda place: f"{place[1]}{float(place[2]) + by_mm:.6f}{place[3]}", item, count=count)
    return UNIQUE.sub("", moved)


def told(name: str, costs: list[Cost], to: list[Cost], of: str) -> str:
    """Return a line: medians, and the ratios turn by turn."""
    clock, processor = (statistics.median(getattr(each, key) for each in costs) for key in ("clock_s", "processor_s"))
    by_clock = statistics.median(a.clock_s / b.clock_s for a, b in zip(costs, to, strict=True))
    by_processor = statistics.median(a.processor_s / b.processor_s for a, b in zip(costs, to, strict=True))
    return (
        f"{name:<18} {clock:6.2f} s by the clock ({by_clock:5.2f} times {of}), {processor:6.2f} s of the processor "
        f"({by_processor:5.2f} times), peak {max(each.peak_mib for each in costs):5.0f} MiB\n"
    )


def main() -> None:
    """Print the medians of a few turns and the ratios turn by turn."""
    asked = argparse.ArgumentParser()
    asked.add_argument("board", type=Path)
    asked.add_argument("runs", type=int, nargs="?", default=3)
    asked.add_argument("--panel", type=int, metavar="COPIES")
    given = asked.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        larger = None if given.panel is None else panel_of(given.board, given.panel, Path(folder))
        turns = [
            (
                kiutils_reads(given.board),
                cost(*SURVEY, str(given.board)),
                *([] if larger is None else [cost(*SURVEY, str(larger))]),
            )
            for _ in range(given.runs)
        ]
    columns = [list(column) for column in zip(*turns, strict=True)]
    sys.stdout.write(told("kiutils from_file", columns[0], columns[0], "itself"))
    sys.stdout.write(told("leeward survey", columns[1], columns[0], "kiutils"))
    if larger is not None:
        sys.stdout.write(told(f"a panel of {given.panel}", columns[2], columns[1], "the one board"))


if __name__ == "__main__":
    main()
