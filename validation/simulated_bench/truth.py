"""The truth of a virtual bar: plane stress elasticity by another code, scikit-fem.

Quadratic quadrilaterals with curved sides follow the underside; beside vertical walls the columns
are split at the height of the floor, so that elements conform. Stiffness and density vary along
the bar. Nothing of `barmodel`'s solvers is used, only its thickness along the bar.
"""

from __future__ import annotations

import logging
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np
from numpy.typing import NDArray
from scipy.sparse.linalg import eigsh
from skfem import (
    Basis,
    BilinearForm,
    ElementQuad2,
    ElementVector,
    MeshQuad,
    MeshQuad2,
)

from barmodel.bar import Bar
from barmodel.undercut import Profile

logging.getLogger("skfem").setLevel(logging.ERROR)  # it tells of every copy it makes

Array = NDArray[np.float64]
COLUMN = 1 / 56
"""Longest column over the length of the bar."""
GRADED = (0.5e-3, 2.0e-3, 5.0e-3)
"""Distances from a wall at which columns end. [m]"""
LAYERS = 2
"""Elements through the thinnest stretch."""
SHIFT = -((2 * np.pi * 30.0) ** 2)


@dataclass(frozen=True, slots=True)
class Plank:
    """How the wood of one bar varies along it: factors 1 + Σ aₙ cos(nπx/L), n = 1, 2, 3.

    Attributes
    ----------
    stiffness, density : tuple of float
        Amplitudes. [1]
    """

    stiffness: tuple[float, ...] = (0.0,)
    density: tuple[float, ...] = (0.0,)


@lru_cache(maxsize=8)
def frequencies(bar: Bar, plank: Plank, *, count: int = 3) -> Array:
    """First bending modes. [Hz]"""
    mesh = build_mesh(bar.profile)
    basis = Basis(mesh, ElementVector(ElementQuad2()), intorder=6)
    wood, length = bar.blank.wood, bar.blank.length
    ratio = wood.nu_long_thick**2 * wood.e_thick / wood.e_long
    c11, c33 = wood.e_long / (1 - ratio), wood.e_thick / (1 - ratio)
    c13, g = wood.nu_long_thick * c33, wood.g_long_thick

    def along(x: Array, amplitudes: tuple[float, ...]) -> Array:
        waves = np.arange(1, len(amplitudes) + 1) * np.pi / length
        return 1.0 + np.cos(np.multiply.outer(x, waves)) @ np.array(amplitudes)

    @BilinearForm
    def stiffness(u, v, w):
        (ux, uz), (vx, vz) = u.grad, v.grad
        energy = c11 * ux[0] * vx[0] + c33 * uz[1] * vz[1]
        energy += c13 * (ux[0] * vz[1] + uz[1] * vx[0]) + g * (ux[1] + uz[0]) * (vx[1] + vz[0])
        return w.factor * energy

    @BilinearForm
    def mass(u, v, w):
        return wood.density * w.factor * (u[0] * v[0] + u[1] * v[1])

    x = basis.global_coordinates()[0]
    k = stiffness.assemble(basis, factor=along(x, plank.stiffness)).tocsc()
    m = mass.assemble(basis, factor=along(x, plank.density)).tocsc()
    start = np.cos(np.arange(k.shape[0]) * 1.7)
    values, vectors = eigsh(k, k=3 + count + 2, M=m, sigma=SHIFT, which="LM", v0=start)
    order = np.argsort(values)[3:]
    upright = basis.get_dofs(elements=True).all(["u^2"])
    found = []
    for index in order:
        motion = np.zeros(k.shape[0])
        motion[upright] = vectors[upright, index]
        if motion @ (m @ motion) > 0.5:
            found.append(np.sqrt(values[index]) / (2 * np.pi))
    return np.array(found[:count])


