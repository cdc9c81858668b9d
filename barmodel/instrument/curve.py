"""Lengths of a set: a smooth curve inside the windows that lets nodes lie on straight cords.

Half the distance between the nodes of a bar must be a straight function of its place in the row
for both cords of the row to be straight. Least squares weigh that against an even curve and the
wished lengths; bounds keep every bar where it has a good undercut.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from scipy.optimize import lsq_linear

from barmodel.instrument.layout import places, rows
from barmodel.instrument.plan import SetPlan
from barmodel.instrument.survey import Survey
from barmodel.undercut.piece import Array
from barmodel.units import MM

WISH = 0.04
"""Deviation from the wished length that weighs one, as a share. [1]"""
WISH_STEP = 0.005
"""Deviation from the wished ratio of neighbouring lengths that weighs one. [1]"""
EVEN = 0.15 * MM
"""Third difference from bar to bar that weighs one. [m]"""
STRAIGHT = 0.5 * MM
"""Misfit to a straight cord that weighs one. [m]"""
TIGHT = 1e-6
"""Room left to a length that the maker holds. [m]"""
ROUNDS = 3
"""How often the nodes are brought up to date; they move little with the length."""
PRESSES = 9
"""How often what is still too far off is weighed more, at most."""
ENOUGH = 1.2 * MM
"""Misfit, and second difference of lengths, that is left alone: 2 mm are wanted, and the solid's
nodes lie up to half a millimetre from those of the beam. [m]"""
GAIN, PATIENCE = 0.02, 2
"""Share by which the worst must come down, and how often it may fail to in a row."""
JUMP_COST = 2.0
"""Cost of a second difference beyond that, over a misfit: straighter cords are no reason for
lengths that jump. [1]"""
MOST_PRESS = 3.0
"""Factor by which a weight grows at most at once. [1]"""
STEP = 0.1 * MM
"""Lengths are rounded to this. [m]"""


@dataclass(frozen=True, slots=True, eq=False)
class Lengths:
    """Lengths of all bars.

    Attributes
    ----------
    length, wish, shortest, longest : ndarray, shape (n,)
        [m]
    node : ndarray, shape (n,)
        Expected first still point of mode 1, as a share of the length. [1]
    centre : ndarray, shape (n,)
        Expected thickness in the middle. [m]
    """

    length: Array
    wish: Array
    shortest: Array
    longest: Array
    node: Array
    centre: Array


def find_lengths(
    survey: Survey,
    *,
    node_change: Array | float = 0.0,
    presses: int | None = None,
    sawn: Mapping[int, float] | None = None,
) -> Lengths:
    """Choose the lengths of a set.

    Parameters
    ----------
    survey : Survey
    node_change : ndarray, shape (n,), optional
        What the nodes are known to differ by from the survey, as a share of the length. [1]
    presses : int, optional
        How often what is too far off is weighed more, at most; `PRESSES` by default.
    sawn : mapping of int to float, optional
        Lengths by semitone of bars that are sawn already. They are held as those that the maker
        gives, where he gives none and the length suits the note; they make nobody wish for others.
        [m]

    Notes
    -----
    Minimised is Σ(wish)² + Σ(step of the wish)² + Σ(third differences)² + Σ(misfit)², each over
    what weighs one, inside the bounds. Third and not second differences: a curve that bends evenly
    is even to the eye. Where a misfit or a second difference stays large, the bars it is found at
    are weighed more and more; the lengths of least misfit are taken that do not jump.
    """
    plan = survey.plan
    low, wish, high = survey.bounds(room=plan.lengths.adjust)
    held = {
        note - plan.lowest: value
        for note, value in plan.lengths.given.items()
        if note in plan.semitones
    }
    for i, value in held.items():
        wish[i] = value
    held = _suited(survey, sawn or {}) | held
    for i, value in held.items():
        low[i], high[i] = value - TIGHT, value + TIGHT
    high = np.maximum(high, low + TIGHT)
    lengths = np.array([held.get(i, length) for i, length in enumerate(np.clip(wish, low, high))])
    if len(held) < wish.size:
        for _ in range(ROUNDS - 1):
            lengths = _least_squares(plan, survey.nodes(lengths) + node_change, low, wish, high)
        most = PRESSES if presses is None else presses
        lengths = _pressed(survey, lengths, node_change, (low, wish, high), presses=most)
        rounded = np.round(lengths / STEP) * STEP
        lengths = np.array([held.get(i, length) for i, length in enumerate(rounded.tolist())])
    nodes = survey.nodes(lengths) + node_change
    return Lengths(lengths, wish, low, high, nodes, survey.centres(lengths))


def _suited(survey: Survey, sawn: Mapping[int, float]) -> dict[int, float]:
    """Lengths by position of bars that are sawn as a bar of their note can be."""
    if not sawn:
        return {}
    low, _, high = survey.bounds(room=math.inf)
    return {
        note - survey.plan.lowest: value
        for note, value in sawn.items()
        if low[note - survey.plan.lowest] <= value <= high[note - survey.plan.lowest]
    }


def _pressed(
    survey: Survey,
    lengths: Array,
    node_change: Array | float,
    bounds: tuple[Array, Array, Array],
    *,
    presses: int,
) -> Array:
    """Solve, and weigh more what is too far off, until nothing is or nothing helps."""
    plan, press = survey.plan, _Press.even(lengths.size)
    best, least, vain = lengths, np.inf, 0
    for _ in range(1 + presses):
        nodes = survey.nodes(lengths) + node_change
        lengths = _least_squares(plan, nodes, *bounds, press=press)
        off = misfits(plan, lengths, survey.nodes(lengths) + node_change)
        bend = np.abs(differences(steps(plan), 2) @ lengths)
        jump = max(bend.max(initial=0.0) - ENOUGH, 0.0)
        worst = off.max() + JUMP_COST * jump
        vain = 0 if worst < (1 - GAIN) * least else vain + 1
        if worst < least:
            best, least = lengths, worst
        if (off.max() <= ENOUGH and jump == 0.0) or vain == PATIENCE:
            break
        press = press.more(off, bend)
    return best


@dataclass(frozen=True, slots=True, eq=False)
class _Press:
    """Weights of the bars' misfits, shape (n,), and of second differences, shape (n − 2,)."""

    off: Array
    bend: Array

    @classmethod
    def even(cls, n: int) -> _Press:
        return cls(np.ones(n), np.zeros(max(n - 2, 0)))

    def more(self, off: Array, bend: Array) -> _Press:
        """Weigh more what is above enough."""
        begun = np.where(bend > ENOUGH, np.maximum(self.bend, STRAIGHT / ENOUGH), self.bend)
        grown = [np.clip(now / ENOUGH, 1.0, MOST_PRESS) for now in (off, bend)]
        return _Press(self.off * grown[0], begun * grown[1])


