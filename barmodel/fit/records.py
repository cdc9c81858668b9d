"""What was heard on a bar, and what it says of the wood."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from barmodel.errors import InputError
from barmodel.undercut.piece import Array
from barmodel.units import CENTS
from barmodel.wood import Wood

READING_CENTS = 1.0
"""Standard error of a reading that brings none (common practice, no source). [cent]"""
CENT = 1.0 / CENTS
"""One cent as a change of ln f."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Taps:
    """Frequencies heard on one bar; None for a mode not heard.

    Attributes
    ----------
    bending_hz, torsional_hz : sequence of float or None
        Modes 1, 2, … [Hz]
    bending_error_cents, torsional_error_cents : sequence of float or None
        Their standard errors; 1 cent where missing. [cent]
    """

    bending_hz: Sequence[float | None]
    torsional_hz: Sequence[float | None] = ()
    bending_error_cents: Sequence[float | None] = ()
    torsional_error_cents: Sequence[float | None] = ()

    def __post_init__(self) -> None:
        heard = [hz for hz in (*self.bending_hz, *self.torsional_hz) if hz is not None]
        if not heard or not all(math.isfinite(hz) and hz > 0.0 for hz in heard):
            raise InputError(
                "taps: give at least one frequency above zero, in hertz; leave out modes not heard"
            )


@dataclass(frozen=True, slots=True, eq=False)
class WoodFit:
    """Stiffnesses fitted to what was heard.

    Attributes
    ----------
    wood : Wood
        With the fitted constants; the others keep their ratio to E along the grain.
    names : tuple of str
        Constants fitted, by their names in `Wood`.
    standard_error : ndarray, shape (p,)
        Relative standard error of each. [1]
    correlation : ndarray, shape (p, p)
        Between their logarithms. [1]
    modes : tuple of str
        What was heard: "bending 1", … in the order of the residuals.
    residual_cents : ndarray, shape (n,)
        Heard minus fitted. [cent]
    reading_cents : ndarray, shape (n,)
        Standard error of each reading. [cent]
    unevenness_cents : float
        Root mean square of what the model cannot explain beyond the reading errors: an uneven
        plank, or an unusual stiffness among those that were not fitted, which moves the higher
        bending modes of short wide blanks. NaN when there are no more readings than constants.
        [cent]
    prior : tuple of str
        Constants for which the species' value was leant on.
    model : str
        Which model was fitted.
    left_out : tuple of str
        What was heard and not used, as nothing settles with it.
    """

    wood: Wood
    names: tuple[str, ...]
    standard_error: Array
    correlation: Array
    modes: tuple[str, ...]
    residual_cents: Array
    reading_cents: Array
    unevenness_cents: float
    prior: tuple[str, ...]
    model: str
    left_out: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, eq=False)
class Heard:
    """What was heard, in logarithms, bending first."""

    bending: tuple[int, ...]
    torsional: tuple[int, ...]
    log_hz: Array
    error: Array

    @property
    def without_highest(self) -> Heard:
        """The same without the highest bending mode."""
        last = len(self.bending) - 1
        log_hz, error = np.delete(self.log_hz, last), np.delete(self.error, last)
        return Heard(self.bending[:last], self.torsional, log_hz, error)

    @property
    def labels(self) -> tuple[str, ...]:
        """Names for people, counted from 1."""
        return (
            *(f"bending {index + 1}" for index in self.bending),
            *(f"torsional {index + 1}" for index in self.torsional),
        )


def heard_in(taps: Taps) -> Heard:
    """Collect what was heard, without the gaps."""
    bending = tuple(i for i, hz in enumerate(taps.bending_hz) if hz is not None)
    torsional = tuple(i for i, hz in enumerate(taps.torsional_hz) if hz is not None)
    hz = [taps.bending_hz[i] for i in bending] + [taps.torsional_hz[i] for i in torsional]
    errors = [_at(taps.bending_error_cents, i) for i in bending]
    errors += [_at(taps.torsional_error_cents, i) for i in torsional]
    return Heard(bending, torsional, np.log(np.array(hz, dtype=float)), np.array(errors) * CENT)


def _at(errors: Sequence[float | None], index: int) -> float:
    stated = errors[index] if index < len(errors) else None
    return READING_CENTS if stated is None else max(stated, 0.01)
