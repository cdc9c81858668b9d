"""Meshes that go around the holes: quadrilaterals in the side view, and bricks across the width."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.sparse.linalg import eigsh
from skfem import Basis, BilinearForm, ElementQuad2, ElementVector, MeshHex, MeshHex2, MeshQuad
from skfem.helpers import dot

from validation.cord_holes.bars import WOOD, Drilled

Array = NDArray[np.float64]
RINGS = 6
"""Layers of elements between a hole and the square around it."""


def quadrilaterals(bar: Drilled, fine: int, *, hole: bool) -> tuple[Array, NDArray[np.intp]]:
    """Corners (2, n) and elements (4, m) of the side view, height counted from the underside.

    A square as high as the bar lies around each hole, `fine` elements to each of its sides; the
    mesh without holes differs from the other inside the squares only. An arch is made last, by
    moving all points up in proportion. [m]
    """
    patches: list[tuple[Array, Array]] = []
    side, h = np.linspace(0.0, 1.0, fine + 1), bar.thickness
    left = 0.0
    for at in bar.places:
        patches.append(_block(left, at - h / 2, h, fine))
        patches += _around(at, bar, side) if hole else [_level(at - h / 2 + side * h, side * h)]
        left = at + h / 2
    patches.append(_block(left, bar.length, h, fine))
    points, elements = _joined(patches)
    if bar.arch is not None:
        begin, depth = bar.arch
        u = (points[0] - bar.length / 2) / (bar.length / 2 - begin)
        cut = depth * np.clip(1.0 - u**2, 0.0, None)
        points[1] = h - (h - points[1]) * (h - cut) / h
    return points, elements


def _level(x: Array, y: Array) -> tuple[Array, Array]:
    grid = np.meshgrid(x, y, indexing="ij")
    return grid[0], grid[1]


def _block(start: float, end: float, height: float, fine: int) -> tuple[Array, Array]:
    count = max(2, int(np.ceil((end - start) / (1.5 * height / fine))))
    return _level(np.linspace(start, end, count + 1), np.linspace(0.0, height, fine + 1))


def _around(at: float, bar: Drilled, side: Array) -> list[tuple[Array, Array]]:
    """Four patches between the hole and its square, finer at the hole."""
    h, radius = bar.thickness, bar.diameter / 2
    middle = np.array([at, (1.0 - bar.height) * h])
    corners = np.array([[at - h / 2, 0.0], [at + h / 2, 0.0], [at + h / 2, h], [at - h / 2, h]])
    outward = np.linspace(0.0, 1.0, RINGS + 1)[:, None, None] ** 1.3
    patches = []
    for first, second in zip(corners, np.roll(corners, -1, axis=0), strict=True):
        edge = first + (second - first) * side[:, None]
        angle = np.arctan2(first[1] - h / 2, first[0] - at) + side * np.pi / 2
        circle = middle + radius * np.stack([np.cos(angle), np.sin(angle)], axis=1)
        points = circle + (edge - circle) * outward
        patches.append((points[..., 0], points[..., 1]))
    return patches


def _joined(patches: list[tuple[Array, Array]]) -> tuple[Array, NDArray[np.intp]]:
    """Number the points of all patches; those at the same place are one."""
    points, elements, count = [], [], 0
    for x, y in patches:
        number = count + np.arange(x.size).reshape(x.shape)
        elements.append(
            np.stack([number[:-1, :-1], number[1:, :-1], number[1:, 1:], number[:-1, 1:]])
        )
        points.append(np.stack([x.ravel(), y.ravel()]))
        count += x.size
    p = np.hstack(points)
    t = np.hstack([part.reshape(4, -1) for part in elements])
    _, same = np.unique(np.round(p / 5e-8).astype(np.int64).T, axis=0, return_inverse=True)
    same = same.ravel()
    merged = np.zeros((2, same.max() + 1))
    merged[:, same] = p
    t = same[t]
    x, y = merged[:, t]
    area = sum(x[i] * y[(i + 1) % 4] - x[(i + 1) % 4] * y[i] for i in range(4))
    t[:, area < 0.0] = t[::-1, area < 0.0]
    return merged, t


# -- two dimensions ----------------------------------------------------------------------------


def plane_hz(bar: Drilled, fine: int, *, hole: bool, count: int = 3) -> Array:
    """Bending modes in plane stress, 9-node quadrilaterals. [Hz]"""
    basis = Basis(MeshQuad(*quadrilaterals(bar, fine, hole=hole)), ElementVector(ElementQuad2()),
                  intorder=6)  # fmt: skip
    compliance = np.array([
        [1.0 / WOOD.e_long, -WOOD.nu_long_thick / WOOD.e_long, 0.0],
        [-WOOD.nu_long_thick / WOOD.e_long, 1.0 / WOOD.e_thick, 0.0],
        [0.0, 0.0, 1.0 / WOOD.g_long_thick],
    ])  # fmt: skip
    c = np.linalg.inv(compliance)

    @BilinearForm
    def stiffness(u, v, _):
        a, b = (
            (w.grad[0][0], w.grad[1][1], w.grad[0][1] + w.grad[1][0])  # strains
            for w in (u, v)
        )
        return sum(c[i, j] * a[j] * b[i] for i in range(3) for j in range(3) if c[i, j] != 0.0)

    mass = BilinearForm(lambda u, v, _: WOOD.density * dot(u, v))
    values = eigsh(
        stiffness.assemble(basis).tocsc(), k=count + 4, M=mass.assemble(basis).tocsc(),
        sigma=-((2 * np.pi * 30.0) ** 2), return_eigenvectors=False, v0=np.ones(basis.N),
    )  # fmt: skip
    return np.sqrt(np.sort(values)[3 : 3 + count]) / (2 * np.pi)


def shift_cents(without: Array, drilled: Array) -> Array:
    """Cents by which the second set of frequencies lies above the first."""
    return np.asarray(1200 * np.log2(np.asarray(drilled) / np.asarray(without)))


# -- three dimensions --------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Bricks:
    """The side view carried over half the width, for `validation.kit.hexahedra.solve`."""

    bar: Drilled
    fine: int
    hole: bool
    across: int

    def mesh(self) -> MeshHex2:
        """Hexahedra with straight edges."""
        (x, z), quads = quadrilaterals(self.bar, self.fine, hole=self.hole)
        edges = self.bar.width / 2 * np.linspace(0.0, 1.0, self.across + 1)
        layers = [np.stack([x, np.full_like(x, y), z - self.bar.thickness]) for y in edges]
        size = x.size
        # scikit-fem numbers a brick by its corners' coordinates: 000, 001, 010, 100, 011, ...
        order = MeshHex.init_tensor(*[np.array([0.0, 1.0])] * 3)
        near, far = quads, quads + size
        columns = []
        for corner in order.p[:, order.t[:, 0]].T:
            around = {(0, 0): 0, (1, 0): 1, (1, 1): 2, (0, 1): 3}[(int(corner[0]), int(corner[2]))]
            columns.append((far if corner[1] > 0.5 else near)[around])
        brick = np.stack(columns)
        elements = np.hstack([brick + k * size for k in range(self.across)])
        return MeshHex2.from_mesh(MeshHex(np.hstack(layers), elements))
