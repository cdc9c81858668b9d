"""Speed of the solid: against scikit-fem's three-dimensional elements at the accuracy reached."""

from __future__ import annotations

import json
from collections.abc import Iterator
from typing import Any

from barmodel.bar import Bar
from barmodel.solid import Order, solve
from validation.benchmarks.subjects import bars
from validation.benchmarks.timing import Row, best
from validation.kit.compare import interval
from validation.kit.hexahedra import solve as solve_hexahedra
from validation.solid_independent.bars import SUBJECTS, Subject
from validation.solid_independent.case import FILE

LABELS = ("V1", "V2", "V3")
LEVELS = {"coarse": 0, "middle": 1, "fine": 2}
LONGEST = 30_000
"""Meshes with more unknowns are not timed: too long for a side-by-side run."""
ORDERS: tuple[Order, ...] = ("draft", "quick", "standard")


def rows() -> Iterator[Row]:
    """Compare on the independent bars, then give times of our own on the speed bars."""
    data = json.loads(FILE.read_text(encoding="utf-8"))
    for name, subject in SUBJECTS.items():
        yield from _against_hexahedra(name, subject, data[name])
    for name, bar in bars().items():
        asked = "≤ 250 ms" if name == "two pockets" else "≤ 120 ms"
        yield from _alone(name, bar, asked)


def _errors(modes: dict[str, float], true: dict[str, float]) -> float:
    return max(abs(interval(modes[label], true[label])) for label in LABELS)


def _against_hexahedra(name: str, subject: Subject, data: dict[str, Any]) -> Iterator[Row]:
    true = data["extrapolated"]
    theirs: dict[str, tuple[float, float]] = {}  # level -> (error, seconds)
    for level, number in LEVELS.items():
        if data["unknowns"][number] > LONGEST:
            continue
        theirs[level] = (_errors(data[level], true), _hexahedra_seconds(subject, number))
    for order in ORDERS:
        found = solve(subject.bar, count=3, families=["bending"], order=order)
        wrong = _errors({label: found[label].hz for label in LABELS}, true)
        (seconds,) = best(
            [lambda order=order: solve(subject.bar, count=3, families=["bending"], order=order)],
            rounds=3,
        )
        good = [level for level, (error, _) in theirs.items() if error <= wrong]
        level = good[0] if good else list(theirs)[-1]
        error, other = theirs[level]
        number = LEVELS[level]
        note = "" if good else ", WORSE than ours: the ratio flatters them"
        yield Row(
            job=f"{name}, V1-V3, {order}: {wrong:.2g} cent",
            seconds=seconds,
            against=f"scikit-fem, {data['unknowns'][number]} unknowns: {error:.2g} cent{note}",
            other_seconds=other,
            asked="≤ 0.01",
        )


def _hexahedra_seconds(subject: Subject, level: int) -> float:
    """Mesh, assembly, factor and eigenvalues on half the width of the whole bar. [s]"""
    grid, wood = subject.grid(level), subject.bar.blank.wood
    return best([lambda: solve_hexahedra(grid, wood, "bending", count=4)], rounds=2)[0]


def _alone(name: str, bar: Bar, asked: str) -> Iterator[Row]:
    draft, standard, everything = best(
        [
            lambda: solve(bar, count=3, families=["bending"], order="draft"),
            lambda: solve(bar, count=3, families=["bending"]),
            lambda: solve(bar, count=5),
        ],
        rounds=3,
    )
    yield Row(job=f"{name}, V1-V3, draft", seconds=draft, asked="≤ 40 ms")
    yield Row(job=f"{name}, V1-V3, standard", seconds=standard, asked=asked)
    yield Row(
        job=f"{name}, all families, 12 modes or more, standard",
        seconds=everything,
        asked="≤ 800 ms",
    )
