"""Thickness along a bar after all its cuts, exact between kinks and walls.

The bar is divided at every place where the underside has a kink, a wall, or loses smoothness.
Inside such a segment the thickness is one smooth function, and it is asked for by segment, so
that the two sides of a wall never get mixed up.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from barmodel.errors import GeometryError, InputError
from barmodel.undercut.piece import COMPLEX_STEP, Array, Piece, Values
from barmodel.undercut.shapes import Shape
from barmodel.units import MM

SAME_PLACE = 1e-7
"""Edges closer than this are one edge. [m]"""

_TOUCHING = 1e-12
"""Depths that differ by less are the same. [m]"""
_SAMPLES = np.linspace(0.0, 1.0, 65)
_GAUSS_X, _GAUSS_W = (np.asarray(a) for a in np.polynomial.legendre.leggauss(16))


@dataclass(frozen=True, slots=True)
class _Layer:
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

    Notes
    -----
    A profile built with a perturbed parameter p (see `perturbed_profile`) is complex: the
    imaginary part of an edge or of a thickness, over `COMPLEX_STEP`, is its derivative with
    respect to p. Everything else reads the real part.
    """

    stock: complex
    moving_edges: Values
    _layers: tuple[_Layer, ...]
    _covers: tuple[tuple[np.ndarray, ...], ...]

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
        for layer, covers in zip(self._layers, self._covers, strict=True):
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

    def slope(self, x: Array, segment: np.ndarray | int | None = None) -> Array:
        """Slope dh/dx at positions x, shape as x. [1]"""
        x = np.asarray(x, dtype=float)
        where = self.segment_of(x) if segment is None else segment
        step = self.thickness(x + 1j * COMPLEX_STEP, where)
        return np.asarray(step.imag / COMPLEX_STEP, dtype=float)

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

    def integral(self, power: int = 1) -> float:
        """∫ h^power dx over the bar. [m^(power + 1)]"""
        edges = self.edges
        half = np.diff(edges) / 2
        x = edges[:-1, None] + half[:, None] * (1.0 + _GAUSS_X)
        segment = np.broadcast_to(np.arange(half.size)[:, None], x.shape)
        h = self.thickness(x, segment).real
        return float(half @ (h**power @ _GAUSS_W))

    def _sampled(self) -> tuple[Array, np.ndarray]:
        """Positions in every segment, its ends included, and their segment numbers."""
        edges = self.edges
        x = edges[:-1, None] + np.diff(edges)[:, None] * _SAMPLES
        return x, np.broadcast_to(np.arange(edges.size - 1)[:, None], x.shape)


def _larger(a: Values, b: Values) -> Values:
    """The larger by real part, keeping the derivative that belongs to it."""
    return np.where(b.real > a.real, b, a)


@lru_cache(maxsize=256)
def build_profile(length: float, stock: float, undercut: tuple[Shape, ...]) -> Profile:
    """Put the cuts of `undercut`, in order, into the underside of a blank.

    Parameters
    ----------
    length, stock : float
        Length and thickness of the blank. [m]
    undercut : tuple of Shape
        Cuts in the order they are made. What lies outside the bar is ignored here;
        `check_undercut` refuses it where a maker gives it.

    Examples
    --------
    >>> from barmodel.undercut.shapes import Pocket
    >>> bar = build_profile(0.4, 0.022, (Pocket(start=0.1, end=0.3, depth=0.01),))
    >>> bar.walls.tolist(), round(bar.integral(), 6)
    ([0.1, 0.3], 0.0068)
    """
    layers = [_layer(shape, shape.pieces(), length) for shape in undercut]
    return _assemble(length, stock, layers)


def perturbed_profile(
    length: float,
    stock: float,
    undercut: tuple[Shape, ...],
    parameter: tuple[int, str] | str,
) -> Profile:
    """Build the profile with one parameter given an imaginary step, for exact derivatives.

    Parameters
    ----------
    length, stock, undercut
        As for `build_profile`.
    parameter : (int, str) or "length" or "stock"
        Which cut and which of its `parameters`; or the length or thickness of the blank.
    """
    moving_length = length + 1j * COMPLEX_STEP if parameter == "length" else length + 0j
    moving_stock = stock + 1j * COMPLEX_STEP if parameter == "stock" else stock + 0j
    index, name = parameter if isinstance(parameter, tuple) else (-1, "")
    if isinstance(parameter, str) and parameter not in ("length", "stock"):
        raise InputError(
            f"parameter {parameter!r} is unknown; use 'length', 'stock' or (cut, name)"
        )
    layers = [
        _layer(shape, shape.pieces(perturb=name if i == index else None), moving_length)
        for i, shape in enumerate(undercut)
    ]
    return _assemble(moving_length, moving_stock, layers)


