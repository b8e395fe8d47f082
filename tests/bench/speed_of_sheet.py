"""How long the job sheet takes to write once its review is computed, and how large it is.

Not a test: run `python tests/bench/speed_of_sheet.py BOARD REF [RUNS]`, for example on the demo board `video` of
Debian's package kicad-demos with U23. Each run is a process of its own that has made no sheet before; timed are the
import of what its form alone needs, the drawing, and the writing, in seconds of the clock and of the processor.
"""

import json
import multiprocessing
import statistics
import sys
import time
from pathlib import Path

from sample_jobs import Job, job


def html(solved: Job) -> bytes:
    """Return the job sheet as HTML."""
    from leeward.report.page import sheet_page  # noqa: PLC0415  # the import is timed too
    from leeward.report.sheet import job_sheet  # noqa: PLC0415

    return sheet_page(job_sheet(*solved)).encode()


def pdf(solved: Job) -> bytes:
    """Return the job sheet as PDF."""
    from leeward.report.pdf import sheet_pdf  # noqa: PLC0415  # the import is timed too
    from leeward.report.sheet import job_sheet  # noqa: PLC0415

    return sheet_pdf(job_sheet(*solved))


def timed(form: str, solved: Job) -> tuple[float, float, int]:
    """Return seconds of the clock and of the processor, and bytes, of one writing."""
    clock, busy = time.perf_counter(), time.process_time()
    size = len({"html": html, "pdf": pdf}[form](solved))
    return time.perf_counter() - clock, time.process_time() - busy, size


def main() -> None:
    """Print the medians of a few runs of each form."""
    board, ref = Path(sys.argv[1]), sys.argv[2]
    runs = int(sys.argv[3]) if len(sys.argv) > 3 else 5
    solved = job(board, ref)
    for form in ("html", "pdf"):
        found = []
        for _ in range(runs):
            with multiprocessing.get_context("fork").Pool(1) as alone:  # nothing of the last run is remembered
                found.append(alone.apply(timed, (form, solved)))
        clock, busy = (statistics.median(run[i] for run in found) for i in (0, 1))
        sys.stdout.write(
            json.dumps({"form": form, "seconds": round(clock, 3), "busy": round(busy, 3), "bytes": found[0][2]}) + "\n"
        )


if __name__ == "__main__":
    main()
