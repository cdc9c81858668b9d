"""Where the elements lie, and where along the bar the section is asked for."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from barmodel.beam.element import Reference, reference
from barmodel.beam.spread import FREE, Spread
from barmodel.undercut import Profile
from barmodel.undercut.piece import Array, Values

ORDER = 4
"""Polynomial order of the elements."""
ELEMENTS = 12
"""Elements along a bar without kinks; kinks and walls only add to it."""
_CURVED = 0.3
"""Pieces longer than this share of the longest element get one more than that asks for."""
_SMALL = 0.15
"""Pieces shorter than this share are not divided for a fading slope."""


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


def build_mesh(spread: Spread, *, elements: int = ELEMENTS) -> Mesh:
    """Divide every piece evenly, no element longer than length/`elements`.

    Where h may curve, all but the shortest pieces get one element more than that asks for. Where
    a line of the carrying thickness runs out, the stretch in which its slope fades gets
    its own. The division depends on the real geometry only, so that a perturbed spread (complex
    edges) gets the very same elements, moved.
    """
    real = spread.edges.real
    longest = float(real[-1]) / elements
    piece, edges = [], []
    for number, (start, end) in enumerate(pairwise(real.tolist())):
        straight = bool(spread.line[number] != FREE)
        shares = _shares((end - start) / longest, straight, spread.fade(number))
        moving = spread.edges[number] + shares * (spread.edges[number + 1] - spread.edges[number])
        edges.append(moving)
        piece += [number] * shares.size
    everything = np.append(np.concatenate(edges), spread.edges[-1])
    owner = np.array(piece)
    return Mesh(everything, spread.segment[owner], reference(ORDER), owner)


def _shares(size: float, straight: bool, fade: float) -> Array:
    """Where the elements of a piece begin, as shares of it.

    Parameters
    ----------
    size : float
        Length of the piece over that of the longest element. [1]
    straight : bool
        Whether the piece follows a line.
    fade : float
        Share of the piece that gets an element of its own: at its end, or at its start if
        negative; 0 for none. [1]
    """
    count = math.ceil(size - 1e-6) + (1 if size > _CURVED and not straight else 0)
    if fade == 0.0 or size < _SMALL:
        return np.arange(count) / count
    rest = np.arange(count) / count * (1.0 - abs(fade))
    return np.append(rest, 1.0 - fade) if fade > 0.0 else np.append(0.0, rest - fade)


def moved_mesh(mesh: Mesh, before: Spread, after: Spread) -> Mesh:
    """Carry the elements of `mesh`, made for `before`, along with the pieces of `after`."""
    assert mesh.piece is not None
    piece = mesh.piece
    length = np.diff(before.edges.real)[piece]
    start = (mesh.edges[:-1].real - before.edges[piece].real) / length
    edges = after.edges[piece] + start * np.diff(after.edges)[piece]
    return Mesh(np.append(edges, after.edges[-1]), mesh.segment, mesh.reference, piece)
