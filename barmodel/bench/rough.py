"""The stop line of the rough cut: how much of the design to cut before listening again."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from barmodel.bar import LEAST_THICKNESS, Bar
from barmodel.bench.aim import Goal
from barmodel.bench.model import beam_log_hz, deeper
from barmodel.bench.outcome import Outcome, outcome
from barmodel.bench.posterior import Posterior
from barmodel.undercut import Shape, Table
from barmodel.undercut.piece import Array
from barmodel.units import MM

SOLVED = 3
"""Times the stop line is corrected by the solid."""
STEP = 0.05 * MM
"""Depths of a rough cut are told to this. [m]"""
RISK_SHARE = 0.5
"""Part of the risk of a cut that the rough one runs: to stop earlier costs it nothing. [1]"""
NEAR_CENTS = 3.0
"""A stop line that might be so much nearer is near enough. [cent]"""
_PLACES = 61
_LITTLE = 1e-6


@dataclass(frozen=True, slots=True, eq=False)
class StopLine:
    """How far to rough out.

    Attributes
    ----------
    cuts : tuple of Shape
    share : float
        Depth over the design's, where that is deepest. [1]
    outcome : Outcome
    left : float
        Wood left above the design there. [m]
    """

    cuts: tuple[Shape, ...]
    share: float
    outcome: Outcome
    left: float


def stop_line(
    posterior: Posterior,
    goal: Goal,
    design: Sequence[Shape],
    *,
    keep: float = LEAST_THICKNESS,
) -> StopLine | None:
    """Scale a design back until every mode is sharp enough of its tolerance for what is not known.

    Parameters
    ----------
    posterior : Posterior
        Of the blank, or of a bar roughed out less than the design.
    goal : Goal
    design : sequence of Shape
        Cuts into the blank.
    keep : float
        Thickness that must remain, if the design goes below it. [m]

    Returns
    -------
    StopLine or None
        None when the bar is cut as deep already.
    """
    k = goal.count
    bar = posterior.bar
    safer = replace(goal, risk=RISK_SHARE * goal.risk)
    aim = Bar(blank=bar.blank, undercut=tuple(design)).profile
    least, place = aim.least_thickness()
    deepest = _thick_enough(bar, design, keep) if too_thin(bar, design, keep) else 1.0
    share, bias, spread = 1.0, np.zeros(k), np.zeros((k, k))
    found: Outcome | None = None
    cuts: tuple[Shape, ...] = ()
    for _ in range(SOLVED):
        share = min(_largest_share(posterior, safer, design, bias, spread), deepest)
        cuts = _scaled(bar, design, share)
        if not cuts:
            return None
        found = outcome(posterior, cuts)
        cents, spread = goal.cents(found.log_hz), found.covariance[:k, :k]
        bias = cents - _by_beam(posterior, goal, cuts)
        near = safer.safe(cents - NEAR_CENTS, spread, np.zeros(k))
        if safer.safe(cents + 0.3, spread, np.zeros(k)) and not near:
            break
    assert found is not None
    after = bar.with_cuts(*cuts).profile
    left = float(after.thickness(np.array([place])).real[0]) - least
    return StopLine(cuts, 1.0 - left / (bar.blank.thickness - least), found, left)


def _largest_share(
    posterior: Posterior, goal: Goal, design: Sequence[Shape], bias: Array, spread: Array
) -> float:
    """Bisect for the largest share of the design that keeps the risk, by the beam."""
    low, high = 0.0, 1.0
    for _ in range(14):
        middle = (low + high) / 2
        cuts = _scaled(posterior.bar, design, middle, exact=True)
        cents = _by_beam(posterior, goal, cuts) + bias
        sharp = goal.safe(cents, spread, np.zeros(goal.count))
        low, high = (middle, high) if sharp else (low, middle)
    return low


def too_thin(bar: Bar, design: Sequence[Shape], keep: float) -> bool:
    """Whether a design into the blank of a bar leaves less than `keep` somewhere. [m]"""
    aim = Bar(blank=bar.blank, undercut=tuple(design)).profile
    return bool(aim.least_thickness()[0] < keep - _LITTLE)


def _thick_enough(bar: Bar, design: Sequence[Shape], keep: float) -> float:
    """Bisect for the largest share of the design that leaves `keep`, or what is left now. [m]"""
    floor = min(keep, bar.profile.least_thickness()[0]) - _LITTLE
    low, high = 0.0, 1.0
    for _ in range(14):
        middle = (low + high) / 2
        cuts = _scaled(bar, design, middle, exact=True)
        thick = bar.with_cuts(*cuts).profile.least_thickness()[0] >= floor
        low, high = (middle, high) if thick else (low, middle)
    return low


def _by_beam(posterior: Posterior, goal: Goal, cuts: Sequence[Shape]) -> Array:
    """Cents from the target after cuts, the beam taking the change."""
    count = posterior.log_hz.size
    change = beam_log_hz(posterior.bar.with_cuts(*cuts), count) - beam_log_hz(posterior.bar, count)
    return goal.cents(posterior.log_hz + change)


def _scaled(
    bar: Bar, design: Sequence[Shape], share: float, *, exact: bool = False
) -> tuple[Shape, ...]:
    """Cuts that bring a bar to a share of the design's depth.

    Into an uncut blank they are the design's own shapes; on a bar already begun, a table of
    depths from the blank's surface, which takes off only what still stands above it.
    """
    told = 0.0 if exact else STEP
    if not bar.undercut:
        out = [deeper(cut, _told(share * cut.deepest, told) - cut.deepest) for cut in design]
        return tuple(cut for cut in out if cut.deepest > 2e-6)
    length, stock = bar.blank.length, bar.blank.thickness
    goal = Bar(blank=bar.blank, undercut=tuple(design)).profile
    x = np.linspace(0.0, length, _PLACES)
    inside = np.clip(x, 1e-6, length - 1e-6)
    depth = share * goal.depth(inside).real
    if np.all(depth <= stock - bar.profile.thickness(inside).real + 1e-6):
        return ()
    table = Table(x=tuple(x.tolist()), depth=tuple(np.maximum(depth, 0.0).tolist()))
    return (replace(table, measured_from="blank"),)


def _told(depth: float, step: float) -> float:
    return depth if step == 0.0 else float(np.floor(depth / step)) * step
