"""What a command and all processes it begins take: memory, processor time, time on the wall."""

from __future__ import annotations

import os
import subprocess
import time
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

PROC = Path("/proc")
EVERY_S = 0.1


@dataclass(frozen=True, slots=True)
class Taken:
    """What was taken.

    Attributes
    ----------
    wall, processor : float
        [s]
    memory : float or None
        Most that all processes held together, pages they share counted once; None where the
        system does not tell. [B]
    """

    wall: float
    processor: float
    memory: float | None


def run(command: Sequence[str]) -> Taken:
    """Run a command to its end, looking at its processes ten times a second."""
    before, began = _children_time(), time.perf_counter()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL)
    most = 0.0
    while process.poll() is None:
        most = max(most, sum(_held(pid) for pid in _tree(process.pid)))
        time.sleep(EVERY_S)
    if process.returncode != 0:
        raise RuntimeError(f"{command[0]} ended with {process.returncode}")
    wall = time.perf_counter() - began
    return Taken(wall, _children_time() - before, most or None)


def _children_time() -> float:
    times = os.times()
    return times.children_user + times.children_system


def _tree(pid: int) -> list[int]:
    """A process and all below it."""
    found = [pid]
    try:
        for task in (PROC / str(pid) / "task").iterdir():
            for child in (task / "children").read_text().split():
                found += _tree(int(child))
    except OSError:  # it has just ended, or there is no /proc
        pass
    return found


def _held(pid: int) -> float:
    """Memory of one process, shared pages by their share (Pss). [B]"""
    try:
        lines = (PROC / str(pid) / "smaps_rollup").read_text().splitlines()
    except OSError:
        return 0.0
    return sum(1024.0 * float(line.split()[1]) for line in lines if line.startswith("Pss:"))
