"""Name lines by the modes predicted for this bar: one line each, or none.

Every predicted mode, bending or not, may take one line; each pair costs what its distance in
cents, the line's strength and the mode's expected strength make unlikely, and staying alone has
a price too. What all predictions have in common — wood stiffer or softer than believed moves all
modes alike — is tried over a range. A name is as sure as the best reading without it is costly.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import linear_sum_assignment

from barmodel.strike.records import Alternative, Expected, Mode, Partial
from barmodel.units import CENTS

Real = NDArray[np.float64]

_FORBIDDEN = 1e6
_LEVEL_SPREAD_DB = 14.0
_MODEL_SHARE = 0.02  # chance that the truth lies outside everything considered here
_FARCENTS = 400.0


@dataclass(frozen=True, slots=True)
class _Reading:
    cost: float
    shift: float
    line_of: tuple[int, ...]  # for each expected mode the line it took, or −1


def name_by_prediction(
    partials: list[Partial], expected: list[Expected], *, shared_error_cents: float = 60.0
) -> list[Mode]:
    """Assign lines to predicted modes.

    Parameters
    ----------
    partials : list of Partial
        Lines heard; steady ones (hum, the room) are never named.
    expected : list of Expected
        Predicted modes of every kind, each with its own error.
    shared_error_cents : float
        Standard error of what moves all predictions together. [cents]

    Returns
    -------
    list of Mode
        Bending modes first, each with a confidence and its rivals. Modes for which no line, or
        more likely none, was found are absent.
    """
    lines = [p for p in partials if not p.steady]
    if not lines or not expected:
        return []
    best = _best(lines, expected, shared_error_cents, forbid=None)
    modes = []
    for k, line in enumerate(best.line_of):
        if line < 0:
            continue
        rival = _best(lines, expected, shared_error_cents, forbid=(k, line))
        sure = (1 - _MODEL_SHARE) / (1 + np.exp(min(best.cost - rival.cost, 0.0)))
        others = _alternatives(lines, expected, k, line, best, rival)
        modes.append(_named(expected[k], lines[line], float(sure), others))
    order = {"bending": 0, "torsional": 1, "lateral": 2, "axial": 3}
    return sorted(modes, key=lambda m: (order.get(m.kind, 9), m.number))


def _best(
    lines: list[Partial], expected: list[Expected], shared: float, forbid: tuple[int, int] | None
) -> _Reading:
    """Cheapest reading over the shared shift, tried on a grid and then at its own mean."""
    heard = np.array([p.hz for p in lines])
    predicted = np.array([e.hz for e in expected])
    offset = CENTS * np.log(heard[None, :] / predicted[:, None])
    own = np.array([e.standard_error_cents for e in expected])[:, None]
    error = np.hypot(own, np.array([p.standard_error_cents for p in lines])[None, :])
    strength, alone = _strengths(lines, expected)
    step = max(0.5 * float(own.min()), 2.0)
    grid = np.arange(-3 * shared, 3 * shared + step, step) if shared > 0 else np.zeros(1)
    if grid.size > 61:
        grid = np.linspace(grid[0], grid[-1], 61)
    best = _Reading(np.inf, 0.0, ())
    for shift in grid:
        reading = _assign(offset, error, strength, alone, float(shift), shared, forbid)
        if reading.cost < best.cost:
            best = reading
    pairs = [(k, j) for k, j in enumerate(best.line_of) if j >= 0]
    if pairs and shared > 0:
        weight = np.array([1 / error[k, j] ** 2 for k, j in pairs])
        moved = np.array([offset[k, j] for k, j in pairs])
        shift = float(weight @ moved / (weight.sum() + 1 / shared**2))
        refined = _assign(offset, error, strength, alone, shift, shared, forbid)
        best = min(best, refined, key=lambda reading: reading.cost)
    return best


def _strengths(lines: list[Partial], expected: list[Expected]) -> tuple[Real, Real]:
    """Cost of a line's level for a mode of an expected strength, and of a mode staying unheard."""
    level = np.array([p.level_db for p in lines])[None, :]
    amplitude = np.clip([e.amplitude for e in expected], 0.01, 1.0)
    wanted = (20 * np.log10(amplitude) - 10.0)[:, None]
    other = np.array([0.0 if e.kind == "bending" else -10.0 for e in expected])[:, None]
    strength = 0.5 * ((level - wanted - other) / _LEVEL_SPREAD_DB) ** 2
    # the louder a mode should be, the odder that it is not heard
    alone = 3.0 + 3.0 * amplitude * np.array(
        [1.0 if e.kind == "bending" else 0.2 for e in expected]
    )
    return strength, np.asarray(alone)


def _assign(
    offset: Real,
    error: Real,
    strength: Real,
    alone: Real,
    shift: float,
    shared: float,
    forbid: tuple[int, int] | None,
) -> _Reading:
    miss = (offset - shift) / error
    # heavy tails: a prediction is now and then further off than its error says
    cost = 2.5 * np.log1p(miss**2 / 4.0) + strength + 0.5 * np.log(error / 10.0)
    cost = np.where(np.abs(offset - shift) > np.minimum(5 * error, _FARCENTS), _FORBIDDEN, cost)
    if forbid is not None:
        cost[forbid] = _FORBIDDEN
    count = offset.shape[0]
    none = np.full((count, count), _FORBIDDEN)
    np.fill_diagonal(none, alone)
    table = np.concatenate([cost, none], axis=1)
    rows, columns = linear_sum_assignment(table)
    total = float(table[rows, columns].sum())
    total += 0.5 * (shift / shared) ** 2 if shared > 0 else 0.0
    line_of = [int(c) if c < offset.shape[1] else -1 for c in columns]
    return _Reading(total, shift, tuple(line_of))


def _alternatives(
    lines: list[Partial],
    expected: list[Expected],
    k: int,
    line: int,
    best: _Reading,
    rival: _Reading,
) -> tuple[Alternative, ...]:
    odds = float(np.exp(min(best.cost - rival.cost, 0.0)))
    probability = odds / (1 + odds)
    found = []
    if rival.line_of[k] >= 0:
        other = lines[rival.line_of[k]]
        found.append(Alternative(f"the line at {other.hz:.1f} Hz instead", other.hz, probability))
    else:
        found.append(Alternative("this mode was not heard", lines[line].hz, probability))
    taken = [m for m, j in enumerate(rival.line_of) if j == line]
    if taken:
        e = expected[taken[0]]
        found.append(
            Alternative(f"the line is {e.kind} mode {e.number}", lines[line].hz, probability, e.hz)
        )
    return tuple(found)


def _named(e: Expected, line: Partial, sure: float, others: tuple[Alternative, ...]) -> Mode:
    return Mode(
        kind=e.kind,
        number=e.number,
        hz=line.hz,
        standard_error_cents=line.standard_error_cents,
        uncertainty_cents=line.uncertainty_cents,
        level_db=line.level_db,
        decay_s=line.decay_s,
        confidence=sure,
        predicted_hz=e.hz,
        alternatives=others,
    )
