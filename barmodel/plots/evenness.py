"""Which bars of a row stand out from a smooth curve through the others; nothing is drawn here."""

from __future__ import annotations

import numpy as np

from barmodel.undercut.piece import Array

REACH = 4
"""Neighbours on either side that a bar is held against."""


def standing_out(values: Array, *, least: float) -> np.ndarray:
    """Find the values that a smooth curve through their neighbours misses.

    A parabola through up to `REACH` values on either side, without the one looked at and without
    those found before, says what each should be. The worst is taken out, and all are looked at
    again, until none is off by more than `least`.

    Parameters
    ----------
    values : ndarray, shape (n,)
        One for each bar in order; NaN where there is none.
    least : float
        Distance from the curve that is worth marking, in the unit of `values`.

    Returns
    -------
    ndarray of bool, shape (n,)

    Examples
    --------
    >>> row = np.array([9.0, 8.0, 7.0, 6.0, 9.0, 4.0, 3.0, 2.0])
    >>> np.flatnonzero(standing_out(row, least=0.5)).tolist()
    [4]
    """
    values = np.asarray(values, dtype=float)
    out = np.zeros(values.size, dtype=bool)
    while True:
        found = [_away(values, out, index) for index in range(values.size)]
        # at the ends of a row the curve itself is less sure; those must wait for the others
        doubt = [away / spread if away > least else 0.0 for away, spread in found]
        if max(doubt, default=0.0) == 0.0:
            return out
        out[int(np.argmax(doubt))] = True


def _away(values: Array, out: np.ndarray, index: int) -> tuple[float, float]:
    """Distance of one value from the curve through its neighbours, and that curve's own spread
    for neighbours that spread by 1; distance 0 where nothing is known."""
    place = np.arange(values.size) - index
    near = (np.abs(place) <= REACH) & (place != 0) & np.isfinite(values) & ~out
    if out[index] or not np.isfinite(values[index]) or near.sum() < 3:
        return 0.0, 1.0
    powers = np.vander(place[near], 3 if near.sum() >= 4 else 2, increasing=True).astype(float)
    share = np.linalg.pinv(powers)[0]
    spread = float(np.sqrt(1.0 + share @ share))
    return float(abs(share @ values[near] - values[index])), spread
