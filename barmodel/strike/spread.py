"""How much the strikes of a bar differ, and what that leaves unsure of its lines.

How a bar is held and struck moves its lines from strike to strike, by cents rather than hertz and
by about as much in one mode as in another. Each line has a spread of its own, near to one that all
lines of a hearing share; so few strikes learn theirs from every mode, and a single tap has the
spread that strikes usually have. Scales are summed over, not estimated: two strikes that happen to
agree are no proof that the third will.

The reading of a line is Gaussian about its pitch, with the variance of the fit plus that of the
spread; a pitch may be anywhere beforehand. The shared spread has a half-t distribution (Gelman
2006, Bayesian Anal. 1, 515; from memory), which lets the strikes say that it is next to nothing,
and the step from it to a line's own is a t in the logarithm: a line that differs from the others
goes its own way.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, stdtrit

Real = NDArray[np.float64]

USUAL_CENTS = 0.4
"""Scale of the shared spread beforehand: half of all bars lie under three quarters of it, one in
twenty above three times as much. Common practice, no source: readings are held to repeat within
about a cent. No bar recorded stroke after stroke was at hand; the 21 named lines of the bars of
validation case `recordings` move by 0.15 cent when heard from 20 ms later, by 0.23 from 50 ms
(medians). [cent]"""
RARE_CENTS = 2.0 * USUAL_CENTS
"""A spread that the strikes of one bar in seven have: less is no reason to distrust one. [cent]"""
_FREEDOM = 3  # pseudo-observations behind it: few, so that strikes soon know better
_OWN = 0.4  # a line's own spread is the shared one, two thirds to one and a half times
_LEAST, _MOST, _STEP = 1e-6, 60.0, 0.3  # of spreads looked at [cent], and the step in the logarithm
_HALVINGS = 36
_ERRORS = 1e-9, 1e4  # of a fit: numbers can hold no less, and more says no more [cent]
NORMAL_95 = 1.959964
"""Standard errors in half of a Gaussian's 95 % interval. [1]"""


@dataclass(frozen=True, slots=True)
class Taken:
    """One line as each of its strikes gave it.

    `cents` are from any fixed pitch, `errors` the standard errors of the fits [cent], `freedom`
    the degrees of freedom behind all of them.
    """

    cents: Real
    errors: Real
    freedom: int


@dataclass(frozen=True, slots=True)
class Settled:
    """Where a line lies: mean, and half of its 95 % interval. [cent]"""

    cents: float
    half_cents: float

    @property
    def standard_error(self) -> float:
        """That of a Gaussian with the same 95 % interval. [cent]"""
        return self.half_cents / NORMAL_95


def settle(lines: Sequence[Taken]) -> list[Settled]:
    """Find each line's pitch from its strikes, their spread learnt from all lines together.

    Parameters
    ----------
    lines : sequence of Taken
        The lines of one bar in one state.

    Returns
    -------
    list of Settled
        In the same order.

    Examples
    --------
    >>> tap = Taken(np.array([0.0]), np.array([0.05]), 40)
    >>> two = Taken(np.array([0.0, 1.0]), np.array([0.05, 0.05]), 80)
    >>> [round(settle([line] * 3)[0].half_cents, 1) for line in (tap, two)]
    [1.6, 1.4]
    """
    if not lines:
        return []
    spreads, prior, step = _beforehand()
    mean, variance, log_likelihood = _given(lines, spreads)
    own = np.exp(log_likelihood - log_likelihood.max(axis=1, keepdims=True))
    # what each line says of the shared spread, and what all the others say of it
    says = np.log(np.maximum(own @ step, 1e-300))
    others = np.log(prior) + says.sum(axis=0) - says
    shared = np.exp(others - others.max(axis=1, keepdims=True))
    weight = own * (shared @ step.T)
    weight /= weight.sum(axis=1, keepdims=True)
    middle = np.einsum("ls,ls->l", weight, mean)
    half = _half_width(weight, mean - middle[:, None], np.sqrt(variance))
    return [Settled(float(m), float(h)) for m, h in zip(middle, half, strict=True)]


@cache
def _beforehand() -> tuple[Real, Real, Real]:
    """Spreads looked at, the weight of each as the shared one, and of each own (row) given that."""
    logs = np.arange(np.log(_LEAST), np.log(_MOST), _STEP)
    spreads = np.exp(logs)
    half_t = (1.0 + (spreads / USUAL_CENTS) ** 2 / _FREEDOM) ** (-(_FREEDOM + 1) / 2)
    prior = spreads * half_t  # on even steps of the logarithm
    step = (1.0 + ((logs[:, None] - logs) / _OWN) ** 2 / 3.0) ** -2.0
    return spreads, prior / prior.sum(), step / step.sum(axis=0)


def _given(lines: Sequence[Taken], spreads: Real) -> tuple[Real, Real, Real]:
    """Mean, variance and log-likelihood of each line (row) for each spread (column)."""
    rows = [_one(line, spreads) for line in lines]
    mean, variance, log_likelihood = (np.array(part) for part in zip(*rows, strict=True))
    return mean, variance, log_likelihood


def _one(line: Taken, spreads: Real) -> tuple[Real, Real, Real]:
    # few degrees of freedom know little of their error: as wide as Student's t would have it
    wider = float(stdtrit(max(line.freedom, 1), 0.975)) / NORMAL_95
    error = np.clip(line.errors * wider, *_ERRORS)
    precision = 1.0 / (error**2 + spreads[:, None] ** 2)
    total = precision.sum(axis=1)
    mean = precision @ line.cents / total
    misfit = np.sum(precision * (line.cents - mean[:, None]) ** 2, axis=1)
    return mean, 1.0 / total, 0.5 * (np.log(precision).sum(axis=1) - np.log(total) - misfit)


def _half_width(weight: Real, offset: Real, sigma: Real) -> Real:
    """Half of the interval about 0 that holds 95 % of each row's mixture of Gaussians."""
    low = np.zeros(len(weight))
    high = np.max(np.abs(offset) + 4.0 * sigma, axis=1)
    for _ in range(_HALVINGS):
        half = 0.5 * (low + high)
        inside = ndtr((half[:, None] - offset) / sigma) - ndtr((-half[:, None] - offset) / sigma)
        enough = np.einsum("ls,ls->l", weight, inside) >= 0.95
        low, high = np.where(enough, low, half), np.where(enough, half, high)
    return np.asarray(high)
