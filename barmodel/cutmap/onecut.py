"""What a single cut at each place would do for all tuned modes together; nothing is drawn here."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from barmodel.undercut.piece import Array

DEEPEST_MM = 1.0
"""Deepest single cut looked at; beyond it the effect of a light cut no longer just adds up. [mm]"""

AS_GOOD = 0.002
"""Places so much alike are equally good: of a mirrored pair the left one is named. [1]"""
LEAST_USE = 0.005
"""Cuts that bring the modes less nearer than this are of no use. [1]"""
TRIFLE = 0.1
"""What a mode that is flat already may still fall by a cut for another one. [cents]"""


@dataclass(frozen=True, slots=True, eq=False)
class OneCut:
    """The best single cut at each station.

    Attributes
    ----------
    nearer : ndarray, shape (n,)
        How much nearer to target it brings the tuned modes together: 0 not at all, 1 home. [1]
    depth_mm : ndarray, shape (n,)
        How deep it is. [mm]
    in_tune : bool
        Whether all tuned modes are within their limits, so that nothing is to be cut.
    """

    nearer: Array
    depth_mm: Array
    in_tune: bool = False

    @property
    def best(self) -> int | None:
        """Station of the best place, of those as good the first; None where no cut helps."""
        if self.nearer.size == 0 or self.nearer.max() < LEAST_USE:
            return None
        return int(np.flatnonzero(self.nearer > self.nearer.max() - AS_GOOD)[0])


def lowest(distance: Array, limits: Sequence[tuple[float, float]]) -> Array:
    """How low each mode may be after a cut: flat of its tolerance only if it is so already.

    Examples
    --------
    >>> lowest(np.array([5.0, -8.0]), [(-1.0, 3.0), (-3.0, 6.0)])
    array([-1. , -8.1])
    """
    low = np.array(limits, dtype=float).reshape(-1, 2)[:, 0]
    return np.where(distance >= low, low, distance - TRIFLE)


def one_cut(
    cents_per_mm: Array,
    distance: Array,
    limits: Sequence[tuple[float, float]],
    room_mm: Array | None = None,
) -> OneCut:
    """Find the best depth at each place, and what it is good for.

    For shifts e per millimetre and distances d, a cut of depth a leaves |d + a e|; a = −e·d/|e|²
    leaves least. No cut is deeper than `DEEPEST_MM`, nor so deep that a mode ends flat of its
    tolerance, or one that is flat falls by more than `TRIFLE`.

    Parameters
    ----------
    cents_per_mm : ndarray, shape (k, n)
        Shifts. [cents/mm]
    distance : ndarray, shape (k,)
        Modes above target; NaN leaves a mode out. [cents]
    limits : sequence of (float, float), k of them
        Lowest and highest distance that count as in tune. [cents]
    room_mm : ndarray, shape (n,), optional
        Depth that the bar has to give at each place. [mm]

    Examples
    --------
    >>> found = one_cut(np.array([[-10.0, 0.0]]), np.array([5.0]), [(-1.0, 3.0)])
    >>> found.nearer, found.depth_mm
    (array([1., 0.]), array([0.5, 0. ]))
    """
    counted = np.isfinite(distance)
    e, d = np.asarray(cents_per_mm, dtype=float)[counted], distance[counted]
    limits = [limit for limit, known in zip(limits, counted, strict=False) if known]
    low, high = np.array(limits, dtype=float).reshape(-1, 2).T
    none = np.zeros(np.shape(cents_per_mm)[1])
    if ((d >= low) & (d <= high)).all():  # a bar at home is to be left alone
        return OneCut(none, none, in_tune=bool(counted.any()))
    e = np.nan_to_num(e)  # where a cut cannot be made it does nothing
    power = np.sum(e * e, axis=0)
    wanted = np.divide(-d @ e, power, out=none.copy(), where=power > 0.0)
    room = (d - lowest(d, limits))[:, None]
    most = np.divide(room, -e, out=np.full_like(e, np.inf), where=e < 0.0).min(axis=0)
    there = np.inf if room_mm is None else room_mm
    depth = np.clip(wanted, 0.0, np.minimum(np.minimum(DEEPEST_MM, most), there))
    left = np.sqrt(np.sum((d[:, None] + depth * e) ** 2, axis=0))
    return OneCut(np.asarray(1.0 - left / np.sqrt(d @ d)), depth)
