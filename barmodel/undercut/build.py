"""From a list of cuts to the profile of a bar: kinks, walls and crossings become edges."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import lru_cache, partial
from typing import TypeAlias

import numpy as np

from barmodel.errors import GeometryError, InputError
from barmodel.undercut.piece import COMPLEX_STEP, Piece, Values
from barmodel.undercut.profile import SAME_PLACE, SAMPLES, Layer, Profile
from barmodel.undercut.shapes import Shape
from barmodel.units import MM

DepthFunction: TypeAlias = Callable[[Values], Values]

_TOUCHING = 1e-12
"""Depths that differ by less are the same. [m]"""


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
        As for `build_profile`. [m], [m]
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


def _layer(shape: Shape, pieces: tuple[Piece, ...], length: complex) -> Layer:
    axis = length / 2 if shape.axis is None else shape.axis
    images = tuple(piece.reflected(axis) for piece in pieces) if shape.mirror else ()
    return Layer(pieces + images, shape.measured_from == "blank")


def _assemble(length: complex, stock: complex, layers: Sequence[Layer]) -> Profile:
    ends = [end for layer in layers for piece in layer.pieces for end in (piece.start, piece.end)]
    edges = _merge(ends, length)
    profile = _with_edges(edges, stock, layers)
    crossings = _crossings(profile)
    return _with_edges(_merge([*ends, *crossings], length), stock, layers) if crossings else profile


def _with_edges(edges: Values, stock: complex, layers: Sequence[Layer]) -> Profile:
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
            x = left + (right - left) * SAMPLES
            gap = (first(x) - second(x)).real
            apart = np.flatnonzero(np.abs(gap) > _TOUCHING)  # cuts may also touch, or coincide
            turns = np.flatnonzero(gap[apart[:-1]] * gap[apart[1:]] < 0.0)
            found += [_root(first, second, x[apart[i]], x[apart[i + 1]]) for i in turns]
    return found


def _rivals(profile: Profile, index: int) -> Iterator[tuple[DepthFunction, DepthFunction]]:
    """Pairs of depth functions of which the larger counts in segment `index`."""
    for number, (layer, covers) in enumerate(zip(profile.layers, profile.covers, strict=True)):
        active = [
            piece.depth for piece, cover in zip(layer.pieces, covers, strict=True) if cover[index]
        ]
        yield from itertools.pairwise(active)
        if layer.from_blank and number and active:
            earlier = profile.before(number)
            yield partial(earlier.depth, segment=index), active[0]


def _root(first: DepthFunction, second: DepthFunction, left: float, right: float) -> complex:
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
        ).if_thinner(least > 0.0)
