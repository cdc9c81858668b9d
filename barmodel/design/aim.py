"""The search: damped Gauss–Newton in log-frequency, inside the limits, with exact derivatives."""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np

from barmodel.bar import Bar
from barmodel.beam import BeamModes, derivative, solve_beam
from barmodel.design.family import Family, complex_jacobian
from barmodel.design.least import bounded_step
from barmodel.errors import BarModelError
from barmodel.undercut.piece import Array
from barmodel.units import CENTS

"""Cents in one unit of natural log-frequency."""
TOLERANCE = 0.003
"""Error at which a design counts as met. [cent]"""
LONGEST_STEP = 0.25
"""Longest step in any unknown's logarithm; further the straight line says nothing."""
LEAST_DAMPING = 1.0
"""In (cents per unit)²: far below any mode's, so that it only picks the shortest step."""
MOST_STEPS = 20
GOOD_STEP = 0.25
"""Share of the error a step may leave for its derivatives to be kept."""
LEAST_ROOM = -1e-4
"""Relative crossing of a limit that counts as rounding."""


@dataclass(slots=True)
class Count:
    """How many times the beam was asked; the only thing that changes in a search."""

    solves: int = 0


@dataclass(frozen=True, slots=True, eq=False)
class Offset:
    """What a better model adds to the beam near a shape: cents + slope·(unknowns − at).

    Attributes
    ----------
    at : ndarray, shape (n,)
        Unknowns where the better model was asked.
    cents : ndarray, shape (k,)
        Better model minus beam there. [cent]
    slope : ndarray, shape (k, n)
        How that changes with the unknowns. [cent]
    """

    at: Array
    cents: Array
    slope: Array

    def near(self, unknowns: Array) -> Array:
        """Cents to add to the beam, shape (k,)."""
        return np.asarray(self.cents + self.slope @ (unknowns - self.at))

    def moved(self, at: Array, cents: Array) -> Offset:
        """Bring up to date by a second answer of the better model (Broyden's change)."""
        change = cents - self.near(at)
        return Offset(at, cents, self.slope + _rank_one(change, at - self.at))


@dataclass(frozen=True, slots=True, kw_only=True)
class Aim:
    """What is to be met: log-frequencies, absolute or over the first mode.

    Attributes
    ----------
    family : Family
    hz : ndarray, shape (k,)
        Frequencies aimed at; with `ratios_only` just their ratios count. [Hz]
    ratios_only : bool
    fixed : dict
        Position and value of unknowns that the maker holds.
    offset : Offset, optional
        What the beam is known to be wrong by.
    count : Count
    """

    family: Family
    hz: Array
    ratios_only: bool = False
    fixed: dict[int, float] = field(default_factory=dict)
    offset: Offset | None = None
    count: Count = field(default_factory=Count)

    @property
    def free(self) -> np.ndarray:
        """Positions of the unknowns that may move."""
        every = range(len(self.family.unknowns))
        return np.array([i for i in every if i not in self.fixed], dtype=int)

    def bar(self, unknowns: Array) -> Bar:
        """Draw the bar."""
        return Bar(blank=self.family.blank, undercut=self.family.cuts(unknowns))

    def modes(self, unknowns: Array) -> BeamModes:
        """Solve the bar on the beam."""
        self.count.solves += 1
        return solve_beam(self.bar(unknowns), count=self.hz.size)

    def error(self, hz: Array) -> Array:
        """Cents of each tuned mode above its target. [cent]"""
        return self._relative(CENTS * np.log(hz / self.hz))

    def corrected(self, hz: Array, unknowns: Array) -> Array:
        """Cents of each tuned mode above its target, as the better model would have it. [cent]"""
        cents = CENTS * np.log(hz / self.hz)
        if self.offset is not None:
            cents = cents + self.offset.near(unknowns)
        return self._relative(cents)

    def _relative(self, cents: Array) -> Array:
        """With ratios only, what counts is the interval to the first mode."""
        return np.asarray(cents[1:] - cents[0] if self.ratios_only else cents)

    def slopes(self, modes: BeamModes, unknowns: Array) -> Array:
        """Compute d(error)/d(free unknowns), shape (k, n). [cent]"""
        by_cut = np.stack(
            [weight * derivative(modes, key) for key, weight in self.family.keys], axis=1
        )
        _, drawn = complex_jacobian(self.family.values, unknowns)
        cents = CENTS * by_cut @ drawn[:, self.free]
        if self.offset is not None:
            cents = cents + self.offset.slope[:, self.free]
        return self._relative(cents)

    def room(self, unknowns: Array) -> tuple[Array, Array]:
        """Room left to each limit, and its gradient in the free unknowns."""
        left, gradient = complex_jacobian(self.family.slack, unknowns)
        return left, gradient[:, self.free]

    def inside(self, unknowns: Array) -> bool:
        """Whether all limits are kept."""
        return bool(self.family.slack(unknowns).real.min() >= LEAST_ROOM)


