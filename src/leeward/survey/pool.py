"""Assess targets on all cores: a few processes, each of which keeps the ground of the board it is at.

Work goes out in small bundles, so that progress is even and nothing runs on for long after an interrupt. Ctrl-C is
heeded by this process alone, which ends the others.
"""

import gc
import multiprocessing
import os
import pickle
import signal
import threading
from collections.abc import Callable, Iterator, Sequence
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from contextlib import contextmanager
from dataclasses import dataclass
from multiprocessing.process import BaseProcess
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import TypeVar

from leeward.errors import LeewardError
from leeward.known import NotAssessed
from leeward.survey.assess import Assessment, assess
from leeward.survey.ground import Ground

BUNDLE = 4  # targets that go to a process at once, taken from all over the board: costly ones stand together
ALONE = 12  # with no more targets than this no process is worth starting
MOST_PROCESSES = 8  # bounds memory: each holds the board
SELDOM = 100_000  # new records between two looks of the garbage collector, in a process of its own

THREADS = ("OPENBLAS_NUM_THREADS", "OMP_NUM_THREADS", "MKL_NUM_THREADS")

Outcome = Assessment | NotAssessed
Given = TypeVar("Given")
Result = TypeVar("Result")


@dataclass(frozen=True, slots=True)
class Bundle:
    """Some targets of one board, and the file that its ground is packed in."""

    packed: str
    target_ids: tuple[str, ...]


class Workers:
    """The processes that assess targets; started when there is enough to do, for all boards of a survey the same."""

    def __init__(self, count: int | None = None) -> None:
        self._count = min(_cores(), MOST_PROCESSES) if count is None else count
        self._pool: ProcessPoolExecutor | None = None
        self._others: list[BaseProcess] = []  # processes of this one that are somebody else's

    def get_ready(self, count: int) -> None:
        """Start processes where so many targets are worth it: they come up while the board is prepared."""
        if not self._alone(count):
            self._submit(_nothing, [None] * self._count)

    def outcomes(self, shared: Ground, target_ids: Sequence[str]) -> Iterator[Outcome]:
        """Yield what was found out about each target as it becomes known, in no order."""
        if self._alone(len(target_ids)):
            yield from (outcome(shared, target_id) for target_id in target_ids)
            return
        with TemporaryDirectory(prefix="leeward-") as folder:
            packed = Path(folder) / "ground"
            packed.write_bytes(pickle.dumps(shared, protocol=pickle.HIGHEST_PROTOCOL))
            futures = self._submit(_work, [Bundle(str(packed), ids) for ids in _mixed(target_ids)])
            yield from (each for future in as_completed(futures) for each in future.result())

    def close(self) -> None:
        """End the processes at once, whatever they are at."""
        if self._pool is None:
            return
        self._pool.shutdown(wait=False, cancel_futures=True)
        own = [process for process in multiprocessing.active_children() if process not in self._others]
        for process in own:
            process.terminate()
        for process in own:
            process.join()
        self._pool = None

    def _alone(self, count: int) -> bool:
        return self._count < 2 or count <= ALONE

    def _submit(self, work: Callable[[Given], Result], given: Sequence[Given]) -> list[Future[Result]]:
        with _deaf_to_interrupts(), _one_thread_each():  # what the processes that start now inherit
            return [self._started().submit(work, each) for each in given]

    def _started(self) -> ProcessPoolExecutor:
        if self._pool is None:
            self._others = multiprocessing.active_children()
            self._pool = ProcessPoolExecutor(self._count, mp_context=multiprocessing.get_context("spawn"))
        return self._pool


@contextmanager
def workers(count: int | None = None) -> Iterator[Workers]:
    """Give workers for a while, and end them however it ends."""
    found = Workers(count)
    try:
        yield found
    finally:
        found.close()


def outcome(shared: Ground, target_id: str) -> Outcome:
    """Return a target's assessment, or why there is none."""
    target = shared.parts.by_id[target_id]
    try:
        return assess(shared, target)
    except LeewardError as error:
        return NotAssessed(target_id, target.ref, f"{error.what}; {error.do}")


_unpacked: dict[str, Ground] = {}  # of this process: the board it is at


def _work(bundle: Bundle) -> list[Outcome]:
    if bundle.packed not in _unpacked:
        _unpacked.clear()
        gc.unfreeze()
        packed = Path(bundle.packed).read_bytes()
        _unpacked[bundle.packed] = pickle.loads(packed)  # noqa: S301  # packed by the process that started this one
        # The board's many records stay: looking through them again and again takes a twentieth of all, and looking
        # for rings among what is made for a target, where there are hardly any, another.
        gc.freeze()
        gc.set_threshold(SELDOM)
    return [outcome(_unpacked[bundle.packed], target_id) for target_id in bundle.target_ids]


def _nothing(_given: None) -> None:
    """Do nothing: whoever is asked to has started and read the program."""


def _mixed(target_ids: Sequence[str]) -> list[tuple[str, ...]]:
    """Return the targets in bundles, each from all over the list."""
    count = -(-len(target_ids) // BUNDLE)
    return [tuple(target_ids[i::count]) for i in range(count)]


def _cores() -> int:
    affinity = getattr(os, "sched_getaffinity", None)
    return len(affinity(0)) if affinity is not None else os.cpu_count() or 1


@contextmanager
def _one_thread_each() -> Iterator[None]:
    """Tell the libraries of processes that start now to keep to one thread: the cores are shared out already."""
    before = {name: os.environ.get(name) for name in THREADS}
    os.environ.update(dict.fromkeys(THREADS, "1"))
    try:
        yield
    finally:
        for name, value in before.items():
            if value is None:
                del os.environ[name]
            else:
                os.environ[name] = value


@contextmanager
def _deaf_to_interrupts() -> Iterator[None]:
    """Let processes that start now ignore Ctrl-C, as they inherit it; only the main thread can say so."""
    if threading.current_thread() is not threading.main_thread():
        yield
        return
    before = signal.signal(signal.SIGINT, signal.SIG_IGN)
    try:
        yield
    finally:
        signal.signal(signal.SIGINT, before)
