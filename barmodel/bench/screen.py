"""Which readings to believe: what agrees, with each other or with what was expected."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from scipy.special import gammaincc

from barmodel.undercut.piece import Array

AGREE = 4.0
"""Readings of one bar agree within this many standard errors of their difference. [1]"""
AGREE_CENTS = 1.5
"""… and this much besides: no two blows are alike. [cent]"""
UNLIKELY, LIKELY = 5e-4, 5e-3
"""Chance of a reading to lie so far off before it is doubted; of what is left without it. [1]"""

DECIDED = 9.0
"""Squared standard errors by which what was expected must prefer one of two readings. [1]"""


@dataclass(frozen=True, slots=True)
class Doubt:
    """A frequency that was set aside.

    Attributes
    ----------
    stage : int
        Cuts made before it was heard.
    reading : int
        Which reading of that stage, from 0.
    mode : int
        Which mode, from 0.
    off_cents : float
        Heard minus expected, or minus what the others of its stage say. [cent]
    alone : bool
        Whether it was the only reading of the mode since the last cut: then it may be the bar
        that is odd, and not the reading.
    torn : bool
        Whether as many readings say so as say otherwise, and what was expected decides nothing.
    """

    stage: int
    reading: int
    mode: int
    off_cents: float
    alone: bool
    torn: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Heard:
    """What the readings of one stage come to.

    Attributes
    ----------
    stage : int
    cents, error : ndarray, shape (k,)
        Pitch and standard error; NaN where nothing can be believed. [cent]
    surprise : ndarray, shape (k,)
        How far a pitch that several readings agree on lies from any expectation: the bar has
        changed there in a way no cut explains; else zero. [cent]
    doubts : tuple of Doubt
    air : ndarray, shape (k, 2)
        By how much the readings were too warm, on the mean [°C], and the drift by water since [1].
    """

    stage: int
    cents: Array
    error: Array
    surprise: Array
    doubts: tuple[Doubt, ...]
    air: Array


@dataclass(frozen=True, slots=True, eq=False)
class Readings:
    """What was read between two cuts, brought to one temperature and to the water of today.

    Attributes
    ----------
    rows, errors : ndarray, shape (r, k)
        Pitches and their standard errors, NaN for a mode not heard. [cent]
    air : ndarray, shape (r, 2)
        Degrees above that temperature [°C], and standard errors of the drift by water since
        [cent]; the effects of both were taken off.
    air_error : ndarray, shape (2,)
        Standard errors of these effects, alike for all readings. [cent/°C], [1]
    floor : float
        Error that averaging does not lower. [cent]
    """

    rows: Array
    errors: Array
    air: Array
    air_error: Array
    floor: float

    @property
    def whole_errors(self) -> Array:
        """Standard errors with those of the effects of the air, shape (r, k). [cent]"""
        by_air = np.linalg.norm(self.air * self.air_error, axis=1)
        return np.asarray(np.hypot(self.errors, by_air[:, None]))


def screen(stage: int, readings: Readings, expected: Array, covariance: Array) -> Heard:
    """Combine the readings of a stage; those in the right air count most.

    Parameters
    ----------
    stage : int
    readings : Readings
    expected, covariance : ndarray, shapes (k,) and (k, k)
        What was expected before. [cent], [cent²]
    """
    rows, whole = readings.rows, readings.whole_errors
    count = rows.shape[1]
    cents, error, air = np.full(count, np.nan), np.full(count, np.nan), np.zeros((count, 2))
    doubts: list[Doubt] = []
    alone = np.zeros(count, dtype=bool)
    for mode in range(count):
        heard = np.flatnonzero(~np.isnan(rows[:, mode]))
        if not heard.size:
            continue
        values, sigmas = rows[heard, mode], whole[heard, mode]
        kept = _largest_agreement(values, sigmas, float(expected[mode]))
        weight = 1.0 / sigmas[kept] ** 2
        cents[mode] = float(weight @ values[kept] / weight.sum())
        own = readings.errors[heard[kept], mode]
        error[mode] = float(np.hypot(np.linalg.norm(weight * own) / weight.sum(), readings.floor))
        air[mode] = weight @ readings.air[heard[kept]] / weight.sum()
        alone[mode] = kept.size == 1
        spread = float(np.sqrt(covariance[mode, mode] + error[mode] ** 2))
        for place in np.setdiff1d(np.arange(heard.size), kept):
            off = float(values[place] - cents[mode])
            other = (values[place] - expected[mode]) / spread
            chosen = (cents[mode] - expected[mode]) / spread
            torn = 2 * kept.size <= heard.size and other**2 - chosen**2 < DECIDED
            if torn:
                error[mode] = max(error[mode], abs(off) / 2)
            doubts.append(Doubt(stage, int(heard[place]), mode, off, False, torn))
    surprise = np.zeros(count)
    by_air = air * readings.air_error
    for mode in _unlikely(cents, error, expected, covariance + by_air @ by_air.T):
        if not alone[mode]:
            surprise[mode] = cents[mode] - expected[mode]
            continue
        last = int(np.flatnonzero(~np.isnan(rows[:, mode]))[-1])
        off = float(cents[mode] - expected[mode])
        doubts.append(Doubt(stage, last, int(mode), off, True))
        cents[mode] = np.nan
    return Heard(stage, cents, error, surprise, tuple(doubts), air)


def _largest_agreement(values: Array, sigmas: Array, expected: float) -> np.ndarray:
    """Positions of the largest group that agrees; of equals the one nearest to expectation."""
    best: Sequence[int] = ()
    for centre in range(values.size):
        reach = AGREE * np.hypot(sigmas, sigmas[centre]) + AGREE_CENTS
        group = np.flatnonzero(np.abs(values - values[centre]) <= reach)
        nearer = len(best) == group.size and (
            abs(values[group].mean() - expected) < abs(values[list(best)].mean() - expected)
        )
        if group.size > len(best) or nearer:
            best = [int(g) for g in group]
    return np.array(best, dtype=int)


def _unlikely(cents: Array, error: Array, expected: Array, covariance: Array) -> list[int]:
    """Modes that do not fit; a single one if the others then do, else all."""
    heard = np.flatnonzero(~np.isnan(cents))
    if not heard.size:
        return []
    off = (cents - expected)[heard]
    spread = covariance[np.ix_(heard, heard)] + np.diag(error[heard] ** 2)
    if _chance(off, spread) > UNLIKELY:
        return []
    rest = [
        _chance(np.delete(off, place), np.delete(np.delete(spread, place, 0), place, 1))
        for place in range(heard.size)
    ]
    if max(rest) > LIKELY:
        return [int(heard[int(np.argmax(rest))])]
    return [int(mode) for mode in heard]


def _chance(off: Array, spread: Array) -> float:
    """Chance of being at least so far off. [1]"""
    if not off.size:
        return 1.0
    return float(gammaincc(off.size / 2, off @ np.linalg.solve(spread, off) / 2))
