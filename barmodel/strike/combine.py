"""Join the lines of several strikes: which belong together, their mean, and its honest error."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.special import stdtrit

from barmodel.pitch import cents
from barmodel.strike.damped import Line
from barmodel.strike.records import Partial
from barmodel.units import CENTS

Real = NDArray[np.float64]

_TOGETHER_CENTS = 12.0
_MOST_CENTS = 60.0
_DRIFT_SHARE = 3.0  # a drift counts as a range of three standard errors
_DISTRUST = 3.5  # robust deviations beyond which a strike's line is left out


@dataclass(frozen=True, slots=True)
class Ring:
    """The lines of one strike, and which of them sounded before the blow."""

    lines: tuple[Line, ...]
    steady: tuple[bool, ...]
    drift_cents: tuple[float | None, ...]
    seconds: float


def combine(rings: list[Ring]) -> list[Partial]:
    """Combine the lines of all strikes of one bar.

    Parameters
    ----------
    rings : list of Ring
        One for each strike, from one or several files.

    Returns
    -------
    list of Partial
        From low to high. A line found in less than a third of three or more strikes is left out
        unless it stands high above the noise. The error of the mean is the larger of what the
        fits promise and what the strikes show.
    """
    groups = _groups(rings)
    count = len(rings)
    partials = []
    for group in groups:
        clear = max(_snr_db(rings[r].lines[i]) for r, i in group)
        if count >= 3 and len(group) < max(2, count / 3) and clear < 30.0:
            continue
        partials.append(_mean(rings, group))
    if not partials:
        return []
    top = max((p.level_db for p in partials if not p.steady), default=0.0)
    return sorted((_relative(p, top) for p in partials), key=lambda p: p.hz)


def _groups(rings: list[Ring]) -> list[list[tuple[int, int]]]:
    """Lines of different strikes that are the same line, the clearest taken first."""
    entries = [
        (_strength(line), r, i) for r, ring in enumerate(rings) for i, line in enumerate(ring.lines)
    ]
    entries.sort(reverse=True)
    used: set[tuple[int, int]] = set()
    groups = []
    for _, r, i in entries:
        if (r, i) in used:
            continue
        seed = rings[r].lines[i]
        group = [(r, i)]
        for other, ring in enumerate(rings):
            if other == r:
                continue
            near = [
                (abs(float(cents(line.hz, seed.hz))), j)
                for j, line in enumerate(ring.lines)
                if (other, j) not in used
            ]
            if near and min(near)[0] < _reach(seed, ring.lines[min(near)[1]]):
                group.append((other, min(near)[1]))
        used.update(group)
        groups.append(group)
    return groups


def _reach(one: Line, other: Line) -> float:
    spread = np.hypot(_error_cents(one), _error_cents(other))
    return float(min(max(_TOGETHER_CENTS, 4.0 * spread), _MOST_CENTS))


def _error_cents(line: Line) -> float:
    return float(CENTS * line.errors[0] / line.hz)


def _strength(line: Line) -> float:
    """Amplitude over its standard error; finite where there is no noise at all."""
    return abs(line.amplitude) / max(line.amplitude_error, 1e-12 * abs(line.amplitude), 1e-300)


def _snr_db(line: Line) -> float:
    """Amplitude over its standard error, in decibels."""
    return float(20 * np.log10(max(_strength(line), 1e-9)))


def _mean(rings: list[Ring], group: list[tuple[int, int]]) -> Partial:
    lines = [rings[r].lines[i] for r, i in group]
    hz, error, freedom, used = robust_mean(
        np.array([line.hz for line in lines]),
        np.array([line.errors[0] for line in lines]),
        np.array([line.freedom for line in lines]),
    )
    decay, decay_error, _, _ = robust_mean(
        np.array([line.decay for line in lines]),
        np.array([line.errors[1] for line in lines]),
        np.array([line.freedom for line in lines]),
    )
    falls = decay > 2 * decay_error and decay > 1e-3
    drifts = [rings[r].drift_cents[i] for r, i in group]
    known = [d for d in drifts if d is not None]
    level = float(np.median([20 * np.log10(2 * abs(line.amplitude)) for line in lines]))
    error_cents = float(CENTS * error / hz)
    drift = float(np.median(known)) if known else None
    if drift is not None:
        # a line that moves has no one frequency: the mean depends on where one listens
        error_cents = float(np.hypot(error_cents, drift / _DRIFT_SHARE))
    return Partial(
        hz=hz,
        standard_error_cents=error_cents,
        uncertainty_cents=float(stdtrit(freedom, 0.975)) * error_cents,
        level_db=level,
        decay_s=1 / decay if falls else None,
        decay_error_s=decay_error / decay**2 if falls else None,
        snr_db=float(np.median([_snr_db(line) for line in lines])),
        strikes=len(used),
        steady=sum(rings[r].steady[i] for r, i in group) * 2 >= len(group),
        drift_cents=drift,
    )


def robust_mean(
    values: Real, errors: Real, freedoms: NDArray[np.int_]
) -> tuple[float, float, float, NDArray[np.intp]]:
    """Weighted mean that leaves out strangers and believes the scatter when it is larger.

    Parameters
    ----------
    values, errors : ndarray, shape (n,)
        Readings and their standard errors.
    freedoms : ndarray of int, shape (n,)
        Degrees of freedom behind each error.

    Returns
    -------
    mean, standard_error, freedom : float
        Mean; its error, with the spread between readings beyond their errors added in quadrature
        to each (DerSimonian & Laird 1986, Control. Clin. Trials 7, 177; from memory); degrees of
        freedom for Student's t.
    used : ndarray of int
        Which readings entered.
    """
    keep = np.arange(values.size)
    if values.size >= 3:
        middle = float(np.median(values))
        spread = 1.4826 * float(np.median(np.abs(values - middle)))
        scale = np.sqrt(errors**2 + spread**2)
        inside = np.abs(values - middle) < _DISTRUST * np.maximum(scale, 1e-300)
        if inside.any():
            keep = np.flatnonzero(inside)
    value, error = values[keep], np.maximum(errors[keep], 1e-12 * np.abs(values[keep]).max())
    weight = 1 / error**2
    mean = float(weight @ value / weight.sum())
    count = keep.size
    if count == 1:
        return mean, float(error[0]), float(freedoms[keep][0]), keep
    excess = float(weight @ (value - mean) ** 2) - (count - 1)
    # zero when one reading outweighs all others beyond what numbers can hold
    spare = float(weight.sum() - (weight**2).sum() / weight.sum())
    between = max(excess, 0.0) / spare if spare > 0 else 0.0
    total = 1 / (error**2 + between)
    mean = float(total @ value / total.sum())
    # where the strikes differ more than their errors, few strikes know little about the spread
    share = between / (between + float(np.median(error**2)))
    freedom = float(freedoms[keep].sum()) * (1 - share) + share * (count - 1)
    return mean, float(np.sqrt(1 / total.sum())), max(freedom, 1.0), keep


def _relative(partial: Partial, top_db: float) -> Partial:
    return Partial(
        hz=partial.hz,
        standard_error_cents=partial.standard_error_cents,
        uncertainty_cents=partial.uncertainty_cents,
        level_db=partial.level_db - top_db,
        decay_s=partial.decay_s,
        decay_error_s=partial.decay_error_s,
        snr_db=partial.snr_db,
        strikes=partial.strikes,
        steady=partial.steady,
        drift_cents=partial.drift_cents,
    )
