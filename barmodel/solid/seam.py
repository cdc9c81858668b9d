"""Where two columns meet: functions both can follow, whatever their layers.

The displacement is continuous although neighbours need not have the same layers, and wood below
the foot of a wall is free there.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from barmodel.solid.basis import Array, Layering
from barmodel.solid.column import Column

SAME_BREAK = 1e-7
"""Layers whose edges differ by less than this share of the thickness meet. [1]"""


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


def join(left: Column, right: Column) -> Seam:
    """Find the seam of two neighbours: their coarsest common functions.

    Breaks present on both sides, those of the taller side below the shorter one, and between them
    the lower degree: functions both sides can follow exactly.
    """
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
