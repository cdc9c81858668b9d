"""Join the lines of several strikes: which belong together, their mean, and its honest error."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from barmodel.pitch import cents
from barmodel.strike.damped import Line
from barmodel.strike.records import Partial
from barmodel.strike.robust import agreeing, robust_mean
from barmodel.strike.spread import NORMAL_95, RARE_CENTS, Settled, Taken, settle
from barmodel.units import CENTS

_TOGETHER_CENTS = 12.0
_MOST_CENTS = 60.0
_DRIFT_SHARE = 3.0  # a drift counts as a range of three standard errors


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
        unless it stands high above the noise. How much strikes differ is learnt from all lines
        together (`spread`).
    """
    groups = [group for group in _groups(rings) if _counts(rings, group)]
    held = [group for group in groups if _steady(rings, group)]
    partials = []
    # hum and room tones do not move with the bar's strikes, and teach nothing of their spread
    for kind in ([group for group in groups if group not in held], held):
        used = [_agreeing(rings, group) for group in kind]
        lines = [[rings[r].lines[i] for r, i in group] for group in used]
        for group, taken, settled in zip(
            kind, lines, settle([_taken(x) for x in lines]), strict=True
        ):
            partials.append(_partial(rings, group, taken, settled))
    top = max((p.level_db for p in partials if not p.steady), default=0.0)
    return sorted((replace(p, level_db=p.level_db - top) for p in partials), key=lambda p: p.hz)


def _counts(rings: list[Ring], group: list[tuple[int, int]]) -> bool:
    count = len(rings)
    clear = max(_snr_db(rings[r].lines[i]) for r, i in group)
    return count < 3 or len(group) >= max(2, count / 3) or clear >= 30.0


def _steady(rings: list[Ring], group: list[tuple[int, int]]) -> bool:
    return sum(rings[r].steady[i] for r, i in group) * 2 >= len(group)


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


def _agreeing(rings: list[Ring], group: list[tuple[int, int]]) -> list[tuple[int, int]]:
    """The strikes without those that lie far off where the others agree."""
    lines = [rings[r].lines[i] for r, i in group]
    away = np.array([float(cents(line.hz, lines[0].hz)) for line in lines])
    keep = agreeing(away, np.array([_error_cents(line) for line in lines]), RARE_CENTS)
    return [group[k] for k in keep]


def _taken(lines: list[Line]) -> Taken:
    away = np.array([float(cents(line.hz, lines[0].hz)) for line in lines])
    errors = np.array([_error_cents(line) for line in lines])
    return Taken(away, errors, sum(line.freedom for line in lines))


def _partial(
    rings: list[Ring], group: list[tuple[int, int]], used: list[Line], settled: Settled
) -> Partial:
    lines = [rings[r].lines[i] for r, i in group]
    decay, decay_error = robust_mean(
        np.array([line.decay for line in lines]), np.array([line.errors[1] for line in lines])
    )
    falls = decay > 2 * decay_error and decay > 1e-3
    known = [d for d in (rings[r].drift_cents[i] for r, i in group) if d is not None]
    drift = float(np.median(known)) if known else None
    # a line that moves has no one frequency: the mean depends on where one listens
    moves = 0.0 if drift is None else drift / _DRIFT_SHARE
    return Partial(
        hz=used[0].hz * 2.0 ** (settled.cents / 1200.0),
        standard_error_cents=float(np.hypot(settled.standard_error, moves)),
        uncertainty_cents=float(np.hypot(settled.half_cents, NORMAL_95 * moves)),
        level_db=float(np.median([20 * np.log10(2 * abs(line.amplitude)) for line in lines])),
        decay_s=1 / decay if falls else None,
        decay_error_s=decay_error / decay**2 if falls else None,
        snr_db=float(np.median([_snr_db(line) for line in lines])),
        strikes=len(used),
        steady=_steady(rings, group),
        drift_cents=drift,
    )
