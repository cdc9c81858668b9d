"""Recipes: the least wood to remove that lowers one mode by so many cents and spares the others.

Amounts a_j ≥ 0 at stations j change the modes by S a, nearly. Least removal under bounds on the
others is a linear programme; its solutions use few places, which is what a maker wants. The
programme is then solved again with its aim moved by what the solid says is still missing, until
the solid itself confirms the recipe.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from scipy.optimize import linprog as _linprog

from barmodel.bar import LEAST_THICKNESS, Bar
from barmodel.cutmap.chart import stations
from barmodel.cutmap.effect import VERTICAL, light_effect, solve_modes
from barmodel.errors import InputError, NoSolutionError
from barmodel.solid import Order
from barmodel.undercut import Shape, build_profile
from barmodel.undercut.cutters import Cutter
from barmodel.undercut.piece import Array
from barmodel.units import MM

TRIAL = 0.1 * MM
"""Depth for which the effect of each station is first taken. [m]"""
ROUNDS = 14
DAMPING = 0.6
"""Part of what was missed that counts at once: deep cuts bite more than in proportion, and the
whole of it would swing to and fro. [1]"""
CALMER = 0.92
"""Factor on the damping from round to round. [1]"""
DEEPEST = 0.5
"""Part of the thickness one cut of a recipe may take. [1]"""
DRUM_DEEPEST = 2.5 * MM
"""Deepest cut of a drum in a recipe; its stations keep room for so wide a cut. [m]"""
DRUM_POWER = 1.5
"""A drum's cut is √depth long, so that it removes depth^1.5. [1]"""
ACCURACY = 0.01
"""Relative accuracy to which the asked shift is met. [1]"""
MARGIN = 0.8
"""Part of the tolerance the programme may use at first; the rest is for its linearity. [1]"""
LEAST_DEPTH = 2e-6
"""Cuts shallower than this are left out. [m]"""


linprog: Any = _linprog
"""Its stubs know no arrays of unknown shape."""


@dataclass(frozen=True, slots=True, eq=False)
class Recipe:
    """Cuts that lower one mode and spare the others.

    Attributes
    ----------
    cuts : tuple of Shape
        Mirror pairs, left ones.
    labels : tuple of str
        Modes.
    asked_cents : float
        Shift asked of the mode. [cent]
    shift_cents : ndarray, shape (k,)
        Shifts of all modes, by a solution of the cut bar. [cent]
    tolerance_cents : float
        Most the others may move. [cent]
    volume : float
        Wood removed. [m³]
    rounds : int
        Solutions needed.
    """

    cuts: tuple[Shape, ...]
    labels: tuple[str, ...]
    asked_cents: float
    shift_cents: Array
    tolerance_cents: float
    volume: float
    rounds: int


def find_recipe(
    bar: Bar,
    cutter: Cutter,
    *,
    mode: str,
    cents: float,
    tolerance: float = 1.0,
    labels: Sequence[str] = VERTICAL,
    count: int = 41,
    keep: float = LEAST_THICKNESS,
    order: Order = "standard",
) -> Recipe:
    """Find the least removal that lowers one mode by `cents` and moves the others little.

    Parameters
    ----------
    bar : Bar
    cutter : Cutter
        Cuts are mirror pairs of it.
    mode : str
        The mode to lower, as V2.
    cents : float
        By how much; above zero. [cent]
    tolerance : float
        Most that each other mode may move. [cent]
    labels : sequence of str
        Modes that are watched, `mode` among them.
    count : int
        Stations on the half bar.
    keep : float
        Least thickness. [m]
    order : {"standard", "quick", "fine"}
        Mesh of the confirming solutions.

    Raises
    ------
    NoSolutionError
        If the others cannot be spared so well; with the tolerance that can be had.
    """
    if mode not in labels:
        raise InputError(f"mode {mode!r} is not among {', '.join(labels)}")
    if not cents > 0.0 or not tolerance > 0.0:
        raise InputError("cents and tolerance must be above zero: a recipe lowers one mode")
    chosen = list(labels).index(mode)
    effect = light_effect(bar, labels, order=order)
    pool = _pool(bar, cutter, count)
    task = _Task(
        effects=np.stack([effect.shift(cut) for cut in pool], axis=1) * (MM / TRIAL),
        area=_areas(bar, pool),
        limit=_linear(_room(bar, pool, keep, cutter), cutter) / MM,
        chosen=chosen,
        cents=cents,
        tolerance=tolerance,
        mode=mode,
    )
    bias, damping = np.zeros(len(labels)), DAMPING
    for round_ in range(1, ROUNDS + 1):
        depths = task.without_traces(task.least_removal(bias), bias, cutter)
        real = _real(depths * MM, cutter)
        used = np.flatnonzero(real)
        cuts = tuple(_as_cut(cutter, pool[k], float(real[k])) for k in used)
        after = solve_modes(bar.with_cuts(*cuts), labels, order=order)
        shift = 1200 * np.log2(np.array([after[name].hz for name in labels]) / effect.hz)
        met = abs(shift[chosen] + cents) <= ACCURACY * cents
        if met and np.delete(np.abs(shift), chosen).max(initial=0.0) <= tolerance:
            wood = bar.volume - bar.with_cuts(*cuts).volume
            return Recipe(cuts, tuple(labels), cents, shift, tolerance, wood, round_)
        bias += damping * (shift - task.effects @ depths - bias)
        damping *= CALMER
    raise NoSolutionError(
        f"{mode} cannot be lowered by {cents:g} cents with {cutter.name} while the others move "
        f"less than {tolerance:g}; allow them more, ask for less, or take a finer cutter"
    )


