"""Speed of the solid: against scikit-fem's three-dimensional elements at the accuracy reached."""

from __future__ import annotations

import json
from collections.abc import Iterator
from functools import partial
from typing import Any

from barmodel.bar import Bar
from barmodel.solid import Order, solve
from validation.benchmarks.subjects import bars
from validation.benchmarks.timing import Row, best
from validation.kit.compare import interval
from validation.kit.hexahedra import Answer
from validation.kit.hexahedra import solve as solve_hexahedra
from validation.solid_independent.bars import SUBJECTS, Subject
from validation.solid_independent.case import FILE

LABELS = ("V1", "V2", "V3")
LEVELS = {"coarse": 0, "middle": 1, "fine": 2}
FINEST = 3
"""A mesh only made here, where the others are all worse than ours."""
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
    theirs = [  # (unknowns, error, seconds), coarsest first
        (data["unknowns"][number], _errors(data[level], true), _hexahedra(subject, number)[0])
        for level, number in LEVELS.items()
        if data["unknowns"][number] <= LONGEST
    ]
    for order in ORDERS:
        found = solve(subject.bar, count=3, families=["bending"], order=order)
        wrong = _errors({label: found[label].hz for label in LABELS}, true)
        if wrong < theirs[-1][1] and not len(subject.bar.profile.walls):
            seconds, answer = _hexahedra(subject, FINEST)
            finest = dict(zip(LABELS, answer.hz, strict=False))
            theirs.append((answer.unknowns, _errors(finest, true), seconds))
        good = [row for row in theirs if row[1] <= wrong] or theirs[-1:]
        unknowns, error, other = good[0]
        (seconds,) = best(
            [partial(solve, subject.bar, count=3, families=["bending"], order=order)],
            rounds=3,
        )
        note = "" if error <= wrong else " (less exact than ours)"
        yield Row(
            job=f"{name}, V1-V3, {order}: {wrong:.2g} cent",
            seconds=seconds,
            against=f"scikit-fem, {unknowns} unknowns: {error:.2g} cent{note}",
            other_seconds=other,
            asked="≤ 0.01" if order == "standard" else "",
        )


def _hexahedra(subject: Subject, level: int) -> tuple[float, Answer]:
    """Mesh, assembly, factor and eigenvalues on half the width of the whole bar: time, answer."""
    kept: list[Answer] = []

    def job() -> None:
        grid, wood = subject.grid(level), subject.bar.blank.wood
        kept.append(solve_hexahedra(grid, wood, "bending", count=3))

    return best([job], rounds=1 if level == FINEST else 2)[0], kept[0]


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
