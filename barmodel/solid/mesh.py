"""Division of the bar into columns.

Rules, in this order:

1. A column ends at every edge of the profile (kink, wall, loss of smoothness). Slight kinks that
   would make columns shorter than a fraction of the ordinary size are passed over: the column
   then follows the thickness through its own nodes (tables with a point every millimetre cost no
   more than tables with a point every few).
2. Columns end at the rings of each inner corner (`barmodel.solid.corners`) and have layers there.
3. Columns are halved until the interpolant follows the true thickness and the thickness changes
   little inside each, then divided to the ordinary size.
4. The order along x and the degrees of layers shrink with their size; degrees through the
   thickness grow where the underside is steep, there and in the next columns.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from barmodel.solid.basis import Array, Layering, lobatto_nodes
from barmodel.solid.column import Column
from barmodel.solid.corners import find_corners, ring_edges, ring_levels
from barmodel.solid.outline import Outline
from barmodel.solid.seam import Seam, join
from barmodel.solid.underside import underside_of
from barmodel.undercut import Profile

STEEP = 0.3
"""Columns whose underside is steeper get one degree more through, three times steeper two. [1]"""
LOCKING = 1.0
"""Columns whose underside is steeper have at least as many nodes along as through. [1]"""
NEIGHBOUR = 1 / 3
"""Share of a column's slope that counts for its neighbours. [1]"""


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
    corners = [corner for corner in corners if corner.x < end]
    outline = Outline(underside, end)
    spans = outline.spans(ring_edges(corners, end=end), size, orders.along)
    shapes = [_nodes(outline, start, stop, size, orders) for start, stop in spans]
    slopes = [
        float(np.abs(np.diff(h) / np.diff(lobatto_nodes(h.size - 1))).max() / (stop - start))
        for h, (start, stop) in zip(shapes, spans, strict=True)
    ]
    columns = []
    for k, (h, (start, stop)) in enumerate(zip(shapes, spans, strict=True)):
        nearby = NEIGHBOUR * max(slopes[max(k - 1, 0) : k + 2])
        slope = max(slopes[k], nearby)
        through = orders.through + (slope > STEEP) + (slope > 3 * STEEP)
        layering = _layering(ring_levels(corners, start, stop), through)
        columns.append(Column(start, stop - start, h.size - 1, h, layering))
    inner = [join(left, right) for left, right in pairwise(columns)]
    first = Seam(float(columns[0].thickness[0]), columns[0].layering)
    last = Seam(float(columns[-1].thickness[-1]), columns[-1].layering)
    return Mesh(tuple(columns), (first, *inner, last), half)


def _nodes(outline: Outline, start: float, stop: float, size: float, orders: Orders) -> Array:
    """Thickness at the nodes of one column, whose number goes with its length. [m]

    Where layers are steep, a field that varies only with z has the degree of the thickness along
    x too: fewer nodes than through the thickness would lock it.
    """
    along = orders.along
    order = min(along, max(2, math.ceil(along * math.sqrt((stop - start) / size) - 0.5)))
    ends = outline.thickness(np.array([start, (start + stop) / 2, stop]))
    if np.abs(np.diff(ends)).max() > LOCKING * (stop - start) / 2:
        order = max(order, orders.through + 2)
    return outline.thickness(start + (stop - start) * lobatto_nodes(order))


def _layering(breaks: Sequence[float], through: int) -> Layering:
    """Layers between the given levels, thin ones of lower degree."""
    degrees = (
        min(through, max(3, math.ceil(through * (bottom - top) ** 0.15 - 0.25)))
        for top, bottom in pairwise(breaks)
    )
    return Layering(tuple(breaks), tuple(degrees))
