"""A bar with a flat mode: raise all of it at its ends, and lower what must not rise.

Shortening, or thinning the undersides of the ends, raises all modes; the same linear programme as
for the way home, with these two in it, says how much and what must then come down again.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from barmodel.bench.aim import Goal
from barmodel.bench.model import solid_log_hz
from barmodel.bench.outcome import outcome
from barmodel.bench.plan import (
    FLAT_DEARER,
    LAST_CENTS,
    WHOLE,
    WOOD,
    Place,
    Ways,
    as_told,
    spread_after,
)
from barmodel.bench.pool import Pool
from barmodel.bench.posterior import Posterior
from barmodel.cutmap import LightEffect
from barmodel.cuts import Cut, EndTrim, end_thinning
from barmodel.linear import nearest
from barmodel.undercut import Shape
from barmodel.undercut.piece import Array
from barmodel.units import CENTS, MM

MOST_TRIM, MOST_TRIM_SHARE = 4.0 * MM, 0.012
"""Longest piece off each end a rescue takes: some 50 cents (limit from memory: beyond, a bar is
moved to a lower note). [m], [1]"""
FARTHEST_TRIM_SHARE = 0.025
"""The same where that does not do: the maker is told that it is much (own choice). [1]"""
MOST_THINNING = 2.0 * MM
THIN_SHARE = 0.09
"""Length of the thinned ends over the bar's. [1]"""
TRIM_STEP = 0.1 * MM
END_COST = 60.0
"""Cost of a millimetre of either, in mm² of an ordinary cut: it moves nodes or deadens ends."""
MET = 0.5
"""A recipe that misses a tolerance by no more counts. [cent]"""
LEAST_THEN = 0.03
"""Shallower cuts are not told. [mm]"""
MOST_THEN = 0.12
"""Share of the present thickness that all cuts of a recipe together may take anywhere: as much as
linear theory may be trusted with. [1]"""
TOLD_BITES = 2.0
"""Times the limit of one bite to which a cut of a recipe is told: of deeper ones, linear theory
knows too little. [1]"""
TRIES = 8
CORRECTIONS = 2
BEND = (0.6, 2.2)
"""Bounds of what the solid makes of a cut, over what linear theory does. [1]"""


@dataclass(frozen=True, slots=True, eq=False)
class Rescue:
    """A way to save a bar.

    Attributes
    ----------
    first : Cut
        What to do at the ends, before listening again.
    end_mm : float
        Millimetres off each end, or of thickness under both.
    then : tuple of Shape
        Cuts to be made afterwards, from the left end of the bar as it then is, in that order.
    tools : tuple of str
        Cutter of each.
    picks : tuple of int
        Which of the pool's cuts they are.
    shift_cents : ndarray, shape (k,)
        By the work at the ends. [cent]
    miss : ndarray, shape (k,)
        Cents by which tolerances would still be missed.
    cents : ndarray, shape (k,)
        From the target after all of it, by linear theory. [cent]
    chance : float
        Of all modes then being within their tolerances, were nothing heard on the way. [1]
    """

    first: Cut
    end_mm: float
    then: tuple[Shape, ...]
    tools: tuple[str, ...]
    picks: tuple[int, ...]
    shift_cents: Array
    miss: Array
    cents: Array
    chance: float

    @property
    def much(self) -> bool:
        """Whether that is more off the ends than is usual."""
        return isinstance(self.first, EndTrim) and self.end_mm > MOST_TRIM / MM + 1e-9

    @property
    def works(self) -> bool:
        """Whether it leads into all tolerances."""
        return bool(np.abs(self.miss).max() <= MET)


