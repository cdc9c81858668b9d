"""The underside as the mesh sees it: bays between walls, and where columns must end."""

from __future__ import annotations

import math
from collections.abc import Sequence
from itertools import pairwise

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

    def thickness(self, x: Array) -> Array:
        """Thickness on one column, its end values from inside. [m]"""
        inside = np.clip(x, x[0] + 1e-3 * (x[-1] - x[0]), x[-1] - 1e-3 * (x[-1] - x[0]))
        return self.underside.thickness(x, self.underside.segment_of(inside))

    def _stretches(self, rings: Sequence[float], size: float) -> list[tuple[float, float]]:
        """Stretches between the edges that count: walls, kinks, and rings where there is room."""
        out = []
        for start, stop in pairwise(self.bays):
            kept = [start, stop]
            for x in (float(x) for x in self.edges if start < x < stop):
                gap = min(abs(x - other) for other in kept)
                if gap > LEAST_SHARE * size or (gap > SHORTEST and not self._slight(x)):
                    kept.append(x)
            for x in sorted(x for x in rings if start < x < stop):
                room = 0.2 * min(abs(x - start), abs(stop - x))
                if min(abs(x - other) for other in kept) > max(room, SHORTEST):
                    kept.append(x)
            out += list(pairwise(sorted(kept)))
        return out

    def _slight(self, x: float) -> bool:
        """Whether the kink at x is too slight to need a column's end."""
        step = 1e-5
        h = self.underside.thickness(np.array([x - step, x, x + step]))
        return bool(abs(h[2] - 2 * h[1] + h[0]) < SLIGHT * step)

    def spans(self, rings: Sequence[float], size: float, order: int) -> list[tuple[float, float]]:
        """Ends of all columns.

        Parameters
        ----------
        rings : sequence of float
            Where the rings around corners begin and end. [m]
        size : float
            Ordinary length of a column. [m]
        order : int
            Degree of the polynomials that are to follow the thickness.
        """
        out = []
        for start, stop in self._stretches(rings, size):
            for a, b in self._halved(start, stop, order, shortest=min(size / 32, 2e-4)):
                cuts = np.linspace(a, b, max(1, math.ceil((b - a) / size - 1e-6)) + 1)
                out += list(pairwise(cuts.tolist()))
        return out

    def _halved(
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
                    *self._halved(start, middle, order, shortest=shortest),
                    *self._halved(middle, stop, order, shortest=shortest),
                ]
        return [(start, stop)]
