"""Name bending modes from their ratios alone, when nothing is known of the bar.

Every triple of lines, with gaps allowed, is a hypothesis. It is weighed by how usual its ratios
are among blanks, tuned bars and bars on the way from one to the other, by how loud its lines
are, and by the loud lines it leaves without a name, above all below its mode 1.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from barmodel.strike.records import Alternative, Mode, Partial

Real = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Pattern:
    """A kind of bar: how usual it is, and where its ratios to mode 1 lie.

    Parameters
    ----------
    name : str
        For people.
    share : float
        How often a bar on the bench is of this kind, before anything is heard. [-]
    second, second_spread : float
        Ratio f2/f1, and the standard deviation of its logarithm. [-]
    third, third_spread : float
        Ratio f3/f1, and the standard deviation of its logarithm about its place. [-]
    third_slope : float
        How much ln(f3/f1) rises with ln(f2/f1) within the kind. [-]
    """

    name: str
    share: float
    second: float
    second_spread: float
    third: float
    third_spread: float
    third_slope: float = 0.0


BLANK = "blank"
PATTERNS = (
    # uniform bars from slender to stout: 2.757, 5.404 · 2.68, 5.04 · 2.60, 4.74 · 2.47, 4.26
    Pattern(BLANK, 0.15, 2.74, 0.012, 5.31, 0.02, 2.2),
    Pattern(BLANK, 0.12, 2.62, 0.03, 4.80, 0.02, 2.15),
    Pattern(BLANK, 0.05, 2.42, 0.05, 4.10, 0.03, 2.05),
    Pattern("tuned 1:4:10", 0.18, 4.0, 0.006, 9.8, 0.05),
    Pattern("tuned 1:4", 0.08, 4.0, 0.008, 8.9, 0.12),
    Pattern("tuned 1:3:6", 0.12, 3.0, 0.006, 5.9, 0.04),
    Pattern("part-way", 0.20, 3.5, 0.18, 7.4, 0.07, 1.55),
    Pattern("near 1:4:10", 0.10, 4.05, 0.06, 9.8, 0.08, 0.8),
)
"""Kinds of bar. Ratios of blanks and tuned bars: trade knowledge and own beam calculation; the
shares are a judgement, not data."""

_LEVEL_DB = (-6.0, -12.0, -15.0)
_LEVEL_SPREAD_DB = 14.0
_NOT_HEARD = (4.5, 3.0, 3.5)  # cost of a mode that was not heard
_STRANGER = 0.04  # chance that the bar fits no kind: ratios anywhere
_TEMPER = 1.5  # costs are judgements: believe them less than their face value
_CAP = {1: 0.60, 2: 0.80, 3: 0.97}
_LOOSE_CAP = 0.85
_LAME = 0.8
_RIVAL_SPAN, _RIVAL_DB, _RIVAL_CAP = 0.15, 15.0, 0.80
_LEAST_QUALITY = 12.0
_MOST_LINES = 22


@dataclass(frozen=True, slots=True)
class PatternNames:
    """Modes named by pattern, and the kind of bar they point to."""

    modes: tuple[Mode, ...]
    pattern: str


def name_by_pattern(partials: list[Partial]) -> PatternNames:
    """Name bending modes 1 to 3 by their ratios.

    Parameters
    ----------
    partials : list of Partial
        Lines heard; steady ones and clicks are left out.

    Returns
    -------
    PatternNames
        The likeliest names with confidence; a name rests on the pattern, so it is never sure.
        With one line alone the confidence stays at 0.6, with two at 0.85.
    """
    lines = _candidates(partials)
    if not lines:
        return PatternNames((), "none")
    cost, first, second, third = _weigh(lines)
    weight = np.exp(-(cost - cost.min()) / _TEMPER)
    weight /= weight.sum()
    # a bar whose mode 1 was not heard is possible and lowers every confidence, but names are
    # given from mode 1 up unless that reading is much the likelier
    lame = float(weight[first < 0].sum())
    best = int(np.argmin(cost if lame > _LAME else np.where(first < 0, np.inf, cost)))
    picks = [int(first[best]), int(second[best]), int(third[best])]
    kind = _kind(lines, picks)
    modes = []
    for number, (pick, column) in enumerate(zip(picks, (first, second, third), strict=True), 1):
        if pick < 0:
            continue
        sure = min(float(weight[column == pick].sum()), _most(lines, picks, number, kind))
        modes.append(_named(lines, pick, number, sure, column, weight))
    return PatternNames(tuple(modes), kind)


def _most(lines: list[Partial], picks: list[int], number: int, kind: str) -> float:
    """Upper limit of the confidence that ratios alone can give.

    A bar part-way fits almost any ratios; a torsional mode can lie close to a bending one, and
    only a prediction for the bar, or a second strike elsewhere, tells them apart.
    """
    cap = _CAP[sum(p >= 0 for p in picks)]
    if not (kind == BLANK or kind.startswith("tuned")):
        cap = min(cap, _LOOSE_CAP)
    mine = lines[picks[number - 1]]
    named = {p for p in picks if p >= 0}
    for index, line in enumerate(lines):
        near = abs(np.log(line.hz / mine.hz)) < _RIVAL_SPAN
        if index not in named and near and line.level_db > mine.level_db - _RIVAL_DB:
            cap = min(cap, _RIVAL_CAP)
    return cap


def _candidates(partials: list[Partial]) -> list[Partial]:
    lines = [p for p in partials if not p.steady and (p.quality or np.inf) > _LEAST_QUALITY]
    lines.sort(key=lambda p: -p.level_db)
    return sorted(lines[:_MOST_LINES], key=lambda p: p.hz)


def _weigh(
    lines: list[Partial],
) -> tuple[Real, NDArray[np.int_], NDArray[np.int_], NDArray[np.int_]]:
    """Cost of every triple (mode 1, mode 2 or none, mode 3 or none)."""
    count = len(lines)
    frequency = np.log([p.hz for p in lines])
    level = np.array([p.level_db for p in lines])
    index = np.arange(-1, count)
    i, j, k = (a.ravel() for a in np.meshgrid(index, index, index, indexing="ij"))
    rising = ((j < 0) | (j > i)) & ((k < 0) | (k > np.maximum(i, j)))
    # without mode 1 the other two must speak for each other
    rising &= (i >= 0) | ((j >= 0) & (k >= 0))
    i, j, k = i[rising], j[rising], k[rising]
    second = np.where((i >= 0) & (j >= 0), frequency[j] - frequency[i], np.nan)
    third = np.where((i >= 0) & (k >= 0), frequency[k] - frequency[i], np.nan)
    density = np.where(i >= 0, _density(second, third), _upper(frequency[k] - frequency[j]))
    cost = -np.log(density)
    for column, usual, alone in zip((i, j, k), _LEVEL_DB, _NOT_HEARD, strict=True):
        heard = column >= 0
        quiet = np.minimum(level[column] - usual, 0.0)
        cost += np.where(heard, 0.5 * (quiet / _LEVEL_SPREAD_DB) ** 2, alone)
    cost += _nameless(lines, frequency, level, i, j, k)
    return cost, i, j, k


def _density(second: Real, third: Real) -> Real:
    """Density of (ln f2/f1, ln f3/f1) over all kinds of bar; a gap is integrated out."""
    total = np.zeros(second.shape)
    for p in PATTERNS:
        along = second - np.log(p.second)
        centre = np.log(p.third) + p.third_slope * np.where(np.isnan(along), 0.0, along)
        wide = np.hypot(p.third_spread, p.third_slope * p.second_spread)
        spread = np.where(np.isnan(along), wide, p.third_spread)
        one = np.where(np.isnan(along), 1.0, _normal(along, p.second_spread))
        two = np.where(np.isnan(third), 1.0, _normal(third - centre, spread))
        total += p.share * one * two
    span = np.where(np.isnan(second), 1.0, 0.8) * np.where(np.isnan(third), 1.0, 0.5)
    return np.asarray((1 - _STRANGER) * total + _STRANGER * span * _plausible(second, third))


def _upper(apart: Real) -> Real:
    """Density of ln(f3/f2) when mode 1 was not heard."""
    total = np.zeros(apart.shape)
    for p in PATTERNS:
        spread = float(np.hypot(p.third_spread, (p.third_slope - 1) * p.second_spread))
        total += p.share * _normal(apart - np.log(p.third / p.second), spread)
    inside = (apart > np.log(1.4)) & (apart < np.log(3.5))
    return np.asarray((1 - _STRANGER) * total + _STRANGER * np.where(inside, 1.0, 1e-6))


def _normal(x: Real, spread: Real | float) -> Real:
    return np.asarray(np.exp(-0.5 * np.square(x / spread)) / (np.sqrt(2 * np.pi) * spread))


def _plausible(second: Real, third: Real) -> Real:
    """Even a stranger is a bar: f2/f1 in 2 … 5, f3/f1 in 3 … 13."""
    inside = np.isnan(second) | ((second > np.log(2.0)) & (second < np.log(5.0)))
    inside &= np.isnan(third) | ((third > np.log(3.0)) & (third < np.log(13.0)))
    return np.where(inside, 1.0, 1e-6)


def _nameless(
    lines: list[Partial],
    frequency: Real,
    level: Real,
    i: NDArray[np.int_],
    j: NDArray[np.int_],
    k: NDArray[np.int_],
) -> Real:
    """Cost of loud ringing lines left without a name: below mode 1 dear, above it cheap."""
    quality = np.array([p.quality or 1000.0 for p in lines])
    ringing = np.clip(quality / 40.0, 0.0, 1.0)
    below = (3.0 + 2.0 * np.clip((level + 45.0) / 15.0, -1.0, 3.0)) * ringing
    above = np.clip((level + 30.0) / 12.0, 0.0, 2.5) * 0.6
    bottom = np.where(i >= 0, frequency[i], frequency[j] - np.log(2.5))
    top = np.where(k >= 0, frequency[k], bottom + np.log(7.0))
    cost = np.zeros(i.shape)
    for n in range(len(lines)):
        free = (n != i) & (n != j) & (n != k)
        cost += np.where(free & (frequency[n] < bottom), below[n], 0.0)
        cost += np.where(free & (frequency[n] > bottom) & (frequency[n] < top), above[n], 0.0)
    return cost


def _kind(lines: list[Partial], picks: list[int]) -> str:
    if picks[0] < 0 or picks[1] < 0:
        return "none"
    second = np.array([np.log(lines[picks[1]].hz / lines[picks[0]].hz)])
    gap = picks[2] < 0
    third = np.array([np.nan if gap else np.log(lines[picks[2]].hz / lines[picks[0]].hz)])
    best, name = 0.0, "unusual"
    for p in PATTERNS:
        along = second - np.log(p.second)
        value = p.share * _normal(along, p.second_spread)
        if not gap:
            middle = np.log(p.third) + p.third_slope * along
            value = value * _normal(third - middle, p.third_spread)
        if float(value[0]) > max(best, 0.02):
            best, name = float(value[0]), p.name
    return name


def _named(
    lines: list[Partial],
    pick: int,
    number: int,
    sure: float,
    column: NDArray[np.int_],
    weight: Real,
) -> Mode:
    line = lines[pick]
    rivals = []
    for other in sorted(set(column.tolist()) - {pick}):
        share = float(weight[column == other].sum())
        if share > 0.02:
            text = (
                "this mode was not heard" if other < 0 else f"the line at {lines[other].hz:.1f} Hz"
            )
            rivals.append(Alternative(text, line.hz if other < 0 else lines[other].hz, share))
    rivals.sort(key=lambda a: -a.probability)
    return Mode(
        kind="bending",
        number=number,
        hz=line.hz,
        standard_error_cents=line.standard_error_cents,
        uncertainty_cents=line.uncertainty_cents,
        level_db=line.level_db,
        decay_s=line.decay_s,
        confidence=sure,
        alternatives=tuple(rivals[:4]),
    )
