"""Least squares under linear inequalities, the one sub-problem of the search.

References
----------
C. L. Lawson and R. J. Hanson, "Solving Least Squares Problems", SIAM 1995, ch. 23: problem LSI by
way of LDP and NNLS (from memory).
"""

from __future__ import annotations

import numpy as np
from scipy.optimize import nnls

from barmodel.undercut.piece import Array


def bounded_step(
    jacobian: Array, wanted: Array, gradients: Array, room: Array, *, damping: float
) -> Array | None:
    """Minimise ‖J s − b‖² + damping·‖s‖² subject to C s ≥ −room.

    Parameters
    ----------
    jacobian : ndarray, shape (k, n)
        J.
    wanted : ndarray, shape (k,)
        b.
    gradients : ndarray, shape (m, n)
        C, the gradient of the room left to each limit.
    room : ndarray, shape (m,)
        Room left to each limit; negative where one is crossed.
    damping : float
        Above zero; also picks the shortest of many steps.

    Returns
    -------
    ndarray, shape (n,), or None
        None if no step satisfies the limits.

    Examples
    --------
    >>> s = bounded_step(np.eye(1), np.array([2.0]), -np.eye(1), np.array([0.5]), damping=1e-9)
    >>> round(float(s[0]), 6)  # wants 2, may go 0.5
    0.5
    """
    n = jacobian.shape[1]
    felt = np.linalg.norm(gradients, axis=1) > 1e-12  # others do not depend on what may move
    gradients, room = gradients[felt], room[felt]
    tall = np.concatenate([jacobian, np.sqrt(damping) * np.eye(n)])
    q, r = np.linalg.qr(tall)
    target = q.T @ np.concatenate([wanted, np.zeros(n)])
    free: Array = np.linalg.solve(r, target)
    if np.all(gradients @ free >= -room - 1e-12):
        return free
    # shortest z with G z ≥ h, where s = R⁻¹(target + z)
    g = np.linalg.solve(r.T, gradients.T).T
    size = np.linalg.norm(g, axis=1)
    g, h = g / size[:, None], (-room - gradients @ free) / size
    unit = np.append(np.zeros(n), 1.0)
    scale = max(float(np.abs(h).max()), 1e-300)
    weights, _ = nnls(np.concatenate([g.T, h[None] / scale]), unit)
    rest = np.concatenate([g.T @ weights, [float(h @ weights) / scale - 1.0]])
    if -rest[-1] <= 1e-12:
        return None
    step = np.asarray(free + np.linalg.solve(r, -scale * rest[:-1] / rest[-1]))
    return step if np.all(gradients @ step >= -room - 1e-6) else None
