"""From eigenvectors to modes: what each does, how the flat top moves, where it stands still."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.polynomial import legendre

from barmodel.bar import Bar
from barmodel.solid.basis import Array, lagrange
from barmodel.solid.kinds import energy_shares
from barmodel.solid.record import Family, Kind, SolidMode
from barmodel.solid.system import System

SAMPLES = 401
"""Positions along the bar at which motions are given."""


def describe(
    bar: Bar,
    system: System,
    family: Family,
    values: Array,
    vectors: Array,
    residuals: Array,
    signs: Array,
    rank: Sequence[int],
) -> list[SolidMode]:
    """Tell what each mode does and number it among its kind.

    Parameters
    ----------
    bar : Bar
    system : System
    family : {"bending", "torsion"}
    values, residuals : ndarray, shape (m,)
        λ [rad²/s²] and residuals [1].
    vectors : ndarray, shape (size, m)
        Unit modal mass over the whole bar. [kg^−½]
    signs : ndarray, shape (m,)
        +1 for even, −1 for odd modes of a half bar; of no meaning for a whole one.
    rank : sequence of int
        Modes wanted, lowest first, complete from the lowest.
    """
    shares = energy_shares(system, vectors, width=bar.blank.width, density=bar.blank.wood.density)
    kinds = list(shares)
    table = np.stack([shares[kind] for kind in kinds])
    numbers: dict[Kind, int] = {}
    x = np.linspace(0.0, bar.blank.length, SAMPLES)
    motions = _top_motions(system, vectors, x, signs)
    out = []
    for k in rank:
        kind = kinds[int(table[:, k].argmax())]
        numbers[kind] = numbers.get(kind, 0) + 1
        motion = motions["lateral" if kind == "lateral" else "vertical"][k]
        motion = motion * (-1.0 if motion[0] < 0.0 else 1.0)
        at = np.flatnonzero((motion[:-1] * motion[1:] < 0.0) | (motion[:-1] == 0.0))
        part = motion[at] / (motion[at] - motion[at + 1])
        out.append(
            SolidMode(
                kind=kind,
                number=numbers[kind],
                hz=math.sqrt(values[k]) / (2 * math.pi),
                error_cents=math.nan,
                residual=float(residuals[k]),
                share=float(table[:, k].max()),
                motion=motion,
                nodes=x[at] + part * (x[1] - x[0]),
                family=family,
                unknowns=vectors[:, k],
            )
        )
    return out


def _top_motions(system: System, vectors: Array, x: Array, signs: Array) -> dict[str, Array]:
    """Motion of the flat top of every mode at x, shape (m, n), mirrored if half was solved."""
    half = system.mesh.half
    folded = np.minimum(x, x[-1] - x) if half else x
    across = system.across
    # u_z at mid-width, or at the edge when it vanishes there; u_y at mid-width.
    place = 0.0 if 0 in across.degrees[2] else 1.0
    on_z = np.array([legendre.legval(place, np.eye(d + 1)[d]) for d in across.degrees[2]])
    on_y = np.array([legendre.legval(0.0, np.eye(d + 1)[d]) for d in across.degrees[1]])
    out = {name: np.zeros((vectors.shape[1], x.size)) for name in ("vertical", "lateral")}
    for column, (_, u_y, u_z) in zip(system.mesh.columns, system.nodal(vectors), strict=True):
        s = (folded - column.start) / column.length
        here = (s >= -1e-9) & (s <= 1 + 1e-9)
        along = lagrange(column.order, s[here])[0]
        for name, values, weights in (("vertical", u_z, on_z), ("lateral", u_y, on_y)):
            out[name][:, here] = np.einsum("na,ajm,j->mn", along, values[:, 0], weights)
    if half:
        right = x > x[-1] / 2
        for motion in out.values():
            motion[:, right] *= signs[:, None]
    return out