def misfits(plan: SetPlan, lengths: Array, nodes: Array) -> Array:
    """Distance of each bar's nodes from the straight cords of its row, shape (n,). [m]

    Parameters
    ----------
    plan : SetPlan
    lengths, nodes : ndarray, shape (n,)
        [m], and first still point of mode 1 as a share of the length.
    """
    half, off = (0.5 - nodes) * lengths, np.zeros(lengths.size)
    for row in rows(plan):
        if row.size > 2:
            off[row] = np.abs(off_the_line(places(plan)[row]) @ half[row])
    return off


def _least_squares(
    plan: SetPlan, nodes: Array, low: Array, wish: Array, high: Array, press: _Press | None = None
) -> Array:
    n, at = wish.size, steps(plan)
    press = press or _Press.even(n)
    evenly = np.diag(1.0 / np.interp(at, np.arange(n), wish))
    blocks = [
        np.diag(1.0 / (WISH * wish)),
        np.diff(evenly, axis=0) / WISH_STEP,
        press.bend[:, None] / STRAIGHT * differences(at, 2),
        differences(at, 3) / EVEN,
    ]
    goals = [np.full(n, 1.0 / WISH), np.zeros(sum(len(block) for block in blocks[1:]))]
    for row in rows(plan):
        if row.size > 2:
            straight = off_the_line(places(plan)[row]) * (0.5 - nodes[row])
            block = np.zeros((row.size, n))
            block[:, row] = press.off[row, None] * straight / STRAIGHT
            blocks.append(block)
            goals.append(np.zeros(row.size))
    solved = lsq_linear(
        np.vstack(blocks), np.concatenate(goals), (low, high), method="bvls", max_iter=10 * n
    )
    return np.asarray(solved.x)


def steps(plan: SetPlan) -> Array:
    """Where each bar stands on the scale along which lengths run evenly, shape (n,). [1]"""
    notes = np.arange(len(plan.semitones), dtype=float)
    if plan.lengths.along == "notes" or notes.size < 3:
        return notes
    at = places(plan)
    return np.asarray((at - at[0]) / (at[-1] - at[0]) * notes[-1])


def differences(at: Array, order: int) -> Array:
    """Matrix of second, third … differences for uneven places, shape (n − order, n).

    Examples
    --------
    >>> differences(np.arange(4.0), 3).round(6).tolist()
    [[-1.0, 3.0, -3.0, 1.0]]
    """
    n = at.size
    out = np.zeros((max(n - order, 0), n))
    for i in range(n - order):
        x = at[i : i + order + 1]
        for j in range(order + 1):
            out[i, i + j] = math.factorial(order) / np.prod(x[j] - np.delete(x, j))
    return out


def off_the_line(x: Array) -> Array:
    """Matrix that leaves of values at x what a straight line does not explain, shape (n, n)."""
    basis = np.stack([np.ones_like(x), x - x.mean()], axis=1)
    return np.asarray(np.eye(x.size) - basis @ np.linalg.pinv(basis))
