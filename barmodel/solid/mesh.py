"""Division of the bar into columns, and the seams that join them.

Rules, in this order:

1. A column ends at every edge of the profile (kink, wall, loss of smoothness). Edges other than
   walls that would make columns shorter than a fraction of the ordinary size are passed over: the
   column then follows the thickness through its own nodes (tables with a point every millimetre
   cost no more than tables with a point every few).
2. Columns end at the rings of each inner corner (`barmodel.solid.corners`) and have layers there.
3. Columns are halved until the interpolant follows the true thickness and does not change by
   more than a fraction across one column, then divided to the ordinary size.
4. The order along x and the degrees of layers shrink with their size.

Neighbours need not have the same layers. The seam between them has the *coarsest common*
functions (breaks present on both sides, the lower degree), which both can follow exactly: the
displacement is continuous whatever the layers, and wood below the floor of a wall is free there.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from barmodel.solid.basis import Array, Layering, lagrange, lobatto_nodes
from barmodel.solid.column import Column
from barmodel.solid.corners import Corner, find_corners, ring_edges, ring_levels
from barmodel.undercut import Profile

SAME_BREAK = 1e-7
"""Layers whose edges differ by less than this share of the thickness meet. [1]"""
SHORTEST = 1e-5
"""Stretches between two walls shorter than this are passed over. [m]"""
LEAST_SHARE = 1 / 8
"""Edges that are not walls are passed over below this share of the ordinary column length. [1]"""
FOLLOWS = 3e-4
"""Largest difference between interpolant and true thickness, as a share of it. [1]"""
STEADY = 1.6
"""Largest ratio of the thicknesses at the two ends of a column. [1]"""


@dataclass(frozen=True, slots=True)
class Orders:
    """How fine a mesh is.

    Attributes
    ----------
    columns : int
        Ordinary columns over the whole length.
    along, through, across : int
        Degree along x, through the thickness, and across the width.
    rings : int
        Rings around each inner corner.
    """

    columns: int
    along: int
    through: int
    across: int
    rings: int


@dataclass(frozen=True, slots=True)
class Seam:
    """Where two columns meet.

    Attributes
    ----------
    height : float
        Thickness of the thicker side. [m]
    layering : Layering
        Functions over that height.
    """

    height: float
    layering: Layering

    def trace(self, column: Column, side: int) -> Array:
        """Values at a column's face nodes of the seam's functions, shape (nodes, functions).

        Parameters
        ----------
        column : Column
            A neighbour.
        side : int
            0 if the seam is at its left face, 1 at its right.
        """
        t = column.layering.nodes * (column.thickness[-side] / self.height)
        return self.layering.values(np.minimum(t, 1.0))


@dataclass(frozen=True, slots=True, eq=False)
class Mesh:
    """Columns from left to right and the seams before, between and after them.

    Attributes
    ----------
    columns : tuple of Column
    seams : tuple of Seam
    half : bool
        Whether the last seam is the middle of a symmetric bar.
    """

    columns: tuple[Column, ...]
    seams: tuple[Seam, ...]
    half: bool

    @property
    def end(self) -> float:
        """Position of the last seam. [m]"""
        last = self.columns[-1]
        return last.start + last.length


def build_mesh(profile: Profile, orders: Orders, *, stretch: float) -> Mesh:
    """Divide a bar, or the left half of a symmetric one, into columns.

    Parameters
    ----------
    profile : Profile
        Thickness along the bar.
    orders : Orders
        How fine.
    stretch : float
        √(E/G) of the long–thickness plane, by which corner rings are stretched. [1]
    """
    half = bool(profile.symmetric)
    end = profile.length / 2 if half else profile.length
    size = profile.length / orders.columns
    corners = find_corners(profile, stretch=stretch, rings=orders.rings)
    if half:
        corners = [corner for corner in corners if corner.x < end]
    outline = _Outline(profile, end)
    columns = []
    for start, stop in outline.stretches(ring_edges(corners, end=end), size):
        pieces = outline.halved(start, stop, orders.along, shortest=min(size / 32, 2e-4))
        for a, b in pieces:
            cuts = np.linspace(a, b, max(1, math.ceil((b - a) / size - 1e-6)) + 1)
            columns += [
                _column(outline, float(u), float(v), size, orders, corners)
                for u, v in pairwise(cuts)
            ]
    ends = [columns[0], *columns, columns[-1]]
    seams = [_seam(left, right) for left, right in pairwise(ends)]
    seams[0] = Seam(float(columns[0].thickness[0]), columns[0].layering)
    seams[-1] = Seam(float(columns[-1].thickness[-1]), columns[-1].layering)
    return Mesh(tuple(columns), tuple(seams), half)


class _Outline:
    """The thickness between walls, whatever the profile's own edges there."""

    def __init__(self, profile: Profile, end: float) -> None:
        self.profile, self.end = profile, end
        edges = profile.edges
        self.edges = np.append(edges[edges < end - SHORTEST], end)
        walls = [w for w in profile.walls if SHORTEST < w < end - SHORTEST]
        self.bays = [0.0]
        for wall in walls:
            if wall - self.bays[-1] > SHORTEST:
                self.bays.append(float(wall))
        self.bays.append(end)

    def thickness(self, x: Array) -> Array:
        """Thickness on one column, its end values from inside. [m]"""
        inside = np.clip(x, x[0] + 1e-3 * (x[-1] - x[0]), x[-1] - 1e-3 * (x[-1] - x[0]))
        segment = np.clip(self.profile.segment_of(inside), 0, self.profile.edges.size - 2)
        return np.asarray(self.profile.thickness(x, segment).real)

    def stretches(self, ring_edges: Sequence[float], size: float) -> list[tuple[float, float]]:
        """Stretches between the edges that count, rings included, without short ones."""
        out = []
        for start, stop in pairwise(self.bays):
            kept = [start]
            rings = sorted(x for x in ring_edges if start < x < stop)
            kinks = [float(x) for x in self.edges if start < x < stop]
            for x in sorted(rings + kinks):
                gap = x - kept[-1]
                near = min((abs(x - r) for r in rings if r != x), default=math.inf)
                if x in rings:
                    if len(kept) > 1 and gap < 0.2 * min(abs(x - start), abs(stop - x)):
                        continue
                elif min(gap, stop - x) < LEAST_SHARE * size and self._slight(x):
                    continue
                elif near < 0.02 * size:
                    kept = [k for k in kept if abs(k - x) > 0.02 * size or k == start]
                kept.append(x)
            kept.append(stop)
            out += list(pairwise(kept))
        return out

    def _slight(self, x: float) -> bool:
        """Whether the kink at x is too slight to need a column's end."""
        step = 1e-5
        h = self.profile.thickness(np.array([x - step, x, x + step])).real
        return bool(abs(h[2] - 2 * h[1] + h[0]) < 0.35 * step)

    def halved(
        self, start: float, stop: float, order: int, *, shortest: float
    ) -> list[tuple[float, float]]:
        """Halve a stretch until polynomials of `order` follow the thickness."""
        if stop - start > 2 * shortest:
            x = start + (stop - start) * lobatto_nodes(order)
            h = self.thickness(x)
            between = (lobatto_nodes(order)[1:] + lobatto_nodes(order)[:-1]) / 2
            true = self.thickness(start + (stop - start) * np.concatenate([[0.0], between, [1.0]]))[
                1:-1
            ]
            miss = np.abs(lagrange(order, between)[0] @ h - true).max()
            if miss > FOLLOWS * h.min() or h.max() > STEADY * h.min():
                middle = (start + stop) / 2
                return [
                    *self.halved(start, middle, order, shortest=shortest),
                    *self.halved(middle, stop, order, shortest=shortest),
                ]
        return [(start, stop)]


