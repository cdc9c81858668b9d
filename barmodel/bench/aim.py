"""How near is near enough, and how likely the bar is to be there."""

from __future__ import annotations

from dataclasses import dataclass, field
from functools import lru_cache
from statistics import NormalDist

import numpy as np
from scipy.special import ndtr, ndtri

from barmodel.errors import InputError
from barmodel.pitch import Target
from barmodel.tolerance import TOLERANCE_CENTS
from barmodel.undercut.piece import Array

TOLERANCES = tuple((high, -low) for low, high in TOLERANCE_CENTS)
"""Cents sharp and flat that modes 1, 2, 3, 4 may end."""
RISK = 0.05
"""Chance of ending flat that a cut may run."""
_SAMPLES = 1024


@dataclass(frozen=True, slots=True, kw_only=True)
class Goal:
    """What a bar is to become, and what counts as there.

    Attributes
    ----------
    target : Target
    tolerances : tuple of (float, float)
        Cents each mode may be sharp and flat; both given as positive numbers. [cent]
    risk : float
        Chance that a cut leaves any mode flat of its tolerance. [1]
    """

    target: Target
    tolerances: tuple[tuple[float, float], ...] = field(default=TOLERANCES)
    risk: float = RISK

    def __post_init__(self) -> None:
        if not 0.0 < self.risk < 0.5:
            raise InputError(f"risk is {self.risk:g}; give a share above 0 and below 0.5, as 0.05")
        if len(self.tolerances) < self.count:
            raise InputError(
                f"{len(self.tolerances)} tolerances for {self.count} tuned modes; give one for each"
            )
        for sharp, flat in self.tolerances:
            if not (sharp >= 0.0 and flat >= 0.0 and sharp + flat > 0.0):
                raise InputError(
                    f"tolerance +{sharp:g}/-{flat:g} cents leaves no room; give cents sharp and "
                    "flat, as 3:1"
                )

    @property
    def count(self) -> int:
        """Number of tuned modes."""
        return len(self.target.ratios)

    @property
    def low(self) -> Array:
        """Flat ends of the tolerances, from the target. [cent]"""
        return -np.array([flat for _sharp, flat in self.tolerances[: self.count]])

    @property
    def high(self) -> Array:
        """Sharp ends of the tolerances. [cent]"""
        return np.array([sharp for sharp, _flat in self.tolerances[: self.count]])

    @property
    def factor(self) -> float:
        """Standard errors to keep above the flat end, the risk shared among the modes. [1]"""
        return NormalDist().inv_cdf(1.0 - self.risk / self.count)

    def cents(self, log_hz: Array) -> Array:
        """Cents from the target. [cent]"""
        return np.asarray(1200 * np.log2(np.exp(log_hz[: self.count]) / self.target.hz))

    def inside(self, cents: Array) -> bool:
        """Whether every mode is within its tolerance."""
        return bool(np.all((cents >= self.low) & (cents <= self.high)))

    def chance(self, cents: Array, covariance: Array) -> float:
        """Probability that all modes are within their tolerances. [1]"""
        values = cents + _normal(cents.size) @ _root(covariance).T
        return float(np.mean(np.all((values >= self.low) & (values <= self.high), axis=1)))

    def settled(self, cents: Array, covariance: Array, ear: Array, sure: float) -> float:
        """Probability that one more reading leaves the bar home with a chance of at least `sure`.

        Parameters
        ----------
        cents : ndarray, shape (k,)
            From the target. [cent]
        covariance : ndarray, shape (k, k)
            [cent²]
        ear : ndarray, shape (k,)
            Standard error of the reading. [cent]
        sure : float
        """
        told = covariance @ np.linalg.solve(covariance + np.diag(ear**2), covariance)
        error = np.sqrt(np.maximum(np.diag(covariance - told), 1e-12))
        then = cents + _normal(cents.size) @ _root(told).T
        chance = ndtr((self.high - then) / error) - ndtr((self.low - then) / error)
        return float(np.mean(np.prod(chance, axis=1) >= sure))

    def safe(self, cents: Array, covariance: Array, before: Array) -> bool:
        """Whether the chance of any mode being flat is within the risk.

        Parameters
        ----------
        cents, covariance
            After a cut.
        before : ndarray, shape (k,)
            Chance of each mode being flat without it; one that was beyond its share of the risk
            may grow by a tenth of the whole, and does not count among the others.
        """
        flat = self.flat_chance(cents, covariance)
        doubtful = before > self.risk / self.count
        grown = flat[doubtful] - before[doubtful]
        return bool(np.all(grown <= 0.1 * self.risk)) and bool(flat[~doubtful].sum() <= self.risk)

    def flat_chance(self, cents: Array, covariance: Array) -> Array:
        """Probability of each mode to be flat of its tolerance, shape (k,). [1]"""
        error = np.sqrt(np.maximum(np.diag(covariance), 1e-12))
        return np.asarray(ndtr((self.low - cents) / error))


@lru_cache
def _normal(dimensions: int) -> Array:
    """Evenly spread standard normal samples, always the same, shape (n, dimensions).

    References
    ----------
    M. Roberts, "The unreasonable effectiveness of quasirandom sequences" (2018): steps by the
    powers of the root of x^(d+1) = x + 1 (from memory).
    """
    root = 2.0
    for _ in range(60):
        root = (1.0 + root) ** (1.0 / (dimensions + 1))
    steps = root ** -np.arange(1.0, dimensions + 1.0)
    return np.asarray(ndtri((0.5 + np.arange(1, _SAMPLES + 1)[:, None] * steps) % 1.0))


def _root(covariance: Array) -> Array:
    values, vectors = np.linalg.eigh(covariance)
    return np.asarray(vectors * np.sqrt(np.maximum(values, 0.0)))
