"""Work spread over the cores, one process each, one thread in each; if one dies one bar is lost."""

from __future__ import annotations

import multiprocessing
import os
import signal
import sys
import threading
import time
from collections.abc import Callable, Iterable, Iterator, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ProcessPoolExecutor, wait
from concurrent.futures.process import BrokenProcessPool
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, TypeVar

from barmodel.instrument.record import Outcome, Task

T = TypeVar("T")
R = TypeVar("R")

THREADS = ("OMP_NUM_THREADS", "OPENBLAS_NUM_THREADS", "MKL_NUM_THREADS")
MOST = 61
"""Processes hired at most; Windows can wait for no more."""
DIED = "the process that designed it died, twice; perhaps memory ran out"


def core_count() -> int:
    """Cores this process may use."""
    if hasattr(os, "sched_getaffinity"):
        return max(1, len(os.sched_getaffinity(0)))
    return max(1, os.cpu_count() or 1)


def _begin(parent: int) -> None:
    """Leave Ctrl-C to the parent, and end when the parent is gone, however it ended."""
    signal.signal(signal.SIGINT, signal.SIG_IGN)

    def watch() -> None:
        while os.getppid() == parent:
            time.sleep(0.5)
        os._exit(1)

    if sys.platform != "win32":
        threading.Thread(target=watch, daemon=True).start()


def _context() -> Any:
    """Forked workers share what is loaded already; where forking is unsafe they start afresh."""
    forks = sys.platform.startswith("linux") and threading.active_count() == 1
    return multiprocessing.get_context("fork" if forks else "spawn")


@dataclass(slots=True)
class Crew:
    """Some processes that wait for work; with one, all is done in this process.

    Attributes
    ----------
    count : int
        How many.
    pool : ProcessPoolExecutor or None
        None until they are hired, or with one.
    """

    count: int
    pool: ProcessPoolExecutor | None = None

    def hire(self) -> None:
        """Start the processes, now, before this process starts threads of its own."""
        if self.count > 1:
            for name in THREADS:
                os.environ.setdefault(name, "1")
            self.pool = ProcessPoolExecutor(
                self.count, mp_context=_context(), initializer=_begin, initargs=(os.getpid(),)
            )
            self.pool.submit(os.getpid).result()

    def dismiss(self) -> None:
        """End the processes, leaving what has not begun."""
        if self.pool is not None:
            self.pool.shutdown(wait=True, cancel_futures=True)
            self.pool = None

    def map(self, work: Callable[[T], R], items: Iterable[T]) -> Iterable[R]:
        """As the built-in `map`, over the processes."""
        return map(work, items) if self.pool is None else self.pool.map(work, items)

    def each(self, work: Callable[[Task], Outcome], tasks: Sequence[Task]) -> Iterator[Outcome]:
        """Work on every task; outcomes come as they are finished, in any order.

        If a process dies, the tasks that were in hand are tried once more one at a time, and the
        one that kills its process again is reported as failed.
        """
        if self.pool is None:
            yield from map(work, tasks)
            return
        waiting = list(reversed(tasks))
        running: dict[Future[Outcome], Task] = {}
        suspects: list[Task] = []
        while waiting or running:
            while waiting and len(running) < self.count + 1 and not suspects:
                task = waiting.pop()
                try:
                    running[self.pool.submit(work, task)] = task
                except BrokenProcessPool:  # a process died while an outcome was being handled
                    suspects.append(task)
            finished, _ = wait(running, return_when=FIRST_COMPLETED)
            for future in finished:
                task = running.pop(future)
                try:
                    yield future.result()
                except BrokenProcessPool:
                    suspects.append(task)
            if suspects and not running:
                yield from self._alone(work, suspects)
                suspects = []

    def _alone(
        self, work: Callable[[Task], Outcome], suspects: Sequence[Task]
    ) -> Iterator[Outcome]:
        """Work on tasks one at a time, with a fresh set of processes after every death."""
        for task in suspects:
            self.dismiss()
            self.hire()
            assert self.pool is not None
            try:
                yield self.pool.submit(work, task).result()
            except BrokenProcessPool:
                yield Outcome(
                    semitone=task.semitone, digest=task.digest, state="failed", reason=DIED
                )
        self.dismiss()
        self.hire()


@contextmanager
def crew(count: int | None = None) -> Iterator[Crew]:
    """Hire processes for the time of some work.

    Parameters
    ----------
    count : int, optional
        Processes; one for every core by default, never more than `MOST`.
    """
    hands = Crew(min(MOST, core_count() if count is None else max(1, count)))
    hands.hire()
    try:
        yield hands
    finally:
        hands.dismiss()