def _layer(shape: Shape, pieces: tuple[Piece, ...], length: complex) -> _Layer:
    axis = length / 2 if shape.axis is None else shape.axis
    images = tuple(piece.reflected(axis) for piece in pieces) if shape.mirror else ()
    return _Layer(pieces + images, shape.measured_from == "blank")


def _assemble(length: complex, stock: complex, layers: Sequence[_Layer]) -> Profile:
    ends = [end for layer in layers for piece in layer.pieces for end in (piece.start, piece.end)]
    edges = _merge(ends, length)
    profile = _with_edges(edges, stock, layers)
    crossings = _crossings(profile)
    return _with_edges(_merge([*ends, *crossings], length), stock, layers) if crossings else profile


def _with_edges(edges: Values, stock: complex, layers: Sequence[_Layer]) -> Profile:
    middles = (edges[:-1].real + edges[1:].real) / 2
    covers = tuple(
        tuple((piece.start.real < middles) & (middles < piece.end.real) for piece in layer.pieces)
        for layer in layers
    )
    return Profile(stock, edges, tuple(layers), covers)


def _merge(places: Iterable[complex], length: complex) -> Values:
    """Sort the places inside the bar, join those that coincide, add both ends.

    Of coinciding places the one that moves is kept, so that its derivative survives.
    """
    inside = [p for p in places if SAME_PLACE < p.real < length.real - SAME_PLACE]
    merged: list[complex] = [0.0]
    for place in sorted(inside, key=lambda p: p.real):
        if place.real - merged[-1].real > SAME_PLACE:
            merged.append(place)
        elif place.imag != 0.0:
            merged[-1] = place
    edges = np.array([*merged, length])
    return edges if isinstance(length, complex) else edges.real


def _crossings(profile: Profile) -> list[complex]:
    """Places inside segments where the deeper of two overlapping cuts changes."""
    found: list[complex] = []
    for index, (left, right) in enumerate(zip(profile.edges, profile.edges[1:], strict=False)):
        for first, second in _rivals(profile, index):
            x = left + (right - left) * _SAMPLES
            gap = (first(x) - second(x)).real
            apart = np.flatnonzero(np.abs(gap) > _TOUCHING)  # cuts may also touch, or coincide
            turns = np.flatnonzero(gap[apart[:-1]] * gap[apart[1:]] < 0.0)
            found += [_root(first, second, x[apart[i]], x[apart[i + 1]]) for i in turns]
    return found


def _rivals(profile: Profile, index: int):  # type: ignore[no-untyped-def]
    """Pairs of depth functions of which the larger counts in segment `index`."""
    for number, (layer, covers) in enumerate(zip(profile._layers, profile._covers, strict=True)):
        active = [
            piece.depth for piece, cover in zip(layer.pieces, covers, strict=True) if cover[index]
        ]
        yield from itertools.pairwise(active)
        if layer.from_blank and number and active:
            before = Profile(
                profile.stock,
                profile.moving_edges,
                profile._layers[:number],
                profile._covers[:number],
            )
            yield (lambda x, before=before: before.depth(x, index)), active[0]


def _root(first, second, left: float, right: float) -> complex:  # type: ignore[no-untyped-def]
    """Where first = second; one complex Newton step adds how the crossing moves."""
    from scipy.optimize import brentq  # few undercuts cross; a third of a second to load

    def gap(x: complex) -> complex:
        at = np.array([x])
        return complex((first(at) - second(at))[0])

    x = float(brentq(lambda x: gap(x).real, left, right, xtol=1e-12))
    slope = gap(x + 1j * COMPLEX_STEP).imag - gap(x).imag
    return x if slope == 0.0 else x - 1j * gap(x).imag / (slope / COMPLEX_STEP)


def check_undercut(
    length: float, stock: float, undercut: tuple[Shape, ...], *, keep: float
) -> None:
    """Refuse cuts that leave the bar or leave too little of it.

    Parameters
    ----------
    length, stock : float
        Length and thickness of the blank. [m]
    undercut : tuple of Shape
        Cuts in order.
    keep : float
        Thickness that must remain everywhere. [m]

    Raises
    ------
    GeometryError
        Naming the cut, the place and what would do.
    """
    for number, shape in enumerate(undercut, start=1):
        start, end = shape.extent
        if start < -SAME_PLACE or end > length + SAME_PLACE:
            raise GeometryError(
                f"cut {number} ({type(shape).__name__.lower()}) runs from {start / MM:g} to "
                f"{end / MM:g} mm, but the bar from 0 to {length / MM:g} mm; keep it on the bar"
            )
    least, place = build_profile(length, stock, undercut).least_thickness()
    if least < keep - SAME_PLACE:
        through = "goes through the bar" if least <= 0.0 else f"leaves {least / MM:.2f} mm"
        raise GeometryError(
            f"undercut {through} at x = {place / MM:.1f} mm; at least {keep / MM:.2f} mm must "
            "remain; reduce the depth or set another least thickness"
        )
