"""Speed of the beam: against bare LAPACK on its own matrices, and against two-node elements."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterator
from unittest.mock import patch

import numpy as np
from scipy.linalg import eigh

from barmodel.bar import Bar
from barmodel.beam import modes as beam_modes
from barmodel.beam import solve_beam
from barmodel.beam.eigen import lowest_elastic
from barmodel.beam.theory import Section
from validation.benchmarks.linear_beam import solve_linear
from validation.benchmarks.subjects import bars
from validation.benchmarks.timing import Row, best
from validation.kit.compare import interval
from validation.kit.dense import Array

ROUNDS = 30
ENOUGH = 0.05
"""Discretisation error the two-node mesh may have as well as ours. [cent]"""


def rows() -> Iterator[Row]:
    """Time every bar."""
    for name, bar in bars().items():
        yield from _against_eigh(name, bar)
    for name, bar in bars().items():
        yield _against_linear(name, bar)


def _fresh(name: str, section: Section) -> Callable[[], object]:
    """Solve a bar nobody has seen: no thickness, spread or mesh can be remembered."""
    counter = itertools.count(1)
    return lambda: solve_beam(bars(1e-9 * next(counter))[name], count=4, section=section)


def full_matrices(bar: Bar, section: Section) -> tuple[Array, Array]:
    """Stiffness and mass the beam solves, as full matrices."""
    with patch.object(beam_modes, "lowest_elastic", wraps=lowest_elastic) as solver:
        solve_beam(bar, count=4, section=section)
    stiffness, mass = solver.call_args.args[:2]
    return _full(stiffness), _full(mass)


def _full(band: Array) -> Array:
    """Full symmetric matrix from LAPACK's upper band form."""
    size, width = band.shape[1], band.shape[0] - 1
    full = np.zeros((size, size))
    for offset in range(width + 1):
        index = np.arange(size - offset)
        full[index, index + offset] = full[index + offset, index] = band[width - offset, offset:]
    return full


def _against_eigh(name: str, bar: Bar) -> Iterator[Row]:
    for section in ("plain", "aware"):
        K, M = full_matrices(bar, section)
        lowest = [0, 8]

        def few(K: Array = K, M: Array = M, lowest: list[int] = lowest) -> object:
            return eigh(K, M, subset_by_index=lowest)

        def all_of_them(K: Array = K, M: Array = M) -> object:
            return eigh(K, M)

        ours, theirs, everything = best([_fresh(name, section), few, all_of_them], rounds=ROUNDS)
        job = f"{section} beam, {name}, geometry to modes ({K.shape[0]} unknowns)"
        yield Row(
            job=job,
            seconds=ours,
            against="scipy.linalg.eigh, its lowest 9 only",
            other_seconds=theirs,
            asked="≤ 1.6",
        )
        yield Row(job=job, seconds=ours, against="scipy.linalg.eigh, all", other_seconds=everything)


def _against_linear(name: str, bar: Bar) -> Row:
    true = solve_beam(bar, count=4, section="plain", elements=64).hz
    ours_hz = solve_beam(bar, count=4, section="plain").hz
    wrong = _worst(ours_hz, true)
    elements = 40
    while True:
        theirs_hz = solve_linear(bar, elements=elements, count=4)
        if (off := _worst(theirs_hz, true)) <= max(wrong, ENOUGH) or elements > 5000:
            break
        elements = int(elements * 1.25)
    ours, theirs = best(
        [_fresh(name, "plain"), lambda: solve_linear(bar, elements=elements, count=4)],
        rounds=ROUNDS // 2,
    )
    return Row(
        job=f"plain beam, {name}, modes 1-4 to {wrong:.2g} cent",
        seconds=ours,
        against=f"{elements} two-node elements, sparse, to {off:.2g} cent",
        other_seconds=theirs,
        asked="< 1",
    )


def _worst(hz: Array, true: Array) -> float:
    return max(abs(interval(a, b)) for a, b in zip(hz, true, strict=True))