def build_mesh(profile: Profile) -> MeshQuad2:
    """Columns along, layers down: flat topped in (x, t), then let down to the true underside."""
    x, layers, segments = _grid(profile)
    points: dict[tuple[int, int], int] = {}
    cells = []
    for column, count in enumerate(layers):
        for t in range(count):
            corners = [(column, t), (column + 1, t), (column + 1, t + 1), (column, t + 1)]
            cells.append([points.setdefault(corner, len(points)) for corner in corners])
    flat = np.array([(x[i], float(t)) for i, t in points]).T
    mesh = MeshQuad2.from_mesh(MeshQuad(flat, np.array(cells).T))
    where = mesh.doflocs.copy()
    where[1] = -_heights(profile, segments, where[0], where[1])
    return MeshQuad2(where, mesh.t)


def _grid(profile: Profile) -> tuple[Array, list[int], list[tuple[float, float, list[Array]]]]:
    """Column lines, layers of each column, and the stretches between walls with their levels."""
    walls = profile.walls
    length = profile.length
    lines = [*profile.edges]
    for wall in walls:
        lines += [wall + sign * d for d in GRADED for sign in (-1.0, 1.0)]
    lines = sorted(line for line in lines if -1e-12 <= line <= length + 1e-12)
    kept = [lines[0]]
    edges = np.concatenate([[0.0, length], walls])
    for line in lines[1:]:
        fixed = np.abs(edges - line).min() < 1e-9
        if line - kept[-1] > 0.4e-3 or fixed:
            if line - kept[-1] < 0.4e-3 and np.abs(edges - kept[-1]).min() > 1e-9:
                kept.pop()
            kept.append(line)
    x = [kept[0]]
    for left, right in pairwise(kept):
        parts = max(1, int(np.ceil((right - left) / (COLUMN * length))))
        x += (left + (right - left) * np.arange(1, parts + 1) / parts).tolist()
    x_array = np.array(x)
    segments = _segments(profile, walls)
    middle = (x_array[:-1] + x_array[1:]) / 2
    layers = []
    for place in middle:
        levels = next(levels for a, b, levels in segments if a <= place <= b)
        layers.append(LAYERS * (len(levels) + 1))
    return x_array, layers, segments


def _segments(profile: Profile, walls: Array) -> list[tuple[float, float, list[Array]]]:
    """Stretches between walls with the constant inner levels that the walls' floors lay in them.

    Thickness must step down from either end towards the middle, as a bar's does.
    """
    bounds = [0.0, *walls.tolist(), profile.length]
    depth = [float(profile.thickness(np.array([(a + b) / 2])).real[0]) for a, b in pairwise(bounds)]
    thinnest = int(np.argmin(depth))
    levels: list[list[Array]] = [[] for _ in depth]
    for step, stretches in (
        (-1, range(thinnest - 1, -1, -1)),
        (1, range(thinnest + 1, len(depth))),
    ):
        for s in stretches:
            wall = bounds[s + 1] if step == -1 else bounds[s]
            inner = wall + 1e-9 if step == -1 else wall - 1e-9
            floor = float(profile.thickness(np.array([inner])).real[0])
            outer = float(profile.thickness(np.array([2 * wall - inner])).real[0])
            if outer < floor:
                raise ValueError("a wall steps up towards the middle; this mesh cannot follow it")
            levels[s] = [*levels[s - step], np.array(floor)]
    return [(bounds[s], bounds[s + 1], levels[s]) for s in range(len(depth))]


def _heights(
    profile: Profile, segments: list[tuple[float, float, list[Array]]], x: Array, t: Array
) -> Array:
    """Depth below the top of points (x, t), t counting elements from the top. [m]"""
    z = np.zeros_like(x)
    done = np.zeros(x.size, dtype=bool)
    for a, b, levels in sorted(segments, key=lambda s: len(s[2])):
        most = LAYERS * (len(levels) + 1)
        here = (x >= a - 1e-12) & (x <= b + 1e-12) & (t <= most + 1e-9) & ~done
        inside = np.clip(x[here], a + 1e-9, b - 1e-9)
        bottom = profile.thickness(inside).real
        rows = np.stack([np.zeros_like(bottom), *(float(v) + 0 * bottom for v in levels), bottom])
        layer = np.minimum((t[here] // LAYERS).astype(int), len(levels))
        share = t[here] / LAYERS - layer
        column = np.arange(layer.size)
        z[here] = rows[layer, column] * (1 - share) + rows[layer + 1, column] * share
        done |= here
    return z
