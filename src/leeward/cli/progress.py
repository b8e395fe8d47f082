"""How far a long command is: a line on standard error, on a terminal only, and only when it takes a while."""

import sys
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager

from rich.console import Console
from rich.progress import BarColumn, MofNCompleteColumn, Progress, TextColumn, TimeRemainingColumn

PATIENCE_S = 1.0
Told = Callable[[int, int], None]


@contextmanager
def progress(what: str) -> Iterator[Told]:
    """Give the function that is told how many are done of how many; the line is gone in the end."""
    if sys.stderr is None or not sys.stderr.isatty():
        yield lambda _done, _of: None
        return
    bar = Progress(
        TextColumn(what, markup=False), BarColumn(), MofNCompleteColumn(), TimeRemainingColumn(),
        console=Console(stderr=True), transient=True,
    )  # fmt: skip
    task, began = bar.add_task(what, total=None), time.monotonic()

    def told(done: int, of: int) -> None:
        if time.monotonic() - began >= PATIENCE_S:
            bar.start()
        bar.update(task, completed=done, total=of)

    try:
        yield told
    finally:
        bar.stop()
