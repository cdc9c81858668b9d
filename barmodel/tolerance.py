"""When a bar counts as finished."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

TOLERANCE_CENTS = ((-1.0, 3.0), (-3.0, 6.0), (-10.0, 15.0), (-15.0, 25.0))
"""Most a mode may be flat and sharp of its target, mode 1 first (own choice: the ear is keenest
on the first; flat costs more than sharp, because wood cannot be put back). [cent]"""


def in_tolerance(
    cents: Sequence[float] | np.ndarray, limits: Sequence[tuple[float, float]] = TOLERANCE_CENTS
) -> np.ndarray:
    """Whether each tuned mode is near enough to its target; never for one not heard.

    Parameters
    ----------
    cents : sequence of float, shape (k,)
        Modes above their targets, NaN for one not heard. [cent]
    limits : sequence of (float, float)
        Lowest and highest of each mode. [cent]

    Returns
    -------
    ndarray of bool, shape (k,)

    Examples
    --------
    >>> in_tolerance([2.9, -3.1, float("nan")]).tolist()
    [True, False, False]
    """
    away = np.asarray(cents, dtype=float)
    low, high = np.array(limits[: away.size]).T
    return np.asarray((away >= low) & (away <= high))
