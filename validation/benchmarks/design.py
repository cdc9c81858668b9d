"""Time to design one bar, alone and counted in solves of the same model."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np

from barmodel.bar import Bar, Blank
from barmodel.beam import solve_beam
from barmodel.design import Request, find
from barmodel.modes import Model
from barmodel.pitch import Target
from barmodel.solid import solve
from barmodel.units import MM
from validation.benchmarks.timing import Row, best
from validation.solid_independent.bars import DENSE_WOOD

BLANK = Blank(length=372 * MM, width=53 * MM, thickness=22 * MM, wood=DENSE_WOOD)
TARGET = Target("C4", ratios=(1.0, 4.0, 10.0))
ASKED = {"arch": "≤ 150 ms", "steps": "≤ 600 ms", "hollows": "≤ 600 ms"}


def rows() -> Iterator[Row]:
    """Design with the beam alone, then with the solid's last word."""
    for family in ASKED:
        yield _row(family, "beam")
    for family in ASKED:
        yield _row(family, "solid")


def _row(family: str, model: Model) -> Row:
    request = Request(blank=BLANK, target=TARGET, family=family, model=model)
    design = find(request)
    bar = design.bar
    counter = itertools.count(1)

    def fresh() -> object:  # a blank a nanometre longer has been seen by no cache
        blank = replace(BLANK, length=BLANK.length + 1e-9 * next(counter))
        return find(replace(request, blank=blank))

    ours, one = best([fresh, _one(bar, model)], rounds=3)
    error = float(np.abs(design.cents).max())
    return Row(
        job=f"design of C4, 1:4:10, {family}, {model}, to {error:.2g} cent",
        seconds=ours,
        against=f"one {model} solve of that bar",
        other_seconds=one,
        asked=ASKED[family] if model == "beam" else "≤ 1 s",
    )


def _one(bar: Bar, model: str) -> Callable[[], object]:
    if model == "beam":
        return lambda: solve_beam(bar, count=3)
    return lambda: solve(bar, count=3, families=["bending"])