def find_rescues(
    posterior: Posterior, goal: Goal, place: Place, pool: Pool, effect: LightEffect
) -> tuple[Rescue, ...]:
    """Try shortening and thinning the ends, each with what must come down afterwards.

    Returns
    -------
    tuple of Rescue
        Those that work, the shortening first; else the one that comes nearest.
    """
    room = MOST_THEN * pool.thickness
    trim, thin = _ends(posterior, goal, effect)
    far = _farther(trim, posterior)
    lowering = pool.without([int(j) for j in np.flatnonzero(pool.effects[0] > 0.0)])
    known: list[Rescue] = []
    # to raise the bar is the work of the ends; only where they cannot, cuts near them help
    for cuts, ends in ((lowering, (trim, thin)), (lowering, (far,)), (pool, (trim, thin, far))):
        pairs = [(end, _recipe(posterior, goal, place, cuts, room, end)) for end in ends]
        works = [(end, one) for end, one in pairs if one is not None and one.works]
        if works:
            mended = _corrected(posterior, goal, place, cuts, room, *works[0])
            return (mended, *(one for _end, one in works[1:]))
        known += [one for _end, one in pairs if one is not None]
    return tuple(sorted(known, key=lambda one: float(np.abs(one.miss).max()))[:1])


def _farther(trim: _End, posterior: Posterior) -> _End:
    """More off the ends than one likes."""
    return replace(trim, most=FARTHEST_TRIM_SHARE * posterior.bar.blank.length / MM)


def least_missed(
    posterior: Posterior, goal: Goal, place: Place, pool: Pool, room: Array, effect: LightEffect
) -> Array:
    """Cents by which tolerances are missed by the best that cuts and ends can do, shape (k,).

    Parameters
    ----------
    room : ndarray, shape (m,)
        Wood that may go at the places of the pool. [m]
    """
    trim, thin = _ends(posterior, goal, effect)
    ends = (_farther(trim, posterior), thin)
    missed = [_programme(place, goal, pool, room, end)[2] for end in ends]
    return min(missed, key=lambda miss: float(np.abs(miss).max()))


@dataclass(frozen=True, slots=True, eq=False)
class _End:
    """Something to do at both ends.

    Attributes
    ----------
    kind : {"trim", "thin"}
    per_mm : ndarray, shape (k,)
        [cent/mm]
    most : float
        [mm]
    """

    kind: str
    per_mm: Array
    most: float


def _ends(posterior: Posterior, goal: Goal, effect: LightEffect) -> tuple[_End, _End]:
    """Shortening and thinning."""
    bar, k = posterior.bar, goal.count
    length = bar.blank.length
    shortened = solid_log_hz(bar.trimmed(left=MM, right=MM), k) - solid_log_hz(bar, k)
    thinned = effect.shift(end_thinning(length=THIN_SHARE * length, depth=MM))
    most = min(MOST_TRIM, MOST_TRIM_SHARE * length)
    return _End("trim", CENTS * shortened, most / MM), _End("thin", thinned, MOST_THINNING / MM)


def _recipe(
    posterior: Posterior, goal: Goal, place: Place, pool: Pool, room: Array, end: _End
) -> Rescue | None:
    """Work at the ends, and the cuts that must follow; None if nothing at the ends helps."""
    amounts, size, miss = _programme(place, goal, pool, room, end)
    # told are cuts beside each other, none a notch, even if several in one place did better
    pool = replace(pool, limit=TOLD_BITES / WHOLE * pool.limit)
    amounts, size, _missed = _programme(place, goal, pool, room, end)
    for _ in range(TRIES):
        amounts = np.where(amounts < LEAST_THEN, 0.0, amounts)
        second = _on_others(pool, amounts)
        if not second:
            break
        pool = pool.without(second)
        amounts, size, _missed = _programme(place, goal, pool, room, end)
    amounts = np.where(amounts < LEAST_THEN, 0.0, amounts)
    size = np.ceil(size / (TRIM_STEP / MM) - 1e-6) * TRIM_STEP / MM
    if size <= 0.0:
        return None
    length = posterior.bar.blank.length
    trim = EndTrim(left=size * MM, right=size * MM)
    thin = end_thinning(length=round(THIN_SHARE * length / MM) * MM, depth=size * MM)
    used = [int(j) for j in np.flatnonzero(amounts)]
    used.sort(key=lambda j: sum(pool.cuts[j].extent))
    nearer = size * MM if end.kind == "trim" else 0.0
    cents = place.cents + size * end.per_mm + pool.effects @ amounts
    spread = spread_after(place, posterior, Ways.of(pool), amounts)
    return Rescue(
        first=trim if end.kind == "trim" else thin,
        end_mm=float(size),
        then=tuple(pool.cut(j, float(as_told(amounts[j])), nearer=nearer) for j in used),
        tools=tuple(pool.cutters[j].name for j in used),
        picks=tuple(used),
        shift_cents=end.per_mm * size,
        miss=miss,
        cents=cents,
        chance=goal.chance(cents, spread),
    )


