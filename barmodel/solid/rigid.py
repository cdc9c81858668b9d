"""Motions that do not strain the bar, and where each unknown sits.

The space of displacements holds x, y and z themselves (columns are isoparametric), so the rigid
motions are exact combinations of the unknowns. They are removed from the eigenproblem as such.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barmodel.solid.basis import Array
from barmodel.solid.system import System


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
    lines: list[tuple[float, Array]] = []
    for column, seam in zip(mesh.columns, mesh.seams, strict=False):
        lines.append((column.start, -seam.layering.nodes * seam.height))
        lines += [
            (float(x), -column.layering.nodes * h)
            for x, h in zip(column.x[1:-1], column.thickness[1:-1], strict=True)
        ]
    last = mesh.seams[-1]
    lines.append((mesh.end, -last.layering.nodes * last.height))
    component, degree, x, z = [], [], [], []
    for at, depth in lines:
        for c, degrees in enumerate(across.degrees):
            n = depth.size * len(degrees)
            component.append(np.full(n, c))
            degree.append(np.repeat(degrees, depth.size))
            x.append(np.full(n, at))
            z.append(np.tile(depth, len(degrees)))
    return Places(*(np.concatenate(part) for part in (component, degree, x, z)))


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
