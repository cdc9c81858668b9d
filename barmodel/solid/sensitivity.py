"""What a little wood on the underside does to each mode.

For a mode u of unit modal mass, moving the free underside out by δh(x) changes λ = ω² by
(Hadamard's formula; Zolésio 1981)

    δλ = ∫ ∫ (εᵀCε − λ ρ |u|²) δh dy dx,

strain energy minus kinetic energy at the surface. So one solution gives the effect of every
light, smooth cut: δ(ln f) = δλ/2λ. It does not hold for steps: a groove with walls, however
shallow, acts by a factor that needs the solid itself (solve again).

References
----------
J. Sokolowski and J.-P. Zolésio, "Introduction to Shape Optimization", Springer 1992, section
3.5 (from memory); here checked against solutions of perturbed bars.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from barmodel.solid.basis import Array, gauss_rule, lagrange
from barmodel.solid.column import Column, elastic_terms
from barmodel.solid.record import SolidMode, SolidModes
from barmodel.solid.system import Field, System
from barmodel.units import CENTS

"""Cents per unit of ln f."""


@dataclass(frozen=True, slots=True, eq=False)
class SurfaceSensitivity:
    """Effect of wood added on the underside, per area of the side view.

    Attributes
    ----------
    x : ndarray, shape (n,)
        Positions, ascending. [m]
    weight : ndarray, shape (n,)
        Quadrature: ∫ g dx = Σ weight·g(x). [m]
    cents : ndarray, shape (modes, n)
        Cents per metre of thickness added and per metre of length; a light cut of depth d(x)
        shifts mode k by −∫ cents[k] d dx. [cent/m²]
    """

    x: Array
    weight: Array
    cents: Array

    def shift(self, depth: Array) -> Array:
        """Shift of each mode by a light, smooth cut of the given depths at `x` [m]. [cent]"""
        return np.asarray(-(self.cents * depth) @ self.weight)


def surface_sensitivity(
    modes: SolidModes, which: Sequence[SolidMode] | None = None
) -> SurfaceSensitivity:
    """Compute what adding wood to the underside does to modes already solved.

    Parameters
    ----------
    modes : SolidModes
    which : sequence of SolidMode, optional
        Modes wanted, by default all.

    Notes
    -----
    At the feet of walls the energy density is singular and values within about a tenth of a
    thickness are rough, though their integral is finite.
    """
    chosen = modes.modes if which is None else tuple(which)
    rows: list[Array] = []
    x = weight = np.empty(0)
    for mode in chosen:
        system = modes.systems[mode.family]
        x_mode, weight_mode, row = _density(modes, system, mode)
        if rows and (x_mode.size != x.size or np.abs(x_mode - x).max() > 0.0):
            row = np.interp(x, x_mode, row)
        else:
            x, weight = x_mode, weight_mode
        rows.append(row)
    return SurfaceSensitivity(x, weight, np.array(rows))


def _density(modes: SolidModes, system: System, mode: SolidMode) -> tuple[Array, Array, Array]:
    """Points, weights and cents per area of one mode over the whole bar."""
    lam = (2 * math.pi * mode.hz) ** 2
    xs, weights, values = [], [], []
    for column, field in zip(
        system.mesh.columns, system.nodal(mode.unknowns[:, None]), strict=True
    ):
        s, w = gauss_rule(column.order + 1)
        terms = _surface_terms(modes, system, column, field, s, lam)
        xs.append(column.start + column.length * s)
        weights.append(column.length * w)
        values.append(CENTS * terms / (2 * lam))
    x, weight, cents = (np.concatenate(part) for part in (xs, weights, values))
    if system.mesh.half:  # a mode of unit mass over the whole bar; both halves alike
        x = np.concatenate([x, 2 * system.mesh.end - x[::-1]])
        weight, cents = np.concatenate([weight, weight[::-1]]), np.concatenate([cents, cents[::-1]])
    return x, weight, cents


def _surface_terms(
    modes: SolidModes, system: System, column: Column, field: Field, s: Array, lam: float
) -> Array:
    """∫ (εᵀCε − λρ|u|²) dy on the underside of one column at s in [0, 1]."""
    along, along_s = lagrange(column.order, s)
    h, slope = along @ column.thickness, along_s @ column.thickness / column.length
    bottom = column.layering.slopes(np.ones(1))[0]
    gradients: list[dict[str, Array]] = []
    for part in field:
        face, inward = part[:, -1, :, 0], np.einsum("c,acj->aj", bottom, part[..., 0])
        d_t = along @ inward
        gradients.append(
            {
                "": along @ face,
                "x": along_s @ face / column.length - (slope / h)[:, None] * d_t,
                "z": -d_t / h[:, None],
            }
        )
    products = system.across.products(modes.width)
    out = np.zeros_like(s)
    for c, a, d, b, modulus in elastic_terms(modes.stiffness):
        y = products[c, int(a == "y"), d, int(b == "y")]
        left, right = gradients[c][a.replace("y", "")], gradients[d][b.replace("y", "")]
        out += modulus * np.einsum("ni,ij,nj->n", left, y, right)
    for c in range(3):
        u = gradients[c][""]
        out -= lam * modes.density * np.einsum("ni,ij,nj->n", u, products[c, 0, c, 0], u)
    return out