def _corrected(
    posterior: Posterior,
    goal: Goal,
    place: Place,
    pool: Pool,
    room: Array,
    end: _End,
    recipe: Rescue,
) -> Rescue:
    """Ask the solid what the whole recipe does, and mend the cuts by that."""
    k, miss = goal.count, recipe.miss
    # at the same places: what linear theory is wrong by differs from place to place
    others = np.setdiff1d(np.arange(pool.limit.size), recipe.picks)
    pool = pool.without([int(j) for j in others])
    for _ in range(CORRECTIONS):
        by_cuts = recipe.cents - place.cents - recipe.shift_cents
        real = outcome(posterior, (recipe.first, *recipe.then)).shift_cents[:k]
        large = np.abs(by_cuts) > 1.0
        bend = np.where(large, (real - recipe.shift_cents) / np.where(large, by_cuts, 1.0), 1.0)
        bent = replace(pool, effects=pool.effects * np.clip(bend, *BEND)[:, None])
        better = _recipe(posterior, goal, place, bent, room, end)
        if better is None:
            break
        recipe = better
        pool = bent
    found = outcome(posterior, (recipe.first, *recipe.then))
    cents = goal.cents(found.log_hz)
    return replace(
        recipe, miss=miss, cents=cents, chance=goal.chance(cents, found.covariance[:k, :k])
    )


def _on_others(pool: Pool, amounts: Array) -> list[int]:
    """Cuts of the pool that lie on one in use: one at a place is all that is told.

    Empty if those in use lie beside each other; of two that do not, the one that takes more wood
    stays.
    """
    edges = np.array([cut.extent for cut in pool.cuts])
    used = np.argsort(-amounts * pool.area)[: np.count_nonzero(amounts)]
    over, clash = np.zeros(amounts.size, dtype=bool), False
    for j in used:
        if over[j]:
            clash = True
            continue
        start, end = pool.cut(int(j), float(amounts[j])).extent  # a drum's grows as it sinks
        near = (edges[:, 0] < end - 1e-9) & (edges[:, 1] > start + 1e-9)
        near[j] = False
        over |= near
    return [int(j) for j in np.flatnonzero(over)] if clash else []


def _programme(
    place: Place, goal: Goal, pool: Pool, room: Array, end: _End
) -> tuple[Array, float, Array]:
    """Least work at the ends and in the arch that leads home: amounts, ends [mm], misses."""
    n = pool.area.size
    low = goal.low + np.minimum(goal.factor * LAST_CENTS, (goal.high - goal.low) / 2)
    high = np.maximum(goal.high - 0.7 * LAST_CENTS, low)
    weight = 2.0 / (goal.high - goal.low)
    found = nearest(
        WOOD * np.append(pool.area, END_COST),
        np.column_stack([pool.effects, end.per_mm]),
        low=low - place.cents,
        high=high - place.cents,
        over_price=weight,
        under_price=FLAT_DEARER * weight,
        upper=np.append(WHOLE * pool.limit, end.most),
        rows=np.column_stack([pool.cover.T, np.zeros(room.size)]),
        at_most=room / MM,
    )
    over = np.maximum(found.over - (goal.high - high), 0.0)
    under = np.maximum(found.under - (low - goal.low), 0.0)
    return found.amounts[:n], float(found.amounts[n]), over - under
