"""What planned cuts will make of the bar: mean and spread of every tuned mode."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from barmodel.beam import derivative, solve_beam
from barmodel.bench.belief import TRIM_ERROR, depth_error
from barmodel.bench.model import WOOD, deeper, solid_log_hz, wood_slopes
from barmodel.bench.posterior import Posterior
from barmodel.cuts import Cut, EndTrim, apply_cuts
from barmodel.undercut import Table
from barmodel.undercut.piece import Array
from barmodel.units import CENTS, MM

_STEP = 0.05 * MM


@dataclass(frozen=True, slots=True, eq=False)
class Outcome:
    """Where the modes will be.

    Attributes
    ----------
    log_hz : ndarray, shape (k,)
        Most likely ln f.
    covariance : ndarray, shape (k, k)
        [cent²]
    shift_cents : ndarray, shape (k,)
        By the cuts. [cent]
    """

    log_hz: Array
    covariance: Array
    shift_cents: Array

    @property
    def hz(self) -> Array:
        """Most likely frequencies. [Hz]"""
        return np.asarray(np.exp(self.log_hz))

    @property
    def error_cents(self) -> Array:
        """Standard errors. [cent]"""
        return np.sqrt(np.diag(self.covariance))

    def band(self, share: float = 0.90) -> tuple[Array, Array]:
        """Frequencies between which each mode will be with this probability. [Hz]

        Examples
        --------
        >>> one = Outcome(np.log([440.0]), np.array([[4.0]]), np.zeros(1))
        >>> [round(float(hz[0]), 2) for hz in one.band()]
        [439.16, 440.84]
        """
        reach = NormalDist().inv_cdf((1 + share) / 2) * self.error_cents / CENTS
        return np.exp(self.log_hz - reach), np.exp(self.log_hz + reach)


def now(posterior: Posterior) -> Outcome:
    """What the bar is at present, as the outcome of no cut."""
    count = posterior.log_hz.size
    return Outcome(posterior.log_hz, posterior.pitch_covariance, np.zeros(count))


def outcome(posterior: Posterior, cuts: Sequence[Cut]) -> Outcome:
    """Predict the bar after some cuts.

    The change is the solid's; the spread joins what is not known of the bar, the depths of these
    cuts, and what the model may newly miss.

    Parameters
    ----------
    posterior : Posterior
    cuts : sequence of Shape or EndTrim
        In order.
    """
    count = posterior.log_hz.size
    bar = posterior.bar
    after = apply_cuts(bar, cuts, check=False)
    shift = solid_log_hz(after, count) - solid_log_hz(bar, count)
    slopes = posterior.slopes.copy()
    # what is unsure about the wood hardly matters to a light cut, but to a whole arch
    slopes[:, : len(WOOD)] += CENTS * (
        wood_slopes(solve_beam(after, count=count)) - wood_slopes(solve_beam(bar, count=count))
    )
    spread = slopes @ posterior.covariance @ slopes.T
    for effect in _depth_effects(posterior, cuts):
        spread = spread + np.outer(effect, effect)
    spread = spread + np.diag(posterior.belief.drift(CENTS * shift) ** 2)
    return Outcome(posterior.log_hz + shift, spread, CENTS * shift)


def _depth_effects(posterior: Posterior, cuts: Sequence[Cut]) -> list[Array]:
    """Shift of the modes by one standard error of the depth of each cut, shape (k,). [cent]"""
    count = posterior.log_hz.size
    bar = posterior.bar
    after = apply_cuts(bar, cuts, check=False)
    modes = solve_beam(after, count=count)
    effects = []
    trims = 0
    for cut in cuts:
        if isinstance(cut, EndTrim):
            both = int(cut.left > 0.0) + int(cut.right > 0.0)
            slope = CENTS * derivative(modes, "length")[:count]
            effects.append(slope * TRIM_ERROR * np.sqrt(both))
            continue
        place = len(bar.undercut) + trims
        trims += 1
        spread = depth_error(cut)
        if isinstance(cut, Table):
            more = deeper(after.undercut[place], _STEP)
            undercut = (*after.undercut[:place], more, *after.undercut[place + 1 :])
            moved = solve_beam(type(after)(blank=after.blank, undercut=undercut), count=count)
            slope = CENTS * np.log(moved.hz[:count] / modes.hz[:count]) / _STEP
        else:
            slope = CENTS * derivative(modes, (place, "depth"))[:count]
        effects.append(slope * spread)
    return effects
