"""Where the elements lie, and where along the bar the section is asked for."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from barmodel.beam.element import Reference, reference
from barmodel.beam.spread import Spread
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
    piece : ndarray of int, shape (n,), optional
        Piece of the carrying thickness that holds each element.
    half : ndarray, shape (n,)
        Half length of each element. [m]
    """

    edges: Values
    segment: np.ndarray
    reference: Reference
    piece: np.ndarray | None = None
    half: Values = field(init=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "half", np.diff(self.edges) / 2)

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


def build_mesh(spread: Spread, *, elements: int = ELEMENTS, order: int = ORDER) -> Mesh:
    """Divide the bar evenly inside every piece, no element longer than length/`elements`.

    The division depends on the real geometry only, so that a perturbed spread (complex edges)
    gets the very same elements, moved.
    """
    lengths = np.diff(spread.edges.real)
    longest = spread.edges[-1].real / elements
    count = np.maximum(np.ceil(lengths / longest - 1e-6).astype(int), 1)
    piece = np.repeat(np.arange(count.size), count)
    inside = np.arange(piece.size) - np.repeat(np.cumsum(count) - count, count)
    step = np.diff(spread.edges) / count
    edges = np.append(spread.edges[piece] + step[piece] * inside, spread.edges[-1])
    return Mesh(edges, spread.segment[piece], reference(order), piece)


def moved_mesh(mesh: Mesh, before: Spread, after: Spread) -> Mesh:
    """Carry the elements of `mesh`, made for `before`, along with the pieces of `after`."""
    assert mesh.piece is not None
    piece = mesh.piece
    length = np.diff(before.edges.real)[piece]
    start = (mesh.edges[:-1].real - before.edges[piece].real) / length
    edges = after.edges[piece] + start * np.diff(after.edges)[piece]
    return Mesh(np.append(edges, after.edges[-1]), mesh.segment, mesh.reference, piece)
