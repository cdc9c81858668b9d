"""Motions known beforehand, and where each unknown sits.

The space of displacements holds x, y and z themselves (columns are isoparametric), so the rigid
motions are exact combinations of the unknowns. They are removed from the eigenproblem as such;
some smooth motions are what the search for the others begins with.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.polynomial.legendre import legvander
from numpy.typing import NDArray

from barmodel.solid.basis import Array
from barmodel.solid.system import System

LEADING, SIDELONG = 4, 2
"""Smooth motions to begin with: of the family's leading kind, and of the other one."""
NOISE = 1e-3
"""Noise in them, so that nothing is left out that no smooth motion takes part in. [1]"""


@dataclass(frozen=True, slots=True, eq=False)
class Places:
    """What each unknown means.

    Attributes
    ----------
    component : ndarray of int, shape (size,)
        0, 1, 2 for u_x, u_y, u_z.
    degree : ndarray of int, shape (size,)
        Degree of its Legendre polynomial across the width.
    x, z : ndarray, shape (size,)
        Its node; z = 0 on the flat top, negative below. [m]
    """

    component: NDArray[np.intp]
    degree: NDArray[np.intp]
    x: Array
    z: Array


def places(system: System) -> Places:
    """Say for every unknown which displacement it is, and where."""
    mesh, across = system.mesh, system.across
    parts: list[tuple[Array, Array]] = []  # x of some vertical lines, z of their nodes
    for column, seam in zip(mesh.columns, mesh.seams, strict=False):
        parts.append((np.array([column.start]), seam.height * seam.layering.nodes[None]))
        parts.append((column.x[1:-1], column.thickness[1:-1, None] * column.layering.nodes))
    last = mesh.seams[-1]
    parts.append((np.array([mesh.end]), last.height * last.layering.nodes[None]))
    functions = sum(across.counts)
    of_line = np.repeat([0, 1, 2], across.counts), np.concatenate(across.degrees)
    component, degree = (
        np.concatenate([np.tile(np.repeat(n, z.shape[1]), x.size) for x, z in parts])
        for n in of_line
    )
    x_all = np.concatenate([np.repeat(x, functions * z.shape[1]) for x, z in parts])
    z_all = np.concatenate([np.tile(-z, (1, functions)).ravel() for _, z in parts])
    return Places(component, degree, x_all, z_all)


def rigid_motions(system: System, width: float) -> dict[str, Array]:
    """Rigid motions of the system's own symmetry family, each of shape (size,).

    Parameters
    ----------
    system : System
    width : float
        Width of the bar. [m]

    Returns
    -------
    dict of ndarray
        "slide", "lift", "pitch" (even in y) or "sway", "yaw", "roll" (odd); turned about the
        last seam, which is the middle of a half bar. [m]
    """
    p = places(system)
    x, side = p.x - system.mesh.end, width / 2
    even, odd = p.degree == 0, p.degree == 1
    u_x, u_y, u_z = (p.component == c for c in range(3))
    if 0 in system.across.degrees[0]:
        return {
            "slide": 1.0 * (u_x & even),
            "lift": 1.0 * (u_z & even),
            "pitch": p.z * (u_x & even) - x * (u_z & even),
        }
    return {
        "sway": 1.0 * (u_y & even),
        "yaw": side * (u_x & odd) - x * (u_y & even),
        "roll": p.z * (u_y & even) - side * (u_z & odd),
    }


def smooth_motions(system: System) -> Array:
    """Motions like the lowest modes of either kind of the system's family, to begin a search.

    Polynomials along the bar: bending and stretching (even in y), or twisting and swaying. Both
    kinds are there because a bar that is alike above and below keeps them strictly apart.

    Returns
    -------
    ndarray, shape (size, LEADING + SIDELONG)
        Amplitudes of about 1, a little noise among them.
    """
    p = places(system)
    even = 0 in system.across.degrees[0]
    kinds = ((2, 0, LEADING), (0, 0, SIDELONG)) if even else ((2, 1, LEADING), (1, 0, SIDELONG))
    along = legvander(2 * p.x / system.mesh.end - 1, max(LEADING, SIDELONG) - 1)
    parts = [
        along[:, :count] * ((p.component == component) & (p.degree == degree))[:, None]
        for component, degree, count in kinds
    ]
    noise = np.random.default_rng(1).standard_normal((system.size, LEADING + SIDELONG))
    return np.hstack(parts) + NOISE * noise