@dataclass(frozen=True, slots=True, eq=False)
class Hit:
    """Where a search ended.

    Attributes
    ----------
    unknowns : ndarray, shape (n,)
    modes : BeamModes
    error : ndarray, shape (k,)
        Cents from the aim. [cent]
    steps : int
    met : bool
        Whether every error is under the tolerance, inside all limits.
    pressed : tuple of str
        Limits the search leans on.
    """

    unknowns: Array
    modes: BeamModes
    error: Array
    steps: int
    met: bool
    pressed: tuple[str, ...]

    @property
    def worst(self) -> float:
        """Largest error. [cent]"""
        return float(np.abs(self.error).max())


def begin(aim: Aim, guess: Array) -> Array:
    """Put fixed measures into a guess and move it inside the limits, by shortest steps."""
    at = guess.copy()
    for index, value in aim.fixed.items():
        at[index] = value
    for _ in range(12):
        left, gradient = aim.room(at)
        if not left.min() < 0.0 or not aim.free.size:
            break
        n = aim.free.size
        ring = np.concatenate([np.eye(n), -np.eye(n)])
        limits, room = np.concatenate([gradient, ring]), np.append(left - 1e-6, np.ones(2 * n))
        step = bounded_step(np.zeros((0, n)), np.zeros(0), limits, room, damping=1.0)
        if step is None:
            break
        at[aim.free] += step
    return at


def shoot(
    aim: Aim,
    guess: Array,
    *,
    most: int = MOST_STEPS,
    tolerance: float = TOLERANCE,
    slopes: Array | None = None,
) -> Hit:
    """Search from a guess until the aim is met or nothing improves.

    While the steps do what the derivatives promise, these are kept and only brought up to date
    by what each step showed (Broyden's rank-one change); else they are computed anew.

    Parameters
    ----------
    aim : Aim
    guess : ndarray, shape (n,)
        Unknowns to start from.
    most : int
        Steps allowed.
    tolerance : float
        Largest error that counts as met. [cent]
    slopes : ndarray, shape (k, n free), optional
        Derivatives known from nearby.

    References
    ----------
    C. G. Broyden, Math. Comp. 19 (1965) 577 (from memory).
    """
    at = begin(aim, guess)
    modes = aim.modes(at)
    error = aim.corrected(modes.hz, at)
    damping, steps, fresh = LEAST_DAMPING, 0, False
    while steps < most and aim.free.size:
        if np.abs(error).max() <= tolerance and aim.inside(at):
            break
        if slopes is None:
            slopes, fresh = aim.slopes(modes, at), True
        moved = _one_step(aim, at, error, slopes, damping)
        steps += 1
        if moved is None and not fresh:
            slopes = None
            continue
        if moved is None:
            break
        new, modes, error_new, damping = moved
        before, after = float(np.linalg.norm(error)), float(np.linalg.norm(error_new))
        slopes = _updated(slopes, (new - at)[aim.free], error_new - error)
        if after > GOOD_STEP * before:
            slopes = None
        stuck = fresh and before - after < 1e-4 * before and steps > 3
        at, error, fresh = new, error_new, False
        if stuck:
            break
    met = bool(np.abs(error).max() <= tolerance) and aim.inside(at)
    return Hit(at, modes, error, steps, met, _pressed(aim, at))


def _updated(slopes: Array, step: Array, change: Array) -> Array:
    """Bring derivatives up to date by what the last step showed, and nothing else."""
    return np.asarray(slopes + _rank_one(change - slopes @ step, step))


def _rank_one(change: Array, step: Array) -> Array:
    """Least matrix that turns a step into a change."""
    square = float(step @ step)
    return np.outer(change, step) / (square if square > 0.0 else 1.0)


def _one_step(
    aim: Aim, at: Array, error: Array, slopes: Array, damping: float
) -> tuple[Array, BeamModes, Array, float] | None:
    """Try ever more cautious steps until one improves; None if none does."""
    left, gradient = aim.room(at)
    crossed = left.min() < LEAST_ROOM
    n = aim.free.size
    ring = np.concatenate([np.eye(n), -np.eye(n)])
    reach = LONGEST_STEP
    for _ in range(7):
        limits = np.concatenate([gradient, ring])
        step = bounded_step(
            slopes, -error, limits, np.append(left, np.full(2 * n, reach)), damping=damping
        )
        if step is None:
            return None
        new = at.copy()
        new[aim.free] += step
        try:
            modes = aim.modes(new)
            error_new = aim.corrected(modes.hz, new)
        except BarModelError:
            reach, damping = reach / 4, damping * 10
            continue
        if crossed or np.linalg.norm(error_new) < np.linalg.norm(error) * (1 - 1e-6):
            return new, modes, error_new, max(damping / 10, LEAST_DAMPING)
        reach = float(np.abs(step).max()) / 3
        damping *= 10
        if reach < 1e-7:
            break
    return None


def _pressed(aim: Aim, at: Array) -> tuple[str, ...]:
    left = aim.family.slack(at).real
    names = aim.family.slack_names()
    return tuple(dict.fromkeys(names[i] for i in np.flatnonzero(left < 5e-3)))
