"""Stations between the regular ones: where the underside bends much, and where one cut lies."""

from __future__ import annotations

import numpy as np

from barmodel.undercut.outline import underside
from barmodel.undercut.piece import Array
from barmodel.undercut.profile import Profile
from barmodel.units import MM

BENDS = 0.15 * MM
"""A straight line between two stations may miss the underside by so much. [m]"""
NEAREST = 2 * MM
"""Stations lie no nearer to each other than this. [m]"""
CUT = 0.001 * MM
"""Less than this is no cut. [m]"""


def where_it_bends(profile: Profile, every: float) -> tuple[float, ...]:
    """Places halfway between stations, and halfway again, until straight lines tell the underside.

    Walls do not count: between them it is told in one table, where they stand in another.

    Parameters
    ----------
    profile : Profile
    every : float
        Distance between stations. [m]

    Returns
    -------
    tuple of float
        From the nearer end, both halves together. [m]

    Examples
    --------
    >>> from barmodel.undercut import Arch
    >>> from barmodel.undercut.build import build_profile
    >>> arch = build_profile(0.26, 0.019, (Arch(start=0.01, end=0.25, depth=0.011, fullness=6),))
    >>> [round(1e3 * x, 1) for x in where_it_bends(arch, 0.01)]
    [15.0, 25.0]
    """
    x, h = _without_walls(profile)
    edges = profile.edges[1:-1]
    length, found = profile.length, set[float]()
    for start in np.arange(0.0, length / 2 - 1e-9, every):
        stop = min(float(start) + every, length / 2)
        for low, high in ((float(start), stop), (length - stop, length - float(start))):
            found |= {min(at, length - at) for at in _halved(x, h, edges, low, high)}
    return tuple(sorted({round(at, 9) for at in found}))


def _without_walls(profile: Profile) -> tuple[Array, Array]:
    """Underside with every jump taken out, so that what is left has no steps."""
    x, h = underside(profile)
    rise = np.diff(h)
    wall = np.diff(x) <= 0.0
    smooth = np.r_[h[0], h[0] + np.cumsum(np.where(wall, 0.0, rise))]
    kept = np.r_[True, ~wall]
    return x[kept], smooth[kept]


def _halved(x: Array, h: Array, edges: Array, low: float, high: float) -> list[float]:
    """Places to add between two stations."""
    if high - low < 2 * NEAREST:
        return []
    inside = edges[(edges > low) & (edges < high)]
    nodes = np.r_[low, inside, high]
    seen = (x > low) & (x < high)
    line = np.interp(x[seen], nodes, np.interp(nodes, x, h))
    if np.abs(h[seen] - line).max(initial=0.0) <= BENDS:
        return []
    middle = (low + high) / 2
    return [*_halved(x, h, edges, low, middle), middle, *_halved(x, h, edges, middle, high)]


def where_it_is_cut(x: Array, rest: Array) -> tuple[float, ...]:
    """Ends and middle of every narrow stretch that is to be cut.

    Parameters
    ----------
    x, rest : ndarray, shape (n,)
        Places along the bar, and wood to be cut away there. [m]

    Returns
    -------
    tuple of float
        From the nearer end. [m]
    """
    inside = np.r_[False, rest > CUT, False].astype(int)
    starts, ends = np.flatnonzero(np.diff(inside) == 1), np.flatnonzero(np.diff(inside) == -1) - 1
    found = set[float]()
    for first, last in zip(starts.tolist(), ends.tolist(), strict=True):
        low, high = float(x[max(first - 1, 0)]), float(x[min(last + 1, x.size - 1)])
        for at in (low, (low + high) / 2, high):
            found.add(round(min(at, float(x[-1]) - at), 5))
    return tuple(sorted(found))
