"""Nested pockets with flat floors, as a router leaves them: extent and floor of each."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from barmodel.design.family import CutParameter, Family
from barmodel.undercut import Pocket, Shape
from barmodel.undercut.piece import Array, Values

COUNT = 3
LEAST_LEDGE = 0.03
"""Shortest ledge between two walls, over the length of the bar (own choice). [1]"""
LEAST_STEP = 0.03
"""Lowest step, over the thickness of the blank (own choice). [1]"""


@dataclass(frozen=True, slots=True)
class StepsFamily(Family):
    """Unknowns: ln of the half extents, widest first, then of the floor thicknesses."""

    name: ClassVar[str] = "steps"
    unknowns: ClassVar[tuple[str, ...]] = (
        *(f"start{i + 1}" for i in range(COUNT)),
        *(f"depth{i + 1}" for i in range(COUNT)),
    )
    keys: ClassVar[tuple[tuple[CutParameter, float], ...]] = (
        *(((i, "start"), 2.0) for i in range(COUNT)),
        *(((i, "depth"), 1.0) for i in range(COUNT)),
    )

    def values(self, unknowns: Values) -> Values:
        """Cut parameters in the order of `keys`. [m] or [1]"""
        half, floor = np.exp(unknowns[:COUNT]), np.exp(unknowns[COUNT:])
        above = np.concatenate([[self.blank.thickness], floor[:-1]])
        return np.concatenate([self.blank.length / 2 - half, above - floor])

    def cuts(self, unknowns: Array) -> tuple[Shape, ...]:
        """Draw the cuts."""
        values = self.values(unknowns)
        length = self.blank.length
        return tuple(
            Pocket(start=float(start), end=float(length - start), depth=float(depth))
            for start, depth in zip(values[:COUNT], values[COUNT:], strict=True)
        )

    def slack(self, unknowns: Values) -> Values:
        """Room left to each limit, relative. [1]"""
        half, floor = np.exp(unknowns[:COUNT]), np.exp(unknowns[COUNT:])
        blank, limits = self.blank, self.limits
        above = np.concatenate([[blank.thickness], floor[:-1]])
        narrowest = max(limits.bit_diameter or 0.0, 0.06 * blank.length) / 2
        return np.concatenate(
            [
                [1.0 - half[0] / (blank.length / 2 - limits.clear(blank.length))],
                [half[-1] / narrowest - 1.0],
                [floor[-1] / limits.keep - 1.0],
                (half[:-1] - half[1:]) / (LEAST_LEDGE * blank.length) - 1.0,
                (above - floor) / (LEAST_STEP * blank.thickness) - 1.0,
            ]
        )

    def slack_names(self) -> tuple[str, ...]:
        """Say each limit in words."""
        return (
            "the clear length at the ends",
            "the narrowest floor the bit can cut",
            "the least thickness",
            *(["the shortest ledge between two walls"] * (COUNT - 1)),
            *(["the lowest step"] * COUNT),
        )

    def starts(self, *, modes: int) -> tuple[Array, ...]:
        """Guess unknowns, most hopeful first."""
        blank = self.blank
        guesses = [
            ((0.34, 0.25, 0.14), (0.82, 0.66, 0.5)),
            ((0.28, 0.20, 0.11), (0.82, 0.66, 0.5)),
            ((0.40, 0.30, 0.16), (0.75, 0.6, 0.5)),
            ((0.32, 0.26, 0.20), (0.7, 0.6, 0.5)),
            ((0.22, 0.15, 0.08), (0.82, 0.66, 0.5)),
            ((0.40, 0.20, 0.10), (0.9, 0.7, 0.5)),
        ]
        return tuple(
            np.log([*(a * blank.length for a in half), *(h * blank.thickness for h in floor)])
            for half, floor in guesses
        )

    def unknown(self, name: str, value: float) -> float:
        """Turn a maker's measure into its unknown."""
        if name.startswith("start"):
            return self.start_unknown(value, name)
        return self.depth_unknown(value, name)

    def measures(self, unknowns: Array) -> dict[str, float]:
        """Turn unknowns into the maker's measures. [m] or [1]"""
        values = self.values(unknowns)
        starts, depths = values[:COUNT], np.cumsum(values[COUNT:])
        return dict(zip(self.unknowns, map(float, [*starts, *depths]), strict=True))
