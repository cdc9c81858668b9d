"""Effect of light cuts: the surface sensitivity of the solid, weighed with what a cutter removes.

One solution of the bar gives, for every mode, the cents per area of side view lost at any place
of the underside. A cut of depth d(x) then shifts mode k by −∫ s_k(x) d(x) dx, exact in the limit
of shallow cuts whatever their outline.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from barmodel.bar import Bar
from barmodel.errors import InputError
from barmodel.solid import Family, Order, SolidMode, SolidModes, surface_sensitivity
from barmodel.solid import solve as solve_solid
from barmodel.undercut import Shape, build_profile
from barmodel.undercut.piece import Array

if TYPE_CHECKING:
    from scipy.interpolate import Akima1DInterpolator

VERTICAL = ("V1", "V2", "V3")
"""Modes a maker tunes."""

_GAUSS_X, _GAUSS_W = (np.asarray(a) for a in np.polynomial.legendre.leggauss(16))
_LONGEST = 0.01
"""Longest stretch for one quadrature rule. [m]"""


@dataclass(frozen=True, slots=True, eq=False)
class LightEffect:
    """What shallow cuts do to the modes of one bar.

    Attributes
    ----------
    bar : Bar
    labels : tuple of str
        Modes: V1, V2, … vertical bending; T1 torsional; La1 lateral.
    modes : tuple of SolidMode
        The same modes, as solved.
    solved : SolidModes
        The solution they are from.
    x : ndarray, shape (n,)
        Positions. [m]
    weight : ndarray, shape (n,)
        Quadrature weights. [m]
    density : ndarray, shape (k, n)
        Shift for wood removed, per area of the side view. [cent/m²]
    curve : Akima1DInterpolator
        The density between the positions.
    """

    bar: Bar
    labels: tuple[str, ...]
    modes: tuple[SolidMode, ...]
    solved: SolidModes
    x: Array
    weight: Array
    density: Array
    curve: Akima1DInterpolator

    @property
    def hz(self) -> Array:
        """Frequencies, shape (k,). [Hz]"""
        return np.array([mode.hz for mode in self.modes])

    def at(self, x: Array) -> Array:
        """Density at positions x, shape (k, *x.shape). [cent/m²]"""
        return np.asarray(self.curve(np.clip(x, self.x[0], self.x[-1])))

    def shift(self, cut: Shape) -> Array:
        """Shift of each mode by a shallow cut, shape (k,). [cent]

        Nothing is assumed about its depth being small: it is what the shallow cut would do,
        scaled up.
        """
        blank = self.bar.blank
        layer = build_profile(blank.length, blank.thickness, (cut,))
        x, weight, segment = _points(layer.edges)
        depth = layer.depth(x, segment).real
        used = depth > 0.0
        return np.asarray(self.at(x[used]) @ (weight[used] * depth[used]))


def _points(edges: Array) -> tuple[Array, Array, np.ndarray]:
    """Gauss points, weights and segments on all stretches between edges."""
    xs, weights, segments = [], [], []
    for number, (start, end) in enumerate(pairwise(edges)):
        parts = max(1, int(np.ceil((end - start) / _LONGEST)))
        half = (end - start) / (2 * parts)
        middles = start + half * (2 * np.arange(parts) + 1)
        xs.append((middles[:, None] + half * _GAUSS_X).ravel())
        weights.append(np.tile(half * _GAUSS_W, parts))
        segments.append(np.full(xs[-1].size, number))
    return np.concatenate(xs), np.concatenate(weights), np.concatenate(segments)


def light_effect(
    bar: Bar, labels: Sequence[str] = VERTICAL, *, order: Order = "standard"
) -> LightEffect:
    """Solve a bar and find what shallow cuts do to its modes.

    Parameters
    ----------
    bar : Bar
    labels : sequence of str
        Modes wanted, as V1, T1, La1.
    order : {"standard", "quick", "fine"}
        Fineness of the solid's mesh.
    """
    solved = solve_modes(bar, labels, order=order)
    modes = tuple(solved[label] for label in labels)
    found = surface_sensitivity(solved, modes)
    density = -np.asarray(found.cents)
    from scipy.interpolate import Akima1DInterpolator  # a third of a second to load

    return LightEffect(
        bar=bar,
        labels=tuple(labels),
        modes=modes,
        solved=solved,
        x=found.x,
        weight=found.weight,
        density=density,
        curve=Akima1DInterpolator(found.x, density, axis=1),
    )


def solve_modes(bar: Bar, labels: Sequence[str], *, order: Order) -> SolidModes:
    """Solve just the families that hold the modes asked for."""
    kinds = [_read(label) for label in labels]
    if not kinds:
        raise InputError("no mode was asked for; give V1, V2, V3, T1 or La1")
    families: list[Family] = []
    count = 1
    for kind, number in kinds:
        family: Family = "bending" if kind == "V" else "torsion"
        if family not in families:
            families.append(family)
        count = max(count, number)
    while True:
        solved = solve_solid(bar, count=count, families=families, order=order)
        present = {mode.label for mode in solved.modes}
        if present.issuperset(labels):
            return solved
        if count > 12:
            missing = ", ".join(sorted(set(labels) - present))
            raise InputError(f"mode {missing} is not among the lowest of this bar; leave it out")
        count += 2  # a lateral mode may lie above the torsional ones asked for


def _read(label: str) -> tuple[str, int]:
    kind = label.rstrip("0123456789")
    number = label[len(kind) :]
    if kind not in ("V", "T", "La") or not number or int(number) < 1:
        raise InputError(
            f"mode {label!r} is unknown; use V1, V2, … (vertical), T1, … (torsional), La1 (lateral)"
        )
    return kind, int(number)
