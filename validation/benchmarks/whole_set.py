"""A whole set of 61 bars against as many single designs, and the memory of all its processes."""

from __future__ import annotations

import os
import sys
import tempfile
import time
from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from barmodel.files.set_file import read_set_file
from barmodel.files.set_work import blueprint_kept, read_work
from barmodel.instrument import Task, core_count, design_bar
from validation.benchmarks.processes import Taken, run
from validation.benchmarks.timing import Row
from validation.whole_set.runs import RUN, write_set

EVERY = 3
"""Of so many bars one is designed alone as well, between the runs of the set."""
ROUNDS = 3
ASKED_ALONE = ("E2", "A3", "D5", "A6")
"""Bars that are designed by the command as well."""


def rows() -> Iterator[Row]:
    """Run the set and single designs in turns; the best of several rounds counts."""
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        set_file = write_set(folder)
        runs, single, commands = [], [], []
        for number in range(ROUNDS):
            load = os.getloadavg()[0] if hasattr(os, "getloadavg") else float("nan")
            runs.append((_instrument(set_file, folder / f"round {number}"), load))
            tasks = _alone(set_file, folder / f"round {number}")
            single.append([_seconds(task) for task in tasks])
            commands.append(_command(folder / f"round {number}"))
    each = [min(times) for times in zip(*single, strict=True)]
    yield from _judged(runs, sum(each) / len(each))
    yield Row(
        job="the same on the wall, against what a maker would type instead",
        seconds=min(taken.wall for taken, _ in runs),
        against=f"61 calls of barmodel design over {core_count()} cores, of which "
        f"{len(ASKED_ALONE)} were made; each starts anew and, where a neighbour harms, looks for "
        "remedies",
        other_seconds=61 * min(commands) / core_count(),
        asked="≤ 1.2",
    )


def _judged(runs: Sequence[tuple[Taken, float]], each: float) -> Iterator[Row]:
    cores = core_count()
    held = [taken.memory for taken, _ in runs if taken.memory is not None]
    memory = f"{max(held) / 1e6:.0f} MB" if held else "not told here"
    fastest, load = min(runs, key=lambda run: run[0].wall)
    yield Row(
        job="barmodel instrument, 61 bars C2 to C7: processor time of all its processes, from "
        f"start to chart; most memory of all together {memory} (asked: ≤ 500 MB)",
        seconds=min(taken.processor for taken, _ in runs),
        against=f"61 single designs of {1e3 * each:.0f} ms, neighbours and holes included",
        other_seconds=61 * each,
        asked="≤ 1.2",
    )
    yield Row(
        job=f"the same on the wall, {cores} cores (load {load:.1f} before it: a busy machine is "
        "slower); start, lengths, chart and papers are in it, and most of the excess",
        seconds=fastest.wall,
        against=f"61 single designs inside a running program over {cores} cores",
        other_seconds=61 * each / cores,
        asked="≤ 1.2",
    )


def _instrument(set_file: Path, into: Path) -> Taken:
    return run([sys.executable, "-c", RUN, "instrument", str(set_file), "--into", str(into)])


def _alone(set_file: Path, folder: Path) -> list[Task]:
    """Every third bar, asked for as if there were no set: nothing known, nothing held."""
    plan = read_set_file(set_file)
    blueprint = blueprint_kept(read_work(folder), plan, plan.digest)
    assert blueprint is not None
    tasks = [blueprint.task(note) for note in plan.semitones[::EVERY]]
    return [
        replace(task, expected_cents=(), request=replace(task.request, begin={}, fixed={}))
        for task in tasks
    ]


def _command(folder: Path) -> float:
    """Mean time on the wall of `barmodel design` for bars of the set. [s]"""
    command = [sys.executable, "-c", RUN, "design"]
    files = [str(folder / f"{note}.bar.json") for note in ASKED_ALONE]
    return sum(run([*command, file]).wall for file in files) / len(files)


def _seconds(task: Task) -> float:
    began = time.process_time()
    design_bar(task)
    return time.process_time() - began
