"""Times two ways of doing a job side by side, so that only their ratio matters.

Processor time, not time on the wall: on one thread they are the same thing, and a busy machine
disturbs the former less.
"""

from __future__ import annotations

import os
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One line of the table.

    Attributes
    ----------
    job : str
        What was done, with the accuracy reached where that decides.
    seconds : float
        Our time, the best of several. [s]
    against : str
        The other way; empty if the time stands alone.
    other_seconds : float or None
        Its time. [s]
    asked : str
        What the project asks, empty if nothing.
    """

    job: str
    seconds: float
    against: str = ""
    other_seconds: float | None = None
    asked: str = ""

    @property
    def ratio(self) -> float | None:
        """Our time over the other's. [1]"""
        return None if self.other_seconds is None else self.seconds / self.other_seconds


def best(jobs: Sequence[Callable[[], object]], *, rounds: int) -> list[float]:
    """Best time of each job, the jobs taking turns. [s]"""
    return _best(jobs, rounds=rounds, clock=time.process_time)


def best_child(jobs: Sequence[Callable[[], object]], *, rounds: int) -> list[float]:
    """Best processor time of jobs that each start and await a process of their own. [s]"""

    def clock() -> float:
        times = os.times()
        return times.children_user + times.children_system

    return _best(jobs, rounds=rounds, clock=clock)


def _best(
    jobs: Sequence[Callable[[], object]], *, rounds: int, clock: Callable[[], float]
) -> list[float]:
    times = [float("inf")] * len(jobs)
    for _ in range(rounds):
        for number, job in enumerate(jobs):
            start = clock()
            job()
            times[number] = min(times[number], clock() - start)
    return times


def table(rows: Sequence[Row]) -> str:
    """Lay the rows out as a Markdown table."""
    lines = ["| job | ours | against | theirs | ours/theirs | asked |", "|---|---|---|---|---|---|"]
    for row in rows:
        theirs = "" if row.other_seconds is None else _show(row.other_seconds)
        ratio = "" if row.ratio is None else f"{row.ratio:.3g}"
        cells = (row.job, _show(row.seconds), row.against, theirs, ratio, row.asked)
        lines.append("| " + " | ".join(cells) + " |")
    return "\n".join(lines)


def _show(seconds: float) -> str:
    return f"{1e3 * seconds:.3g} ms" if seconds < 1.0 else f"{seconds:.3g} s"
