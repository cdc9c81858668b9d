"""Recipes: the least wood to remove that lowers one mode by so many cents and spares the others.

Amounts at a few places change the modes nearly in proportion; `programme` finds the least of them
under bounds on the other modes, as cuts that do not overlap. It is then asked again with its aim
moved by what the solid says is still missing, until the solid itself confirms the recipe.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from barmodel.bar import LEAST_THICKNESS, Bar
from barmodel.cutmap.effect import VERTICAL, LightEffect, light_effect, solve_modes
from barmodel.cutmap.programme import USED, Programme, programme
from barmodel.cutmap.spots import spots
from barmodel.errors import InputError, NoSolutionError
from barmodel.pitch import cents
from barmodel.solid import Order
from barmodel.undercut import Shape
from barmodel.undercut.cutters import Cutter
from barmodel.undercut.piece import Array
from barmodel.units import MM

ROUNDS = 14
DAMPING = 0.6
"""Part of what was missed that counts at once: deep cuts bite more than in proportion, and the
whole of it would swing to and fro. [1]"""
CALMER = 0.92
"""Factor on the damping from round to round. [1]"""
OFFER_ROUNDS = 3
"""Solutions spent on where to look for an offer where there is no recipe."""
OFFERS = 4
"""Offers tried of each kind."""
SAFELY, FURTHER = 1.05, 1.15
"""An offer tried, over what the programme thinks possible, and over the one before. [1]"""
LEAST_OFFER = 0.5
"""Shift below which an offer is none. [cent]"""
PLACES = 41
"""Stations on the half bar."""
ACCURACY = 0.01
"""Relative accuracy to which the asked shift is met. [1]"""


@dataclass(frozen=True, slots=True, eq=False)
class Recipe:
    """Cuts that lower one mode and spare the others.

    Attributes
    ----------
    cuts : tuple of Shape
        Mirror pairs, left ones, and middle cuts; none overlap.
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
    keep: float = LEAST_THICKNESS,
    deepest: float | None = None,
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
    keep : float
        Least thickness. [m]
    deepest : float, optional
        Deepest cut; by default a tenth of the thickness there. [m]
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
    if deepest is not None and not deepest > 0.0:
        raise InputError("the deepest cut of a recipe must be above zero")
    effect = light_effect(bar, labels, order=order)
    found = spots(bar, cutter, count=PLACES, keep=keep, deepest=deepest)
    if not found:
        raise NoSolutionError(
            f"{cutter.name}: there is no place on this bar with wood to give above the least "
            f"thickness of {keep / MM:g} mm; take a narrower cutter or set another least thickness"
        ).if_thinner()
    task = programme(bar, effect, found, mode=mode, cents=cents, tolerance=tolerance)
    recipe, bias = _search(effect, task, order)
    if recipe is None:
        raise _refused(effect, task, bias, order)
    return recipe


def _search(effect: LightEffect, task: Programme, order: Order) -> tuple[Recipe | None, Array]:
    """Ask the programme and the solid in turn; also what the solid last said was missing."""
    bar, damping = effect.bar, DAMPING
    bias, used = np.zeros(len(effect.labels)), np.empty(0, dtype=int)
    for round_ in range(1, ROUNDS + 1):
        amounts = task.least_removal(bias, used)
        if amounts is None:
            return None, bias
        used = np.flatnonzero(amounts > USED)
        cuts = task.cuts(amounts)
        shift = _shift(effect, cuts, order)
        others = np.delete(np.abs(shift), task.chosen).max(initial=0.0)
        met = abs(shift[task.chosen] + task.cents) <= ACCURACY * task.cents
        if met and others <= task.tolerance:
            wood = bar.volume - bar.with_cuts(*cuts).volume
            found = Recipe(cuts, effect.labels, task.cents, shift, task.tolerance, wood, round_)
            return found, bias
        bias += damping * (shift - task.effects @ amounts - bias)
        damping *= CALMER
    return None, bias


def _shift(effect: LightEffect, cuts: Sequence[Shape], order: Order) -> Array:
    """Shift of each mode by cuts, by a solution of the cut bar. [cent]"""
    after = solve_modes(effect.bar.with_cuts(*cuts), effect.labels, order=order)
    return cents([after[name].hz for name in effect.labels], effect.hz)


def _refused(effect: LightEffect, task: Programme, bias: Array, order: Order) -> NoSolutionError:
    """Refuse, with what could be had instead, each tried."""
    for _ in range(OFFER_ROUNDS):  # how the solid answers to the nearest there is
        amounts = task.nearest(bias)
        if amounts is None:
            break
        bias = _shift(effect, task.cuts(amounts), order) - task.effects @ amounts
    offers = []
    if (allow := _allowed(effect, task, bias, order)) is not None:
        offers.append(f"allow them {allow:.1f} cents")
    if (less := _less(effect, task, bias, order)) is not None:
        offers.append(f"ask for {less:.1f} cents")
    deepest = max(spot.deepest for spot in task.spots) / MM
    return NoSolutionError(
        f"{task.mode} cannot be lowered by {task.cents:g} cents with {task.spots[0].cutter.name} "
        f"while the others move less than {task.tolerance:g}, in cuts of at most {deepest:.2g} mm; "
        + (f"tried, and it works: {', or '.join(offers)}; or " if offers else "ask for less, or ")
        + "allow deeper cuts (--deepest)"
    )


def _allowed(effect: LightEffect, task: Programme, bias: Array, order: Order) -> float | None:
    """Find a tolerance at which there is a recipe. [cent]"""
    allow = task.tolerance
    for _ in range(OFFERS):
        offered = task.offers(bias)[0]
        if offered is None:
            return None
        allow = float(np.ceil(10.0 * max(offered * SAFELY, allow * FURTHER)) / 10.0)
        found, bias = _search(effect, replace(task, tolerance=allow), order)
        if found is not None:
            return allow
    return None


def _less(effect: LightEffect, task: Programme, bias: Array, order: Order) -> float | None:
    """Find a shift for which there is a recipe. [cent]"""
    less = task.cents
    for _ in range(OFFERS):
        offered = task.offers(bias)[1]
        if offered is None:
            return None
        less = float(np.floor(10.0 * min(offered / SAFELY, less / FURTHER)) / 10.0)
        if less < LEAST_OFFER:
            return None
        found, bias = _search(effect, replace(task, cents=less), order)
        if found is not None:
            return less
    return None
