"""Polynomials: nodes, shape functions and the small reference matrices everything is built from.

Three one-dimensional bases span the solid:

* along x, Lagrange polynomials on Gauss–Lobatto nodes of [0, 1], one set per column;
* through the thickness, t in [0, 1] from the flat top to the underside, Lagrange polynomials on
  one or more *layers* (see `Layering`), continuous where layers meet;
* across the width, η = 2y/b in [-1, 1], Legendre polynomials of one parity per displacement.

All integrals in t and y are exact; they are computed once and kept.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise
from typing import Any

import numpy as np
from numpy.polynomial import legendre
from numpy.typing import NDArray

Array = NDArray[np.float64]


@lru_cache(maxsize=64)
def lobatto_nodes(order: int) -> Array:
    """Gauss–Lobatto nodes of a polynomial of degree `order` on [0, 1], shape (order + 1,).

    The ends and the zeros of P′_order; interpolation there is stable at any degree.

    Examples
    --------
    >>> lobatto_nodes(2).tolist()
    [0.0, 0.5, 1.0]
    """
    inner = np.asarray(legendre.legroots(legendre.legder(np.eye(order + 1)[order])))
    return _frozen(np.concatenate([[0.0], (1.0 + np.sort(np.real(inner))) / 2, [1.0]]))


@lru_cache(maxsize=64)
def gauss_rule(points: int) -> tuple[Array, Array]:
    """Gauss–Legendre points and weights on [0, 1], exact to degree 2·points − 1."""
    x, w = legendre.leggauss(points)
    return _frozen((1.0 + x) / 2), _frozen(w / 2)


def lagrange(order: int, x: Array) -> tuple[Array, Array]:
    """Lagrange polynomials on the Gauss–Lobatto nodes of [0, 1] and their derivatives at `x`.

    Parameters
    ----------
    order : int
        Degree.
    x : ndarray, shape (n,)
        Points, inside [0, 1] or not.

    Returns
    -------
    values, derivatives : ndarray, shape (n, order + 1)

    Examples
    --------
    >>> values, derivatives = lagrange(3, np.array([0.3]))
    >>> bool(np.isclose(values.sum(), 1.0) and np.isclose(derivatives.sum(), 0.0))  # everywhere
    True
    """
    values = legendre.legvander(2.0 * np.asarray(x) - 1.0, order) @ _to_lagrange(order)[0]
    return values, values @ _to_lagrange(order)[1]


@lru_cache(maxsize=64)
def _to_lagrange(order: int) -> tuple[Array, Array]:
    """Lagrange from Legendre polynomials, and derivatives at the nodes from values there."""
    nodes = 2.0 * lobatto_nodes(order) - 1.0
    to_lagrange = np.linalg.inv(legendre.legvander(nodes, order))
    slopes = np.stack(
        [legendre.legval(nodes, legendre.legder(row)) for row in to_lagrange.T], axis=-1
    )
    return _frozen(to_lagrange), _frozen(2.0 * slopes)


@dataclass(frozen=True, slots=True)
class Layering:
    """Piecewise polynomials through the thickness, continuous over t in [0, 1].

    Attributes
    ----------
    breaks : tuple of float
        Where layers meet, from 0 (top) to 1 (underside).
    degrees : tuple of int
        Polynomial degree of each layer.
    """

    breaks: tuple[float, ...]
    degrees: tuple[int, ...]

    @property
    def size(self) -> int:
        """Number of functions."""
        return sum(self.degrees) + 1

    @property
    def nodes(self) -> Array:
        """Node of each function, shape (size,)."""
        return _layer_nodes(self)

    def values(self, t: Array) -> Array:
        """Functions at `t` in [0, 1], shape (n, size)."""
        return self._evaluate(t, 0)

    def slopes(self, t: Array) -> Array:
        """Derivatives with respect to t, one-sided (from above) where layers meet."""
        return self._evaluate(t, 1)

    def _evaluate(self, t: Array, derivative: int) -> Array:
        t = np.atleast_1d(t)
        out = np.zeros((t.size, self.size))
        layer = np.clip(np.searchsorted(self.breaks, t, side="left") - 1, 0, len(self.degrees) - 1)
        first = 0
        for k, ((top, bottom), degree) in enumerate(
            zip(pairwise(self.breaks), self.degrees, strict=True)
        ):
            here = layer == k
            parts = lagrange(degree, (t[here] - top) / (bottom - top))
            scale = (bottom - top) ** -derivative
            out[np.ix_(here, np.arange(first, first + degree + 1))] = parts[derivative] * scale
            first += degree
        return out


@lru_cache(maxsize=512)
def _layer_nodes(layering: Layering) -> Array:
    parts = [
        top + (bottom - top) * lobatto_nodes(degree)[1:]
        for (top, bottom), degree in zip(pairwise(layering.breaks), layering.degrees, strict=True)
    ]
    return _frozen(np.concatenate([[0.0], *parts]))


@lru_cache(maxsize=512)
def thickness_moments(layering: Layering) -> dict[str, Array]:
    """Exact integrals over t of products of the functions ψ and their slopes ψ′.

    Returns
    -------
    dict of ndarray, shape (size, size)
        `vv` ∫ψψᵀ, `vs` ∫ψψ′ᵀ, `ss` ∫ψ′ψ′ᵀ, `tvs` ∫tψψ′ᵀ, `tss` ∫tψ′ψ′ᵀ, `ttss` ∫t²ψ′ψ′ᵀ.
    """
    names = ("vv", "vs", "ss", "tvs", "tss", "ttss")
    out = {name: np.zeros((layering.size, layering.size)) for name in names}
    first = 0
    for (top, bottom), degree in zip(pairwise(layering.breaks), layering.degrees, strict=True):
        s, w = gauss_rule(degree + 2)
        v, d = lagrange(degree, s)
        d = d / (bottom - top)
        t = top + (bottom - top) * s
        w = w * (bottom - top)
        block = slice(first, first + degree + 1)
        for name, left, right, weight in (
            ("vv", v, v, w),
            ("vs", v, d, w),
            ("ss", d, d, w),
            ("tvs", v, d, w * t),
            ("tss", d, d, w * t),
            ("ttss", d, d, w * t * t),
        ):
            out[name][block, block] += left.T @ (weight[:, None] * right)
        first += degree
    return {name: _frozen(matrix) for name, matrix in out.items()}


@dataclass(frozen=True, slots=True)
class Across:
    """Legendre polynomials across the width, one parity for each displacement component.

    Attributes
    ----------
    degrees : tuple of tuple of int
        Degrees in η = 2y/b used by u_x, u_y and u_z.
    """

    degrees: tuple[tuple[int, ...], tuple[int, ...], tuple[int, ...]]

    @property
    def counts(self) -> tuple[int, int, int]:
        """Number of functions of each component."""
        return len(self.degrees[0]), len(self.degrees[1]), len(self.degrees[2])

    def products(self, width: float) -> dict[tuple[int, int, int, int], Array]:
        """Integrals ∫ Y_i^(p) Y_j^(q) dy over a bar of the given width. [m^(1 − p − q)]

        Returns
        -------
        dict of ndarray
            Keyed by (component, p, component, q) with p, q derivatives 0 or 1.
        """
        return _across_products(self, width)

    def values(self, component: int, eta: Array, derivative: int = 0) -> Array:
        """Functions of one component (or their η-derivatives) at `eta`, shape (n, count)."""
        columns = []
        for degree in self.degrees[component]:
            series = np.eye(degree + 1)[degree]
            columns.append(legendre.legval(eta, legendre.legder(series, derivative)))
        return np.stack(columns, axis=-1)


@lru_cache(maxsize=64)
def _across_products(across: Across, width: float) -> dict[tuple[int, int, int, int], Array]:
    eta, weights = legendre.leggauss(max(max(d) for d in across.degrees) + 1)
    weights = weights * width / 2
    tables = {
        (c, p): across.values(c, eta, p) * (2.0 / width) ** p for c in range(3) for p in (0, 1)
    }
    return {
        (c, p, d, q): _frozen(left.T @ (weights[:, None] * right))
        for (c, p), left in tables.items()
        for (d, q), right in tables.items()
    }


def across_functions(family: str, order: int) -> Across:
    """Functions across the width of one symmetry family, complete to degree `order` in y.

    Bending and axial modes: u_x and u_z even in y, u_y odd. Torsional and lateral: the reverse.

    Examples
    --------
    >>> across_functions("bending", 4).degrees
    ((0, 2, 4), (1, 3), (0, 2, 4))
    >>> across_functions("torsion", 3).degrees
    ((1, 3), (0, 2), (1, 3))
    """
    even, odd = tuple(range(0, order + 1, 2)), tuple(range(1, order + 1, 2))
    return Across((even, odd, even) if family == "bending" else (odd, even, odd))


def _frozen(array: NDArray[Any]) -> Array:
    array = np.array(array, dtype=float)
    array.setflags(write=False)
    return array