@dataclass(frozen=True, slots=True, eq=False)
class _Task:
    """The linear programme: depths of the stations in mm."""

    effects: Array
    area: Array
    limit: Array
    chosen: int
    cents: float
    tolerance: float
    mode: str

    @property
    def others(self) -> Array:
        """Effects on the modes to be spared."""
        return np.delete(self.effects, self.chosen, axis=0)

    def least_removal(self, bias: Array) -> Array:
        """Depths of least removal, given what linear theory is found to miss. [mm]

        Parameters
        ----------
        bias : ndarray, shape (k,)
            Shift by the solid minus linear shift, at the last recipe. [cent]
        """
        rest = np.delete(bias, self.chosen)
        room = MARGIN * self.tolerance
        solution = linprog(
            self.area / self.area.mean(),
            A_ub=np.vstack([self.others, -self.others]),
            b_ub=np.concatenate([room - rest, room + rest]),
            A_eq=self.effects[self.chosen][None],
            b_eq=np.array([-self.cents - bias[self.chosen]]),
            bounds=np.stack([np.zeros_like(self.limit), self.limit], axis=1),
            method="highs",
        )
        if solution.success:
            return np.asarray(solution.x)
        raise NoSolutionError(
            f"{self.mode} cannot be lowered by {self.cents:g} cents with this cutter while the "
            f"others move less than {self.tolerance:g}; {self._best_possible()}"
        )

    def without_traces(self, depths: Array, bias: Array, cutter: Cutter) -> Array:
        """Leave out cuts too shallow to make; the others make up for them. [mm]"""
        kept = np.where(_real(depths * MM, cutter) > LEAST_DEPTH, depths, 0.0)
        wanted = -self.cents - bias[self.chosen]
        had = float(self.effects[self.chosen] @ kept)
        return np.asarray(kept * (wanted / had)) if had * wanted > 0.0 else depths

    def _best_possible(self) -> str:
        """In words, the smallest tolerance that would do."""
        others = np.vstack([self.others, -self.others])
        solution = linprog(
            np.append(np.zeros_like(self.limit), 1.0),
            A_ub=np.hstack([others, -np.ones((others.shape[0], 1))]),
            b_ub=np.zeros(others.shape[0]),
            A_eq=np.append(self.effects[self.chosen], 0.0)[None],
            b_eq=np.array([-self.cents]),
            bounds=np.stack([np.zeros(self.limit.size + 1), np.append(self.limit, 1e6)], axis=1),
            method="highs",
        )
        if not solution.success:
            return "there is not wood enough; ask for less"
        return f"allow them about {solution.fun / MARGIN:.1f} cents"


def _pool(bar: Bar, cutter: Cutter, count: int) -> list[Shape]:
    """Trial cuts on the left half, pairs that do not overlap in the middle, and a middle one."""
    width = cutter.least_width(DRUM_DEEPEST if cutter.kind == "drum" else TRIAL)
    places = stations(bar, width, 2 * count)[:count]
    middle = bar.blank.length / 2
    places = places[places < middle - width / 2]
    pairs = [cutter.cut(at=float(at), depth=TRIAL, mirror=True) for at in places]
    return [*pairs, cutter.cut(at=middle, depth=TRIAL)]


def _as_cut(cutter: Cutter, trial: Shape, depth: float) -> Shape:
    start, end = trial.extent
    return cutter.cut(at=(start + end) / 2, depth=depth, mirror=trial.mirror)


def _areas(bar: Bar, pool: Sequence[Shape]) -> Array:
    """Area of the side view each station removes per depth. [m]"""
    length, stock = bar.blank.length, bar.blank.thickness
    return np.array(
        [length - build_profile(length, stock, (cut,)).integral() / stock for cut in pool]
    ) * (stock / TRIAL)


def _room(bar: Bar, pool: Sequence[Shape], keep: float, cutter: Cutter) -> Array:
    """Depth that each station has to give. [m]"""
    out = []
    for cut in pool:
        start, end = cut.extent
        x = np.linspace(start, end, 21)[1:-1]
        thinnest = float(bar.profile.thickness(x).real.min())
        out.append(max(min(thinnest - keep, DEEPEST * thinnest), 0.0))
    room = np.array(out)
    return np.minimum(room, DRUM_DEEPEST) if cutter.kind == "drum" else room


def _linear(depth: Array, cutter: Cutter) -> Array:
    """The amount, equal to the depth at the trial depth, that wood removed is proportional to."""
    power = DRUM_POWER if cutter.kind == "drum" else 1.0
    return np.asarray(TRIAL * (depth / TRIAL) ** power)


def _real(amount: Array, cutter: Cutter) -> Array:
    """Depth that belongs to an amount. [m]"""
    power = DRUM_POWER if cutter.kind == "drum" else 1.0
    return np.asarray(TRIAL * (np.maximum(amount, 0.0) / TRIAL) ** (1.0 / power))
