"""What a mode does, told from where its kinetic energy is.

Of each section's motion the rigid part is split off: translations u, v, w along x, y, z and
rotations about x (roll), y (pitch), z (yaw). With A = bh and the section's own moments of inertia
the energies are ∝ ∫ρA u² dx and so on. Modes even in y are *axial* (u), *vertical* (w, pitch), or,
when most energy is in sections bending out of shape, *crosswise*. Modes odd in y are *lateral*
(v, yaw), *torsional* (roll) or crosswise.
"""

from __future__ import annotations

from functools import lru_cache

import numpy as np

from barmodel.solid.basis import Array, Layering, gauss_rule, lagrange
from barmodel.solid.column import Column
from barmodel.solid.record import Kind
from barmodel.solid.system import Field, System


def energy_shares(
    system: System, unknowns: Array, *, width: float, density: float
) -> dict[Kind, Array]:
    """Share of the kinetic energy of each kind of motion.

    Parameters
    ----------
    system : System
    unknowns : ndarray, shape (size, m)
        Modes.
    width, density : float
        Width [m] and density [kg/m³] of the bar.

    Returns
    -------
    dict of ndarray, shape (m,)
        Non-negative, adding up to 1 to the accuracy of a quadrature in the nodes.
    """
    even = 0 in system.across.degrees[0]
    names: tuple[Kind, Kind] = ("axial", "vertical") if even else ("lateral", "torsional")
    energy = np.zeros((2, unknowns.shape[1]))
    for column, field in zip(system.mesh.columns, system.nodal(unknowns), strict=True):
        split = _even_energies if even else _odd_energies
        weight = density * width * column.length * lobatto_weights(column.order) * column.thickness
        energy += np.einsum("a,kam->km", weight, split(column, field, width))
    whole = np.einsum("im,im->m", unknowns, system.mass @ unknowns)
    first, second = energy / whole
    rest = np.maximum(1.0 - first - second, 0.0)
    return {names[0]: first, names[1]: second, "crosswise": rest}


def _even_energies(column: Column, field: Field, width: float) -> Array:
    """Energies per mass of axial and of vertical motion, shape (2, nodes, m)."""
    mean, first = thickness_means(column.layering)
    u_x, _, u_z = field
    along, turn = _project(mean, u_x[:, :, 0]), 12 * _project(first, u_x[:, :, 0])
    lift = _project(mean, u_z[:, :, 0])
    return np.stack([along**2, lift**2 + turn**2 / 12])


def _odd_energies(column: Column, field: Field, width: float) -> Array:
    """Energies per mass of lateral and of torsional motion, shape (2, nodes, m)."""
    mean, first = thickness_means(column.layering)
    u_x, u_y, u_z = field
    h = column.thickness[:, None]
    yaw = _project(mean, u_x[:, :, 0])  # of η, whose mean square over the width is 1/3
    sway = _project(mean, u_y[:, :, 0])
    # Least-squares roll: u_y = −h (t − ½) φ, u_z = −(b/2) η φ, weighted by area.
    lean, tilt = _project(first, u_y[:, :, 0]), _project(mean, u_z[:, :, 0])
    inertia = h**2 / 12 + width**2 / 12
    roll = -(h * lean + width / 6 * tilt) / inertia
    # Sections of a thin wide bar keep their own roll by u_z alone: take whichever holds more.
    torsional = np.maximum(inertia * roll**2, tilt**2 / 3)
    return np.stack([sway**2 + yaw**2 / 3, torsional])


def _project(weights: Array, values: Array) -> Array:
    return np.asarray(np.einsum("c,acm->am", weights, values))


@lru_cache(maxsize=512)
def thickness_means(layering: Layering) -> tuple[Array, Array]:
    """Weights giving ∫ψ dt and ∫(t − ½) ψ dt, each of shape (size,)."""
    s, w = gauss_rule(max(layering.degrees) + 1)
    mean, first = np.zeros(layering.size), np.zeros(layering.size)
    for top, bottom in zip(layering.breaks, layering.breaks[1:], strict=False):
        t = top + (bottom - top) * s
        values = layering.values(t)
        mean += (w * (bottom - top)) @ values
        first += (w * (bottom - top) * (t - 0.5)) @ values
    return mean, first


@lru_cache(maxsize=32)
def lobatto_weights(order: int) -> Array:
    """Weights of the Gauss–Lobatto rule on [0, 1], shape (order + 1,)."""
    s, w = gauss_rule(order + 1)
    return np.asarray(w @ lagrange(order, s)[0])
