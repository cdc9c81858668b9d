"""One smooth arch about the middle: half extent, centre thickness, fullness."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from barmodel.design.family import CutParameter, Family, most_curved, room
from barmodel.design.limits import LEAST_LEFT
from barmodel.errors import InputError
from barmodel.undercut import Arch, Shape
from barmodel.undercut.piece import Array, Values

LEAST_FULL, MOST_FULL = 1.3, 9.0
"""Fullness searched: below a pointed roof, above a box (own choice). [1]"""
ROOF_COST = 60.0
"""Cents per 0.1 mm that a fullness of 2/e would weigh (own choice)."""
LEAST_FULL_DRUM = 2.0
"""A drum leaves no kink in the middle, so nothing sharper than a parabola. [1]"""


@dataclass(frozen=True, slots=True)
class ArchFamily(Family):
    """Unknowns: ln of half extent, of centre thickness and of fullness."""

    name: ClassVar[str] = "arch"

    @property
    def unknowns(self) -> tuple[str, ...]:
        """Names of the unknowns."""
        return ("start", "depth", "fullness")

    @property
    def keys(self) -> tuple[tuple[CutParameter, float], ...]:
        """Parameters of the cuts that move, and how many places move alike."""
        return (
            ((0, "start"), 2.0),
            ((0, "depth"), 1.0),
            ((0, "fullness"), 1.0),
        )

    def values(self, unknowns: Values) -> Values:
        """Cut parameters in the order of `keys`. [m] or [1]"""
        half, floor, fullness = np.exp(unknowns)
        blank = self.blank
        return np.array([blank.length / 2 - half, blank.thickness - floor, fullness])

    def cuts(self, unknowns: Array) -> tuple[Shape, ...]:
        """Draw the cuts."""
        start, depth, fullness = (float(v) for v in self.values(unknowns))
        end = self.blank.length - start
        return (Arch(start=start, end=end, depth=depth, fullness=fullness),)

    def slack(self, unknowns: Values) -> Values:
        """Room left to each limit, relative. [1]"""
        half, floor, fullness = np.exp(unknowns)
        blank, limits = self.blank, self.limits
        depth = blank.thickness - floor
        least = LEAST_FULL if limits.drum_radius is None else LEAST_FULL_DRUM
        room_left = [
            1.0 - half / (blank.length / 2 - limits.clear(blank.length)),
            half / (0.05 * blank.length) - 1.0,
            floor / limits.keep - 1.0,
            depth / (0.01 * blank.thickness) - 1.0,
            fullness / least - 1.0,
            1.0 - fullness / MOST_FULL,
            room(depth * fullness / half, limits.steepest),
        ]
        if limits.drum_radius is not None:
            room_left.append(room(most_curved(half, depth, fullness) * limits.drum_radius, 1.0))
        return np.array(room_left)

    def slack_names(self) -> tuple[str, ...]:
        """Say each limit in words."""
        least = LEAST_FULL if self.limits.drum_radius is None else LEAST_FULL_DRUM
        names = (
            "the clear length at the ends",
            "the narrowest arch (a tenth of the length)",
            LEAST_LEFT,
            "the uncut blank (nothing left to take away)",
            f"the least fullness {least:g}",
            f"the largest fullness {MOST_FULL:g}",
            "the steepest slope the cutter follows",
        )
        return names if self.limits.drum_radius is None else (*names, "the drum radius")

    def oddness(self, unknowns: Array) -> float:
        """Prefer a parabola or fuller: a roof has a kink in the middle that no cutter leaves."""
        return ROOF_COST * max(0.0, float(np.log(2.0) - unknowns[2])) ** 2

    def starts(self, *, modes: int) -> tuple[Array, ...]:
        """Guess unknowns, most hopeful first."""
        blank = self.blank
        guesses = [(0.32, 3.0), (0.24, 2.5), (0.38, 2.5), (0.28, 5.0), (0.40, 4.5), (0.16, 2.2)]
        if modes < 3:
            guesses = [(0.27, 2.5), (0.20, 2.5), (0.35, 2.5), (0.40, 3.0), (0.13, 2.5)]
        floor = 0.5 * blank.thickness
        return tuple(np.log([a * blank.length, floor, n]) for a, n in guesses)

    def unknown(self, name: str, value: float) -> float:
        """Turn a maker's measure into its unknown."""
        if name == "start":
            return self.start_unknown(value, "arch start")
        if name == "depth":
            return self.depth_unknown(value, "arch depth")
        if not 1.0 <= value <= 50.0:
            raise InputError(f"fullness is {value:g}; give 1 to 50 (2 is a parabola)")
        return float(np.log(value))

    def measures(self, unknowns: Array) -> dict[str, float]:
        """Turn unknowns into the maker's measures. [m] or [1]"""
        return dict(zip(self.unknowns, (float(v) for v in self.values(unknowns)), strict=True))
