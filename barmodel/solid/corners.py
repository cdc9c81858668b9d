"""Inner corners of the underside, where stress is singular and the mesh must be fine.

At the foot of a wall the wood turns an inner corner and stress grows as r^(−0.46) (right angle,
isotropic; Williams 1952). Polynomials of any order converge slowly there; a mesh graded
geometrically towards the corner restores them. Around each corner lie *rings*, each a fixed
ratio wider than the one inside it. Along the grain stress spreads √(E/G) times further than
through the thickness, so rings are stretched by that factor along x.

References
----------
M. L. Williams, "Stress singularities resulting from various boundary conditions in angular
corners of plates in extension", Journal of Applied Mechanics 19 (1952) 526–528 (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from barmodel.solid.basis import Array
from barmodel.solid.underside import Underside

RING_RATIO = 6.0
"""Radius of a ring over that of the next inside. [1]"""
WIDEST_RING = 1.0
"""Radius of the outermost ring over the thickness at the corner. [1]"""
RING_LENGTH = 1.4
"""Half length of a ring along x over √(E/G) times its radius. [1]"""
FINEST_SHARE = 0.25
"""Of `ORDINARY_RINGS` the innermost is no wider than this share of its wall. [1]"""
ORDINARY_RINGS = 3
MOST_EXTRA = 2
"""Low walls and corners close together get at most so many rings more."""
SHARP = 0.5
"""A kink inwards by more than this angle counts as a corner, x divided by √(E/G) first. [rad]"""


@dataclass(frozen=True, slots=True)
class Corner:
    """An inner corner of the underside.

    Attributes
    ----------
    x : float
        Its position. [m]
    left, right : float
        Thickness on its two sides. [m]
    radii : tuple of float
        Rings around it, innermost first, measured through the thickness. [m]
    stretch : float
        Half length of a ring along x over its radius. [1]
    """

    x: float
    left: float
    right: float
    radii: tuple[float, ...]
    stretch: float

    @property
    def depth(self) -> float:
        """Its distance below the flat top: the thickness on the thin side. [m]"""
        return min(self.left, self.right)

    @property
    def reaches(self) -> Array:
        """Half lengths of the rings along the bar. [m]"""
        return np.array(self.radii) * self.stretch


def find_corners(underside: Underside, *, stretch: float, rings: int) -> list[Corner]:
    """Find the corners of an underside: the feet of its walls and its steep inward kinks.

    Parameters
    ----------
    underside : Underside
    stretch : float
        √(E/G), length along x over length through the thickness of equal stress decay. [1]
    rings : int
        Least number of rings; low walls get one more, for their field is smaller.
    """
    edges = underside.edges
    inner, segment = edges[1:-1], np.arange(edges.size - 2)
    left, right = underside.sides
    step = np.minimum(np.minimum(np.diff(edges)[:-1], np.diff(edges)[1:]) / 8, 1e-4)
    slope_left = (left - underside.thickness(inner - step, segment)) / step
    slope_right = (underside.thickness(inner + step, segment + 1) - right) / step
    wall = np.abs(left - right)
    is_wall = wall > 1e-4 * np.minimum(left, right)
    kink = np.arctan(stretch * slope_right) - np.arctan(stretch * slope_left)
    found = np.flatnonzero(is_wall | (kink > SHARP))
    stretch *= RING_LENGTH
    corners = []
    for k in found:
        gap = min((abs(float(inner[k] - inner[j])) for j in found if j != k), default=math.inf)
        smallest = min(float(wall[k]) if is_wall[k] else math.inf, gap / stretch)
        corners.append(
            Corner(
                float(inner[k]),
                float(left[k]),
                float(right[k]),
                _radii(float(min(left[k], right[k])), smallest, rings),
                stretch,
            )
        )
    return corners


def _radii(thickness: float, wall: float, rings: int) -> tuple[float, ...]:
    radii = [WIDEST_RING * thickness]
    enough = FINEST_SHARE * wall * RING_RATIO ** (ORDINARY_RINGS - rings)
    while len(radii) < rings or (radii[-1] > enough and len(radii) < rings + MOST_EXTRA):
        radii.append(radii[-1] / RING_RATIO)
    return tuple(reversed(radii))


def ring_edges(corners: Sequence[Corner], *, end: float) -> list[tuple[float, float]]:
    """Where rings begin or end, and how far from their corner; none past the middle to the next.

    Returns
    -------
    list of (float, float)
        Position along the bar, distance. [m]
    """
    places = sorted(corner.x for corner in corners)
    out: list[tuple[float, float]] = []
    for corner in corners:
        before = max((x for x in places if x < corner.x), default=-corner.x)
        after = min((x for x in places if x > corner.x), default=2 * end - corner.x)
        for side, room in ((-1, corner.x - before), (1, after - corner.x)):
            for reach in corner.reaches.tolist():
                if reach < 0.5 * room:
                    out.append((corner.x + side * reach, reach))
    return out


def _seen_from(corner: Corner, corners: Sequence[Corner], x: float) -> float:
    """Thickness that turns depths at a corner into levels at x, past any walls between them."""
    leftward = x < corner.x
    thickness = corner.left if leftward else corner.right
    for other in corners:
        if min(x, corner.x) < other.x < max(x, corner.x):
            inner, outer = other.right, other.left
            thickness *= outer / inner if leftward else inner / outer
    return thickness


def ring_levels(corners: Sequence[Corner], start: float, stop: float) -> tuple[float, ...]:
    """Where the rings that a column lies in divide it into layers.

    Layers follow the underside: a level t is the same share of the thickness in every column on
    one side of a corner, so that layers of neighbours meet.

    Parameters
    ----------
    corners : sequence of Corner
    start, stop : float
        The column. [m]

    Returns
    -------
    tuple of float
        Levels from 0 (top) to 1 (underside), well apart from each other.
    """
    wanted: list[tuple[float, float]] = []  # (room needed, level): the finest rings go first
    for corner in corners:
        thickness = _seen_from(corner, corners, (start + stop) / 2)
        distance = max(start - corner.x, corner.x - stop, 0.0)
        inside = [r for r in corner.radii if r * corner.stretch > distance * (1 + 1e-6)]
        if inside:
            wanted.append((0.0, corner.depth / thickness))
        for r in inside:
            wanted.append((r / thickness / 3, (corner.depth - r) / thickness))
            wanted.append((r / thickness / 3, (corner.depth + r) / thickness))
    kept = [0.0, 1.0]
    for room, level in sorted(wanted):
        if min(abs(level - other) for other in kept) > max(room, 1e-3) and 0.0 < level < 1.0:
            kept.append(level)
    return tuple(sorted(kept))
