"""Division of the bar into columns.

Rules, in this order:

1. A column ends at every edge of the profile (kink, wall, loss of smoothness). Slight kinks that
   would make columns shorter than a fraction of the ordinary size are passed over: the column
   then follows the thickness through its own nodes (tables with a point every millimetre cost no
   more than tables with a point every few).
2. Columns end at the rings of each inner corner (`barmodel.solid.corners`) and have layers there.
3. Columns are halved until the interpolant follows the true thickness and the thickness changes
   little inside each, then divided to the ordinary size.
4. The order along x and the degrees of layers shrink with their size. Degrees through the
   thickness grow where the underside is steep or hollow, there and nearby; the order along x
   does not shrink there.

Steep and hollow are meant as the stress sees them: it spreads √(E/G) times further along the
grain than through it, so that a bar of wood acts like an isotropic one that many times shorter,
with slopes that many times steeper and hollows sharper by the square.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray

from barmodel.solid.basis import Array, Layering, lobatto_nodes
from barmodel.solid.column import Column
from barmodel.solid.corners import find_corners, ring_edges, ring_levels
from barmodel.solid.outline import SHORTEST, Outline, hollowness, slopes
from barmodel.solid.seam import Seam, join
from barmodel.solid.underside import underside_of
from barmodel.undercut import Profile

STEEP = (0.9, 1.8, 3.6)
"""Slopes, times √(E/G), at which columns get one degree more through, and again, and again. [1]"""
SHARP_HOLLOW = 1.0
"""Hollows whose curvature h h″ E/G is above this get one degree more through, and again for every
doubling, up to `hollow` + 4; with more `hollow` earlier, with less later. [1]"""
FADE = 0.3
"""Extra degrees through fall by one over this many thicknesses times √(E/G). [1]"""
LAYERED = 2
"""Columns of several layers get no more extra degrees than this: layers do the same. [1]"""
TURNING = (0.3, 0.9)
"""Columns whose slope turns inwards by more, times √(E/G), keep the full degree along however
short they are; beyond the second limit they get one degree more. [1]"""
LOCKING = 1.0
"""Columns whose underside is steeper keep the full degree along, too. [1]"""


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
    hollow : int, optional
        Doublings of curvature by which sharp hollows are refined earlier (or later, below zero).
    """

    columns: int
    along: int
    through: int
    across: int
    rings: int
    hollow: int = 0


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
    underside = underside_of(profile)
    corners = find_corners(underside, stretch=stretch, rings=orders.rings)
    corners = [corner for corner in corners if corner.x < end + SHORTEST]
    outline = Outline(underside, end)
    spans = outline.spans(ring_edges(corners, end=end), size, orders.along, stretch=stretch)
    h = outline.sample(spans, lobatto_nodes(orders.along))
    lengths = spans[:, 1] - spans[:, 0]
    along = _degrees_along(h, lengths, size, orders, stretch)
    through = _degrees_through(h, spans, orders, stretch)
    thickness = {p: outline.sample(spans, lobatto_nodes(p)) for p in set(along.tolist())}
    columns = [
        Column(
            start,
            stop - start,
            p,
            thickness[p][k],
            _layering(ring_levels(corners, start, stop), degree, orders.through + LAYERED),
        )
        for k, ((start, stop), p, degree) in enumerate(
            zip(spans.tolist(), along.tolist(), through.tolist(), strict=True)
        )
    ]
    inner = [join(left, right) for left, right in pairwise(columns)]
    first = Seam(float(columns[0].thickness[0]), columns[0].layering)
    last = Seam(float(columns[-1].thickness[-1]), columns[-1].layering)
    return Mesh(tuple(columns), (first, *inner, last), half)


def _degrees_along(
    h: Array, lengths: Array, size: float, orders: Orders, stretch: float
) -> NDArray[np.intp]:
    """Degree along x of each column: less in short ones, but not where stress gathers.

    Where layers are steep, a field that varies only with z has the degree of the thickness along
    x too: too few nodes would lock it.
    """
    along = orders.along
    degree = np.clip(np.ceil(along * np.sqrt(lengths / size) - 0.5), 2, along)
    turn = stretch * hollowness(h, lengths)
    middle = h[:, [0, along // 2, -1]]
    steep = np.abs(np.diff(middle, axis=1)).max(axis=1) > LOCKING * lengths / 2
    degree[(turn > TURNING[0]) | steep] = along
    return (degree + (turn > TURNING[1])).astype(int)


def _degrees_through(h: Array, spans: Array, orders: Orders, stretch: float) -> NDArray[np.intp]:
    """Degree through the thickness of each column: more at and near steep places and hollows."""
    lengths = spans[:, 1] - spans[:, 0]
    slope = stretch * np.abs(slopes(h, lengths)).max(axis=1)
    sharpness = stretch**2 * hollowness(h, lengths) / lengths * h.min(axis=1)
    doublings = np.floor(np.log2(np.maximum(sharpness, 1e-3) / SHARP_HOLLOW))
    extra = np.clip(doublings + orders.hollow, 0, orders.hollow + 4)
    extra = np.maximum(extra, np.searchsorted(STEEP, slope))
    start, stop = spans.T
    gap = np.maximum(np.maximum(start[:, None] - stop, start - stop[:, None]), 0.0)
    near = np.ceil(gap / (FADE * stretch * h.min(axis=1)) + 1e-6)
    np.fill_diagonal(near, 0.0)
    return np.asarray(orders.through + np.maximum(extra - near, 0.0).max(axis=1)).astype(int)


def _layering(breaks: Sequence[float], through: int, most: int) -> Layering:
    """Layers between the given levels, thin ones of lower degree."""
    through = min(through, most) if len(breaks) > 2 else through
    degrees = (
        min(through, max(3, math.ceil(through * (bottom - top) ** 0.15 - 0.25)))
        for top, bottom in pairwise(breaks)
    )
    return Layering(tuple(breaks), tuple(degrees))