def _column(
    outline: _Outline,
    start: float,
    stop: float,
    size: float,
    orders: Orders,
    corners: Sequence[Corner],
) -> Column:
    """One column with its order, its thickness and its layers."""
    order = max(2, math.ceil(orders.along * math.sqrt((stop - start) / size) - 0.5))
    order = min(order, orders.along)
    h = outline.thickness(start + (stop - start) * lobatto_nodes(order))
    breaks = ring_levels(corners, start, stop)
    degrees = tuple(
        min(orders.through, max(2, math.ceil(orders.through * (b - a) ** 0.15 - 0.25)))
        for a, b in pairwise(breaks)
    )
    return Column(start, stop - start, order, h, Layering(breaks, degrees))


def _seam(left: Column, right: Column) -> Seam:
    """Coarsest common functions of two neighbours."""
    thick, thin = float(left.thickness[-1]), float(right.thickness[0])
    a, b = left.layering, right.layering
    if thin > thick:
        thick, thin, a, b = thin, thick, b, a
    if thick - thin < SAME_BREAK * thick and a == b:
        return Seam(thick, a)
    breaks_a = np.array(a.breaks)
    breaks_b = np.array(b.breaks) * thin / thick
    shared = np.abs(breaks_a[:, None] - breaks_b).min(axis=1) < SAME_BREAK
    common = breaks_a[shared | (breaks_a > thin / thick + SAME_BREAK)]
    common[-1] = 1.0
    degrees = tuple(
        min(_least_degree(a, breaks_a, top, end), _least_degree(b, breaks_b, top, end))
        for top, end in pairwise(common)
    )
    return Seam(thick, Layering(tuple(common.tolist()), degrees))


def _least_degree(layering: Layering, breaks: Array, top: float, end: float) -> int:
    """Lowest degree among the layers that overlap an interval of the seam."""
    return min(
        (
            degree
            for degree, (a, b) in zip(layering.degrees, pairwise(breaks), strict=True)
            if a < end - SAME_BREAK and b > top + SAME_BREAK
        ),
        default=99,
    )
