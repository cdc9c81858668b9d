"""Nested pockets with flat floors, as a router leaves them: extent and floor of each."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from barmodel.design.family import CutParameter, Family
from barmodel.design.limits import LEAST_LEFT
from barmodel.undercut import Pocket, Shape
from barmodel.undercut.piece import Array, Values

LEAST_LEDGE = 0.03
"""Shortest ledge between two walls, over the length of the bar (own choice). [1]"""
LEAST_STEP = 0.03
"""Lowest step, over the thickness of the blank (own choice). [1]"""


@dataclass(frozen=True, slots=True)
class StepsFamily(Family):
    """Unknowns: ln of the half extents, widest first, then of the floor thicknesses.

    Attributes
    ----------
    count : int
        Number of floors, 2 or 3; each costs the maker a setting of the router.
    """

    name: ClassVar[str] = "steps"
    count: int = 3

    @property
    def unknowns(self) -> tuple[str, ...]:
        """Names of the unknowns."""
        numbers = range(1, self.count + 1)
        return (*(f"start{i}" for i in numbers), *(f"depth{i}" for i in numbers))

    @property
    def keys(self) -> tuple[tuple[CutParameter, float], ...]:
        """Parameters of the cuts that move, and how many places move alike."""
        numbers = range(self.count)
        return (*(((i, "start"), 2.0) for i in numbers), *(((i, "depth"), 1.0) for i in numbers))

    def values(self, unknowns: Values) -> Values:
        """Cut parameters in the order of `keys`. [m] or [1]"""
        half, floor = np.exp(unknowns[: self.count]), np.exp(unknowns[self.count :])
        above = np.concatenate([[self.blank.thickness], floor[:-1]])
        return np.concatenate([self.blank.length / 2 - half, above - floor])

    def cuts(self, unknowns: Array) -> tuple[Shape, ...]:
        """Draw the cuts."""
        values = self.values(unknowns)
        length = self.blank.length
        return tuple(
            Pocket(start=float(start), end=float(length - start), depth=float(depth))
            for start, depth in zip(values[: self.count], values[self.count :], strict=True)
        )

    def slack(self, unknowns: Values) -> Values:
        """Room left to each limit, relative. [1]"""
        half, floor = np.exp(unknowns[: self.count]), np.exp(unknowns[self.count :])
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
            LEAST_LEFT,
            *(["the shortest ledge between two walls"] * (self.count - 1)),
            *(["the lowest step"] * self.count),
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
        pick = [0, 1, 2] if self.count == 3 else [0, 2]
        return tuple(
            np.log(np.concatenate([np.take(half, pick) * blank.length,
                                   np.take(floor, pick) * blank.thickness]))
            for half, floor in guesses
        )  # fmt: skip

    def unknown(self, name: str, value: float) -> float:
        """Turn a maker's measure into its unknown."""
        if name.startswith("start"):
            return self.start_unknown(value, name)
        return self.depth_unknown(value, name)

    def measures(self, unknowns: Array) -> dict[str, float]:
        """Turn unknowns into the maker's measures. [m] or [1]"""
        values = self.values(unknowns)
        starts, depths = values[: self.count], np.cumsum(values[self.count :])
        return dict(zip(self.unknowns, map(float, [*starts, *depths]), strict=True))
