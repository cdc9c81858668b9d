"""The underside as the mesh sees it: bays between walls, and where columns must end."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise
from typing import TypeAlias

import numpy as np

from barmodel.solid.basis import Array, lagrange, lobatto_nodes
from barmodel.solid.underside import Underside

SHORTEST = 1e-5
"""Bays shorter than this are passed over. [m]"""
LEAST_SHARE = 1 / 8
"""Slight kinks are passed over where columns would be shorter than this share of the size. [1]"""
SLIGHT = 0.35
"""Change of slope at a kink that may be passed over. [1]"""
FOLLOWS = 3e-4
"""Largest difference between interpolant and true thickness, as a share of it. [1]"""
STEADY = 1.35
"""Largest ratio of the thicknesses inside one column. [1]"""
TURN = 2.0
"""Largest change of slope inwards inside one column, times √(E/G). [1]"""

Ring: TypeAlias = tuple[float, float]
"""Where a ring begins or ends, and how far that is from its corner. [m]"""


class Outline:
    """The underside from x = 0 to `end`, in bays between walls.

    Parameters
    ----------
    underside : Underside
        Thickness along the bar.
    end : float
        Where to stop: the length, or half of it. [m]
    """

    def __init__(self, underside: Underside, end: float) -> None:
        self.underside, self.end = underside, end
        edges = underside.edges
        self.edges = np.append(edges[edges < end - SHORTEST], end)
        walls = [w for w in underside.walls if SHORTEST < w < end - SHORTEST]
        self.bays = [0.0]
        for wall in walls:
            if wall - self.bays[-1] > SHORTEST:
                self.bays.append(float(wall))
        self.bays.append(end)

    def sample(self, spans: Array, s: Array) -> Array:
        """Thickness at the same relative places of several spans, ends from inside.

        Parameters
        ----------
        spans : ndarray, shape (n, 2)
            Start and stop of each. [m]
        s : ndarray, shape (m,)
            Places in [0, 1].

        Returns
        -------
        ndarray, shape (n, m)
            [m]
        """
        start, length = spans[:, :1], np.diff(spans, axis=1)
        inside = start + length * np.clip(s, 1e-3, 1.0 - 1e-3)
        return self.underside.thickness(start + length * s, self.underside.segment_of(inside))

    def _stretches(self, rings: Sequence[Ring], size: float) -> list[tuple[float, float]]:
        """Stretches between the edges that count: walls, kinks, and rings where there is room."""
        out = []
        for start, stop in pairwise(self.bays):
            kept = [start, stop]
            for x in (float(x) for x in self.edges if start < x < stop):
                gap = min(abs(x - other) for other in kept)
                if gap > LEAST_SHARE * size or (gap > SHORTEST and not self._slight(x)):
                    kept.append(x)
            for x, reach in sorted(ring for ring in rings if start < ring[0] < stop):
                if min(abs(x - other) for other in kept) > max(0.2 * reach, SHORTEST):
                    kept.append(x)
            out += list(pairwise(sorted(kept)))
        return out

    def _slight(self, x: float) -> bool:
        """Whether the kink at x is too slight to need a column's end."""
        step = 1e-5
        h = self.underside.thickness(np.array([x - step, x, x + step]))
        return bool(abs(h[2] - 2 * h[1] + h[0]) < SLIGHT * step)

    def spans(self, rings: Sequence[Ring], size: float, order: int, *, stretch: float) -> Array:
        """Ends of all columns, shape (columns, 2). [m]

        Parameters
        ----------
        rings : sequence of (float, float)
            Where the rings around corners begin or end, and how far from their corner. [m]
        size : float
            Ordinary length of a column. [m]
        order : int
            Degree of the polynomials that are to follow the thickness.
        stretch : float
            √(E/G), by which a slope is steeper to the stress than to the eye. [1]
        """
        out = []
        for a, b in self._halved(self._stretches(rings, size), order, size, stretch):
            cuts = np.linspace(a, b, max(1, math.ceil((b - a) / size - 1e-6)) + 1)
            out += list(pairwise(cuts.tolist()))
        return np.array(out)

    def _halved(
        self, stretches: list[tuple[float, float]], order: int, size: float, stretch: float
    ) -> list[tuple[float, float]]:
        """Halve stretches until polynomials of `order` follow the thickness, and it is steady."""
        nodes = lobatto_nodes(order)
        between = (nodes[1:] + nodes[:-1]) / 2
        places = np.concatenate([nodes, between])
        shortest = min(size / 32, 2e-4)
        done: list[list[float]] = []
        open_ = np.array(stretches)
        while open_.size:
            h = self.sample(open_, places)
            h, true = h[:, : order + 1], h[:, order + 1 :]
            miss = np.abs(h @ lagrange(order, between)[0].T - true).max(axis=1)
            least, most = h.min(axis=1), h.max(axis=1)
            length = np.diff(open_, axis=1)[:, 0]
            turn = stretch * hollowness(h, length)
            bad = (miss > FOLLOWS * least) | (most > STEADY * least) | (turn > TURN)
            bad &= length > 2 * shortest
            done += open_[~bad].tolist()
            left, right = open_[bad, 0], open_[bad, 1]
            middle = (left + right) / 2
            open_ = np.concatenate([np.stack([left, middle], 1), np.stack([middle, right], 1)])
        return [(a, b) for a, b in sorted(done)]


def hollowness(h: Array, length: Array) -> Array:
    """By how much the underside turns inwards over each column: change of slope. [1]

    Parameters
    ----------
    h : ndarray, shape (n, order + 1)
        Thickness at the Gauss–Lobatto nodes of columns. [m]
    length : ndarray, shape (n,)
        [m]

    Examples
    --------
    >>> x = lobatto_nodes(4)
    >>> hollowness(np.stack([0.01 + 3 * x**2, 0.01 - 3 * x**2]), np.ones(2)).round(1).tolist()
    [5.0, 0.0]
    """
    return np.asarray(np.maximum(np.diff(slopes(h, length), axis=1), 0.0).sum(axis=1))


def slopes(h: Array, length: Array) -> Array:
    """Slopes between neighbouring nodes of columns; arguments as for `hollowness`. [1]"""
    nodes = lobatto_nodes(h.shape[1] - 1)
    return np.asarray(np.diff(h, axis=1) / np.diff(nodes) / length[:, None])
