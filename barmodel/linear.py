"""Linear programmes, behind one door: the cheapest amounts within limits, or that there are none.

What is sought are amounts x ≥ 0, up to limits of their own, that minimise the cost c·x and keep
A x ≤ b and, where it is asked, E x = e. A window that may be missed at a price is two such rows
with two unknowns more, by how much it is passed on either side.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TypeAlias

import numpy as np
from numpy.typing import NDArray

from barmodel.errors import NoSolutionError

Array: TypeAlias = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class Cheapest:
    """The solution of a linear programme.

    Attributes
    ----------
    amounts : ndarray, shape (n,)
        [amount]
    cost : float
        [price]
    """

    amounts: Array
    cost: float


@dataclass(frozen=True, slots=True, eq=False)
class Nearest:
    """Amounts that lead into windows, or as near to them as pays.

    Attributes
    ----------
    amounts : ndarray, shape (n,)
        [amount]
    over, under : ndarray, shape (k,)
        By how much each window is missed on either side, at least 0. [move]
    """

    amounts: Array
    over: Array
    under: Array


def cheapest(
    cost: Array,
    *,
    rows: Array,
    at_most: Array,
    upper: Array,
    equal: Array | None = None,
    to: Array | None = None,
) -> Cheapest | None:
    """Minimise cost·x subject to rows x ≤ at_most, equal x = to and 0 ≤ x ≤ upper.

    Parameters
    ----------
    cost : ndarray, shape (n,)
        [price/amount]
    rows : ndarray, shape (m, n)
    at_most : ndarray, shape (m,)
    upper : ndarray, shape (n,)
        Infinite where there is no limit. [amount]
    equal : ndarray, shape (e, n), optional
    to : ndarray, shape (e,), optional

    Returns
    -------
    Cheapest or None
        None if nothing keeps all limits, or if the cost has no least.

    Examples
    --------
    >>> import numpy as np
    >>> found = cheapest(np.array([1.0, 2.0]), rows=np.array([[-1.0, -1.0]]),
    ...                  at_most=np.array([-1.0]), upper=np.array([0.25, np.inf]))
    >>> found.amounts.tolist(), found.cost
    ([0.25, 0.75], 1.75)
    """
    from scipy.optimize import linprog  # half a second to load, which much does without

    found = linprog(
        cost,
        A_ub=rows,
        b_ub=at_most,
        A_eq=equal,
        b_eq=to,
        bounds=[(0.0, float(limit)) for limit in upper],
    )
    if not found.success or found.x is None or found.fun is None:
        return None
    return Cheapest(np.asarray(found.x), float(found.fun))


def nearest(
    cost: Array,
    moves: Array,
    *,
    low: Array,
    high: Array,
    over_price: Array,
    under_price: Array,
    upper: Array,
    rows: Array | None = None,
    at_most: Array | None = None,
) -> Nearest:
    """Lead moves·x into windows low … high for little cost; what misses them is paid for.

    Parameters
    ----------
    cost : ndarray, shape (n,)
        [price/amount]
    moves : ndarray, shape (k, n)
        [move/amount]
    low, high : ndarray, shape (k,)
        Edges of the windows. [move]
    over_price, under_price : ndarray, shape (k,)
        Price of missing a window above its high end and below its low one. [price/move]
    upper : ndarray, shape (n,)
        Infinite where there is no limit. [amount]
    rows : ndarray, shape (m, n), optional
        With `at_most`, limits that must be kept: rows x ≤ at_most.
    at_most : ndarray, shape (m,), optional

    Raises
    ------
    NoSolutionError
        If the limits that must be kept contradict each other.
    """
    k, n = moves.shape
    eye, none = np.eye(k), np.zeros((k, k))
    parts = [np.hstack([moves, -eye, none]), np.hstack([-moves, none, -eye])]
    limits = [high, -low]
    if rows is not None and at_most is not None:
        parts.append(np.pad(rows, ((0, 0), (0, 2 * k))))
        limits.append(at_most)
    found = cheapest(
        np.concatenate([cost, over_price, under_price]),
        rows=np.vstack(parts),
        at_most=np.concatenate(limits),
        upper=np.append(upper, np.full(2 * k, np.inf)),
    )
    if found is None:
        raise NoSolutionError("the limits of the cuts contradict each other; loosen one of them")
    x = found.amounts
    return Nearest(x[:n], x[n : n + k], x[n + k :])
