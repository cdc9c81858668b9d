"""Stiffness of one column of the bar: products of small one-dimensional matrices.

A column reaches from the flat top to the underside and across the whole width. With t in
[0, 1] from top to bottom, z = −t·h(x), so that

    ∂/∂z = −(1/h) ∂/∂t,   ∂/∂x|z = ∂/∂x|t − t (h′/h) ∂/∂t,   dx dz = h dx dt,

and every integral over the column is a sum of products X ⊗ T ⊗ Y of one-dimensional ones. h is
the interpolant of the true thickness in the column's own nodes: then z, x, y themselves are
functions of the space, and rigid motions and constant strains are represented without error.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product

import numpy as np

from barmodel.solid.basis import (
    Across,
    Array,
    Layering,
    gauss_rule,
    lagrange,
    lobatto_nodes,
    thickness_moments,
)

Sections = dict[tuple[str, str], Array]
"""Integrals over the x–z section, keyed by the derivatives of the two functions: "", "x", "z"."""

# Engineering strains xx, yy, zz, yz, xz, xy as sums of ∂(component)/∂(axis).
STRAINS: tuple[tuple[tuple[int, str], ...], ...] = (
    ((0, "x"),),
    ((1, "y"),),
    ((2, "z"),),
    ((1, "z"), (2, "y")),
    ((0, "z"), (2, "x")),
    ((0, "y"), (1, "x")),
)


@dataclass(frozen=True, slots=True, eq=False)
class Column:
    """One column of elements.

    Attributes
    ----------
    start, length : float
        Position of its left face and its length along the bar. [m]
    order : int
        Polynomial degree along x.
    thickness : ndarray, shape (order + 1,)
        Thickness at its Gauss–Lobatto nodes, from its own side of a wall. [m]
    layering : Layering
        Functions through its thickness.
    """

    start: float
    length: float
    order: int
    thickness: Array
    layering: Layering

    @property
    def x(self) -> Array:
        """Node positions, shape (order + 1,). [m]"""
        return self.start + self.length * lobatto_nodes(self.order)


def elastic_terms(stiffness: Array) -> list[tuple[int, str, int, str, float]]:
    """Strain energy density εᵀCε as a list of products of first derivatives.

    Parameters
    ----------
    stiffness : ndarray, shape (6, 6)
        C in the order xx, yy, zz, yz, xz, xy. [Pa]

    Returns
    -------
    list of (component, axis, component, axis, modulus)
        εᵀCε = Σ modulus · ∂u_component/∂axis · ∂u_component/∂axis.
    """
    terms = []
    for i, j in product(range(6), repeat=2):
        if stiffness[i, j] != 0.0:
            for (c, a), (d, b) in product(STRAINS[i], STRAINS[j]):
                terms.append((c, a, d, b, float(stiffness[i, j])))
    return terms


def stiffness_matrices(
    columns: list[Column], sections: Sections, across: Across, width: float, stiffness: Array
) -> Array:
    """Stiffness of columns that share their order and layering.

    Parameters
    ----------
    columns : list of Column
        All of the same `order` and `layering`.
    sections : dict of ndarray
        Their `section_integrals`.
    across : Across
        Functions across the width.
    width : float
        Width of the bar. [m]
    stiffness : ndarray, shape (6, 6)
        Elastic stiffness. [Pa]

    Returns
    -------
    ndarray, shape (columns, n, n)
        Unknowns: node by node along x; on a vertical line component by component, then y, then t.
    """
    nodes, layers, counts = columns[0].order + 1, columns[0].layering.size, across.counts
    bounds = np.concatenate([[0], np.cumsum(counts)]) * layers
    line = int(bounds[-1])
    out = np.empty((len(columns), nodes, line, nodes, line))
    for (c, d), (section, y) in _gather(stiffness, sections, across.products(width)).items():
        rows, cols = slice(bounds[c], bounds[c + 1]), slice(bounds[d], bounds[d + 1])
        block = (y @ section).reshape(counts[c], counts[d], len(columns), nodes, layers, nodes, -1)
        _fill(out[:, :, rows, :, cols], block.transpose(2, 3, 0, 4, 5, 1, 6))
        if c != d:
            _fill(out[:, :, cols, :, rows], block.transpose(2, 5, 1, 6, 3, 0, 4))
    return out.reshape(len(columns), nodes * line, nodes * line)


def _fill(target: Array, block: Array) -> None:
    np.reshape(target, block.shape, copy=False)[...] = block  # a view, never a copy


def _gather(
    stiffness: Array, sections: Sections, y_products: dict[tuple[int, int, int, int], Array]
) -> dict[tuple[int, int], tuple[Array, Array]]:
    """Elastic terms of two components: what belongs to the section, and to the width.

    Returns
    -------
    dict of (section, y), shapes (terms, entries of a section) and (entries of y, terms)
        Keyed by the components, upper triangle only. Their product holds every pair of functions
        across the width, one row each.
    """
    sums: dict[tuple[int, int], dict[tuple[int, int], Array]] = {}
    for c, a, d, b, modulus in elastic_terms(stiffness):
        if c <= d:
            terms = sums.setdefault((c, d), {})
            key = (int(a == "y"), int(b == "y"))
            part = modulus * sections[a.replace("y", ""), b.replace("y", "")].ravel()
            terms[key] = terms[key] + part if key in terms else part
    return {
        (c, d): (
            np.stack(list(terms.values())),
            np.stack([y_products[c, p, d, q].ravel() for p, q in terms], axis=1),
        )
        for (c, d), terms in sums.items()
    }


def section_integrals(columns: list[Column]) -> Sections:
    """Integrals over the x–z section of products of the functions and their derivatives.

    Returns
    -------
    dict of ndarray, shape (columns, order + 1, layers, order + 1, layers)
        Keyed by the derivative of the first and of the second function: "", "x" or "z".
    """
    order = columns[0].order
    s, weights = gauss_rule(order + 3)
    v, d = lagrange(order, s)
    length = np.array([c.length for c in columns])[:, None]
    nodal = np.array([c.thickness for c in columns])
    h, slope = nodal @ v.T, nodal @ d.T / length
    w = weights * length
    d_x = d[None] / length[:, :, None]
    v_x = np.broadcast_to(v, d_x.shape)

    def along(left: Array, right: Array, weight: Array) -> Array:
        product: Array = (left * (w * weight)[:, :, None]).transpose(0, 2, 1) @ right
        return product

    def join(x: Array, t: Array) -> Array:
        return x[:, :, None, :, None] * t[:, None, :]

    m = thickness_moments(columns[0].layering)
    one = np.ones_like(h)
    mixed = join(along(d_x, v_x, slope), m["tvs"])
    out = {
        ("", ""): join(along(v_x, v_x, h), m["vv"]),
        ("", "z"): -join(along(v_x, v_x, one), m["vs"]),
        ("z", "z"): join(along(v_x, v_x, 1 / h), m["ss"]),
        ("x", ""): join(along(d_x, v_x, h), m["vv"]) - join(along(v_x, v_x, slope), m["tvs"].T),
        ("x", "z"): -join(along(d_x, v_x, one), m["vs"])
        + join(along(v_x, v_x, slope / h), m["tss"]),
        ("x", "x"): join(along(d_x, d_x, h), m["vv"])
        - mixed
        - mixed.transpose(0, 3, 4, 1, 2)
        + join(along(v_x, v_x, slope**2 / h), m["ttss"]),
    }
    for left, right in (("", "z"), ("x", ""), ("x", "z")):
        out[right, left] = out[left, right].transpose(0, 3, 4, 1, 2)
    return out
