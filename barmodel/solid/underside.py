"""The underside as the solid sees it: segments between edges, with cliffs made vertical.

Columns follow gentle slopes exactly and vertical walls by ending there. A cliff, nearly but not
quite vertical over a tenth of a millimetre or so (a table often has one), would shear its column
beyond use: 10 to 35 cents sharp, measured. It is replaced by a wall at its foot, which decides
how long the thin part is. Against staircases of many walls that costs 0.2 cents for a cliff of
0.1 mm and 2 cents for one of 1 mm.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barmodel.solid.basis import Array
from barmodel.undercut import Profile

CLIFF = 8.0
"""Mean slope from which a short segment is taken for a wall. [1]"""
SHORT = 0.05
"""Length of such a segment, at most, over the thickness of the blank. [1]"""
SAME = 1e-7
"""Jumps of the thickness below this are none. [m]"""


@dataclass(frozen=True, slots=True, eq=False)
class Underside:
    """Thickness of a bar by segments.

    Attributes
    ----------
    profile : Profile
        Where the thickness comes from.
    edges : ndarray, shape (n + 1,)
        Ends of the segments. [m]
    source : ndarray of int, shape (n,)
        Segment of the profile that each segment continues.
    """

    profile: Profile
    edges: Array
    source: NDArray[np.intp]

    @property
    def sides(self) -> tuple[Array, Array]:
        """Thickness on the left and on the right of every inner edge. [m]"""
        inner, segment = self.edges[1:-1], np.arange(self.edges.size - 2)
        return self.thickness(inner, segment), self.thickness(inner, segment + 1)

    @property
    def walls(self) -> Array:
        """Positions where the thickness jumps. [m]"""
        left, right = self.sides
        return self.edges[1:-1][np.abs(left - right) > SAME]

    def segment_of(self, x: Array) -> NDArray[np.intp]:
        """Segment that holds each position; at an edge the one to its right."""
        return np.searchsorted(self.edges[1:-1], x, side="right")

    def thickness(self, x: Array, segment: NDArray[np.intp] | None = None) -> Array:
        """Thickness at positions x, on the side of the given segments. [m]"""
        where = self.segment_of(x) if segment is None else segment
        return np.asarray(self.profile.thickness(x, self.source[where]).real, dtype=float)


def underside_of(profile: Profile) -> Underside:
    """Take the underside from a profile, cliffs made vertical."""
    edges = profile.edges
    n = edges.size - 1
    whole = Underside(profile, edges, np.arange(n))
    start = whole.thickness(edges[:-1], np.arange(n))
    stop = whole.thickness(edges[1:], np.arange(n))
    run, rise = np.diff(edges), stop - start
    cliff = (np.abs(rise) > CLIFF * run) & (run < SHORT * float(np.real(profile.stock)))
    cliff[[0, -1]] = False  # an end that is cut away needs no wall
    if not cliff.any():
        return whole
    # Falling to the right, the foot is the right end: the left neighbour goes on up to there.
    gone = [k if rise[k] < 0.0 else k + 1 for k in np.flatnonzero(cliff)]
    return Underside(profile, np.delete(edges, gone), np.flatnonzero(~cliff))
