"""Readings of one thing that do not all agree: which to leave out, and the mean of the rest."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Real = NDArray[np.float64]

_DISTRUST = 3.5  # robust deviations beyond which a reading is left out


def agreeing(values: Real, errors: Real, usual: float = 0.0) -> NDArray[np.intp]:
    """Which readings are no strangers to the others.

    Parameters
    ----------
    values, errors : ndarray, shape (n,)
        Readings and their standard errors.
    usual : float
        How much readings may differ beyond their errors: three that happen to lie close together
        are no reason to leave out a fourth.

    Returns
    -------
    ndarray of int
        Their places; all of fewer than three, of which none can be told to be the stranger.
    """
    keep = np.arange(values.size)
    if values.size < 3:
        return keep
    middle = float(np.median(values))
    spread = max(1.4826 * float(np.median(np.abs(values - middle))), usual)
    scale = np.maximum(np.hypot(errors, spread), 1e-300)
    inside = np.flatnonzero(np.abs(values - middle) < _DISTRUST * scale)
    return inside if inside.size else keep


def robust_mean(values: Real, errors: Real) -> tuple[float, float]:
    """Weighted mean that leaves out strangers and believes the scatter when it is larger.

    Parameters
    ----------
    values, errors : ndarray, shape (n,)
        Readings and their standard errors.

    Returns
    -------
    mean, standard_error : float
        Mean; its error, with the spread between readings beyond their errors added in quadrature
        to each (DerSimonian & Laird 1986, Control. Clin. Trials 7, 177; from memory).
    """
    keep = agreeing(values, errors)
    value, error = values[keep], np.maximum(errors[keep], 1e-12 * np.abs(values[keep]).max())
    weight = 1 / error**2
    mean = float(weight @ value / weight.sum())
    if keep.size == 1:
        return mean, float(error[0])
    excess = float(weight @ (value - mean) ** 2) - (keep.size - 1)
    # zero when one reading outweighs all others beyond what numbers can hold
    spare = float(weight.sum() - (weight**2).sum() / weight.sum())
    between = max(excess, 0.0) / spare if spare > 0 else 0.0
    total = 1 / (error**2 + between)
    return float(total @ value / total.sum()), float(np.sqrt(1 / total.sum()))
