"""Thickness along a bar after all its cuts, exact between kinks and walls.

The bar is divided at every place where the underside has a kink, a wall, or loses smoothness.
Inside such a segment the thickness is one smooth function, and it is asked for by segment, so
that the two sides of a wall never get mixed up.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from barmodel.errors import GeometryError
from barmodel.undercut.piece import Array, Piece, Values
from barmodel.units import MM

SAME_PLACE = 1e-7
"""Edges closer than this are one edge. [m]"""

SAMPLES = np.linspace(0.0, 1.0, 65)
"""Where in a segment a profile is looked at, as shares of its length. [1]"""
_GAUSS_X, _GAUSS_W = (np.asarray(a) for a in np.polynomial.legendre.leggauss(16))


@dataclass(frozen=True, slots=True)
class Layer:
    """One cut with its mirror image; where its pieces overlap the deepest counts."""

    pieces: tuple[Piece, ...]
    from_blank: bool


@dataclass(frozen=True, slots=True, eq=False)
class Profile:
    """Thickness h(x) of a bar, flat on top, cut from below.

    Attributes
    ----------
    stock : float
        Thickness of the uncut blank. [m]
    moving_edges : ndarray, shape (n + 1,)
        Edges of the segments, complex while a derivative is being taken. [m]
    layers : tuple of Layer
        The cuts, in the order they were made.
    covers : tuple of tuple of ndarray of bool, shape (n,)
        For each piece of each layer the segments it covers.

    Notes
    -----
    A profile built with a perturbed parameter p (see `perturbed_profile`) is complex: the
    imaginary part of an edge or of a thickness, over `COMPLEX_STEP`, is its derivative with
    respect to p. Everything else reads the real part.
    """

    stock: complex
    moving_edges: Values
    layers: tuple[Layer, ...]
    covers: tuple[tuple[np.ndarray, ...], ...]

    def before(self, number: int) -> Profile:
        """The underside after the first `number` cuts, with the edges of all of them."""
        return Profile(self.stock, self.moving_edges, self.layers[:number], self.covers[:number])

    @property
    def edges(self) -> Array:
        """Every kink, wall and loss of smoothness, both ends included, shape (n + 1,). [m]"""
        return np.asarray(self.moving_edges.real, dtype=float)

    @property
    def length(self) -> float:
        """Length of the bar. [m]"""
        return float(self.moving_edges[-1].real)

    def segment_of(self, x: Array) -> np.ndarray:
        """Segment that holds each position; at an edge the one to its right."""
        inner = self.edges[1:-1]
        return np.searchsorted(inner, np.asarray(x), side="right")

    def depth(self, x: Values, segment: np.ndarray | int | None = None) -> Values:
        """Depth cut away at positions x, shape as x. [m]"""
        x = np.asarray(x)
        where = self.segment_of(x.real) if segment is None else np.broadcast_to(segment, x.shape)
        depth = np.zeros(x.shape, dtype=np.result_type(x, self.moving_edges, float))
        for layer, covers in zip(self.layers, self.covers, strict=True):
            cut = np.zeros_like(depth)
            for piece, cover in zip(layer.pieces, covers, strict=True):
                inside = cover[where]
                if inside.any():
                    cut[inside] = _larger(cut[inside], piece.depth(x[inside]))
            depth = _larger(depth, cut) if layer.from_blank else depth + cut
        return depth

    def thickness(self, x: Values, segment: np.ndarray | int | None = None) -> Values:
        """Thickness h at positions x, shape as x. [m]

        Parameters
        ----------
        x : ndarray
            Positions along the bar, complex to take a derivative. [m]
        segment : ndarray of int or int, optional
            Segment whose side of an edge is meant; by default the one to the right.
        """
        return self.stock - self.depth(x, segment)

    @property
    def jumps(self) -> Array:
        """Thickness right minus left of each inner edge, shape (n − 1,). [m]"""
        inner = self.edges[1:-1]
        segment = np.arange(inner.size)
        right = self.thickness(inner, segment + 1)
        return np.asarray((right - self.thickness(inner, segment)).real, dtype=float)

    @property
    def walls(self) -> Array:
        """Positions where the thickness jumps. [m]"""
        return self.edges[1:-1][np.abs(self.jumps) > SAME_PLACE]

    @property
    def symmetric(self) -> bool:
        """Whether both halves are alike to a tenth of a micrometre."""
        edges = self.edges
        if not np.allclose(edges + edges[::-1], self.length, rtol=0.0, atol=2 * SAME_PLACE):
            return False
        x, segment = self._sampled()
        h = self.thickness(x, segment)
        return bool(np.abs(h - h[::-1, ::-1]).max() < SAME_PLACE)

    def least_thickness(self) -> tuple[float, float]:
        """Return the least thickness and where it is. [m], [m]"""
        x, segment = self._sampled()
        h = self.thickness(x, segment).real
        thinnest = np.unravel_index(int(h.argmin()), h.shape)
        return float(h[thinnest]), float(x[thinnest])

    def require_wood(self) -> None:
        """Refuse a profile that is cut through.

        Raises
        ------
        GeometryError
            With the place.
        """
        least, place = self.least_thickness()
        if least <= 0.0:
            raise GeometryError(
                f"the cuts go through the bar at x = {place / MM:.1f} mm; check depth and position"
            )

    def integral(self) -> float:
        """∫ h dx over the bar: the area of its side view. [m²]"""
        edges = self.edges
        half = np.diff(edges) / 2
        x = edges[:-1, None] + half[:, None] * (1.0 + _GAUSS_X)
        segment = np.broadcast_to(np.arange(half.size)[:, None], x.shape)
        h = self.thickness(x, segment).real
        return float(half @ (h @ _GAUSS_W))

    def _sampled(self) -> tuple[Array, np.ndarray]:
        """Positions in every segment, its ends included, and their segment numbers."""
        edges = self.edges
        x = edges[:-1, None] + np.diff(edges)[:, None] * SAMPLES
        return x, np.broadcast_to(np.arange(edges.size - 1)[:, None], x.shape)


def _larger(a: Values, b: Values) -> Values:
    """The larger by real part, keeping the derivative that belongs to it."""
    return np.where(b.real > a.real, b, a)
