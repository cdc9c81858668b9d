"""A shallow pocket with three round hollows in its floor: one in the middle, one at each side."""

from __future__ import annotations

from dataclasses import dataclass
from typing import ClassVar

import numpy as np

from barmodel.design.family import CutParameter, Family, room, round_radius
from barmodel.design.limits import LEAST_LEFT, SMALLEST_ROUND
from barmodel.undercut import Groove, Pocket, Shape
from barmodel.undercut.piece import Array, Values
from barmodel.undercut.shapes import drum_reach

RIDGE = 0.01
"""Least floor left between two hollows, and to the pocket's end, over the length. [1]"""


@dataclass(frozen=True, slots=True)
class HollowsFamily(Family):
    """Unknowns: ln of pocket half extent and floor; centre half width and thickness; side distance
    from the middle, half width and thickness.
    """

    name: ClassVar[str] = "hollows"

    @property
    def unknowns(self) -> tuple[str, ...]:
        """Names of the unknowns."""
        return (
            "start", "depth", "centre_width", "centre_depth", "side_at", "side_width", "side_depth",
        )  # fmt: skip

    @property
    def keys(self) -> tuple[tuple[CutParameter, float], ...]:
        """Parameters of the cuts that move, and how many places move alike."""
        return (
            ((0, "start"), 2.0),
            ((0, "depth"), 1.0),
            ((1, "depth"), 1.0),
            ((1, "radius"), 1.0),
            ((2, "at"), 1.0),
            ((2, "depth"), 1.0),
            ((2, "radius"), 1.0),
        )

    @property
    def corner(self) -> float:
        """Radius of the pocket's ends: the drum's, or none for a router bit. [m]"""
        if self.limits.bit_diameter is not None:
            return 0.0
        return max(self.limits.drum_radius or 0.0, SMALLEST_ROUND)

    def values(self, unknowns: Values) -> Values:
        """Cut parameters in the order of `keys`. [m] or [1]"""
        half, floor, w_centre, h_centre, at, w_side, h_side = np.exp(unknowns)
        blank = self.blank
        centre, side = floor - h_centre, floor - h_side
        return np.array(
            [
                blank.length / 2 - half,
                blank.thickness - floor,
                centre,
                round_radius(w_centre, centre),
                blank.length / 2 - at,
                side,
                round_radius(w_side, side),
            ]
        )

    def cuts(self, unknowns: Array) -> tuple[Shape, ...]:
        """Draw the cuts."""
        start, depth, centre, r_centre, at, side, r_side = (float(v) for v in self.values(unknowns))
        _, _, w_centre, _, _, w_side, _ = np.exp(unknowns).tolist()
        length = self.blank.length
        wide = 2.0 * (1.0 + 1e-9)  # a round groove ends where its drum leaves the floor, not before
        return (
            Pocket(start=start, end=length - start, depth=depth, corner_radius=self.corner),
            Groove(at=length / 2, width=wide * w_centre, depth=centre, section="round",
                   radius=r_centre),
            Groove(at=at, width=wide * w_side, depth=side, section="round", radius=r_side,
                   mirror=True),
        )  # fmt: skip

    def slack(self, unknowns: Values) -> Values:
        """Room left to each limit, relative. [1]"""
        half, floor, w_centre, h_centre, at, w_side, h_side = np.exp(unknowns)
        blank, limits = self.blank, self.limits
        depth, centre, side = blank.thickness - floor, floor - h_centre, floor - h_side
        drum = limits.drum_radius or SMALLEST_ROUND
        ridge = RIDGE * blank.length
        reach = drum_reach(depth, self.corner)
        step = 0.02 * blank.thickness
        return np.array(
            [
                1.0 - half / (blank.length / 2 - limits.clear(blank.length)),
                h_centre / limits.keep - 1.0,
                h_side / limits.keep - 1.0,
                depth / step - 1.0,
                centre / step - 1.0,
                side / step - 1.0,
                (at - w_side - w_centre) / ridge - 1.0,
                (half - reach - at - w_side) / ridge - 1.0,
                room(drum, round_radius(w_centre, centre)),
                room(drum, round_radius(w_side, side)),
                # a round deeper than its half width would undercut itself
                room(centre, w_centre),
                room(side, w_side),
            ]
        )

    def slack_names(self) -> tuple[str, ...]:
        """Say each limit in words."""
        return (
            "the clear length at the ends",
            LEAST_LEFT,
            LEAST_LEFT,
            "a pocket with no depth left",
            "a centre hollow with no depth left",
            "side hollows with no depth left",
            "the floor between the hollows",
            "the room between the side hollows and the pocket's ends",
            "the drum radius at the centre hollow",
            "the drum radius at the side hollows",
            "the centre hollow's own width",
            "the side hollows' own width",
        )

    def starts(self, *, modes: int) -> tuple[Array, ...]:
        """Guess unknowns, most hopeful first."""
        blank = self.blank
        guesses = [
            (0.34, 0.70, 0.09, 0.5, 0.19, 0.08, 0.56),
            (0.28, 0.70, 0.08, 0.5, 0.16, 0.06, 0.56),
            (0.40, 0.75, 0.10, 0.5, 0.23, 0.10, 0.6),
            (0.32, 0.60, 0.08, 0.5, 0.20, 0.06, 0.52),
            (0.22, 0.80, 0.07, 0.5, 0.13, 0.05, 0.7),
            (0.40, 0.85, 0.12, 0.5, 0.26, 0.08, 0.75),
        ]
        size = np.array([blank.length, blank.thickness])[[0, 1, 0, 1, 0, 0, 1]]
        return tuple(np.log(np.array(guess) * size) for guess in guesses)

    def unknown(self, name: str, value: float) -> float:
        """Turn a maker's measure into its unknown."""
        if name == "start":
            return self.start_unknown(value, "pocket start")
        if name.endswith("depth"):
            return self.depth_unknown(value, name)
        if name == "side_at":
            return self.start_unknown(value, "place of the side hollows")
        return float(np.log(value / 2))

    def measures(self, unknowns: Array) -> dict[str, float]:
        """Turn unknowns into the maker's measures. [m] or [1]"""
        half, floor, w_centre, h_centre, at, w_side, h_side = np.exp(unknowns).tolist()
        middle, stock = self.blank.length / 2, self.blank.thickness
        given = (middle - half, stock - floor, 2 * w_centre, stock - h_centre,
                 middle - at, 2 * w_side, stock - h_side)  # fmt: skip
        return dict(zip(self.unknowns, given, strict=True))
