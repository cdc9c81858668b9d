"""Where the elements lie, and where along the bar the section is asked for."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barmodel.beam.element import Reference, reference
from barmodel.undercut import Profile
from barmodel.undercut.piece import Array, Values

ORDER = 4
"""Polynomial order of the elements."""
ELEMENTS = 12
"""Elements along a bar without kinks; kinks and walls only add to it."""


@dataclass(frozen=True, slots=True, eq=False)
class Mesh:
    """Elements whose edges include every edge of the profile.

    Attributes
    ----------
    edges : ndarray, shape (n + 1,)
        Element edges, complex while a derivative is being taken. [m]
    segment : ndarray of int, shape (n,)
        Segment of the profile that holds each element.
    reference : Reference
        Basis and quadrature of every element.
    """

    edges: Values
    segment: np.ndarray
    reference: Reference

    @property
    def half(self) -> Values:
        """Half length of each element, shape (n,). [m]"""
        return np.diff(self.edges) / 2

    @property
    def nodes(self) -> Array:
        """Positions of all nodes, shape (p n + 1,). [m]"""
        inside = self.edges[:-1, None] + self.half[:, None] * (1.0 + self.reference.nodes[:-1])
        return np.append(inside.real, self.edges[-1].real)

    @property
    def points(self) -> Values:
        """Quadrature points, shape (n, q). [m]"""
        return self.edges[:-1, None] + self.half[:, None] * (1.0 + self.reference.points)

    def thickness(self, profile: Profile) -> Values:
        """Thickness at the quadrature points, shape (n, q). [m]"""
        x = self.points
        return profile.thickness(x, np.broadcast_to(self.segment[:, None], x.shape))


def build_mesh(profile: Profile, *, elements: int = ELEMENTS, order: int = ORDER) -> Mesh:
    """Divide the bar evenly inside every segment, no element longer than length/`elements`.

    The division depends on the real geometry only, so that a perturbed profile (complex edges)
    gets the very same elements, moved.
    """
    lengths = np.diff(profile.edges)
    longest = profile.length / elements
    count = np.maximum(np.ceil(lengths / longest - 1e-6).astype(int), 1)
    moving = profile.moving_edges
    fractions = [np.arange(n) / n for n in count]
    starts = [a + (b - a) * f for a, b, f in zip(moving, moving[1:], fractions, strict=False)]
    edges = np.append(np.concatenate(starts), moving[-1])
    return Mesh(edges, np.repeat(np.arange(count.size), count), reference(order))
