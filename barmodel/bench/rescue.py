"""A bar with a flat mode: raise all of it at its ends, lower what must not rise, or rename it.

Shortening, or thinning the undersides of the ends, raises all modes; the same linear programme as
for the way home, with these two in it, says how much and what must then come down again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from barmodel.bench.aim import Goal
from barmodel.bench.model import CENTS, solid_log_hz
from barmodel.bench.plan import FLAT_DEARER, LAST_CENTS, WOOD, Place, linprog, whole_limits
from barmodel.bench.pool import Pool
from barmodel.bench.posterior import Posterior
from barmodel.cutmap import Cut, EndTrim, LightEffect, end_thinning
from barmodel.pitch import SHARP_NAMES, Target, note_semitone
from barmodel.undercut.piece import Array
from barmodel.units import MM

MOST_TRIM, MOST_TRIM_SHARE = 4.0 * MM, 0.012
"""Longest piece off each end a rescue takes: some 50 cents (limit from memory: beyond, a bar is
moved to a lower note). [m], [1]"""
MOST_THINNING = 2.0 * MM
THIN_SHARE = 0.09
"""Length of the thinned ends over the bar's. [1]"""
TRIM_STEP = 0.1 * MM
END_COST = 60.0
"""Cost of a millimetre of either, in mm² of an ordinary cut: it moves nodes or deadens ends."""
MET = 0.5
"""A recipe that misses a tolerance by no more counts. [cent]"""
CLOSE = 12 * MM
"""Cuts no farther apart are told as one. [m]"""
LEAST_THEN = 0.03
"""Shallower ones are not told. [mm]"""
DEEPER = 8.0
"""Times the limit of one bite that a bar may be cut on its way to a lower note."""
LOWEST = 12
"""Semitones down that are tried."""


@dataclass(frozen=True, slots=True, eq=False)
class Rescue:
    """A way to save a bar.

    Attributes
    ----------
    first : Cut
        What to do at the ends, before listening again.
    end_mm : float
        Millimetres off each end, or of thickness under both.
    then : tuple of (float, float)
        Places [mm] and depths [mm] to cut afterwards, on both halves, of cuts as long as the
        longest used there.
    shift_cents : ndarray, shape (k,)
        By the work at the ends. [cent]
    miss : ndarray, shape (k,)
        Cents by which tolerances would still be missed.
    """

    first: Cut
    end_mm: float
    then: tuple[tuple[float, float], ...]
    shift_cents: Array
    miss: Array

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
    length = posterior.bar.blank.length
    found = []
    for kind, per_mm, limit in _ends(posterior, goal, effect):
        amounts, end, miss = _programme(place, goal, pool, per_mm, limit)
        end = np.ceil(end / (TRIM_STEP / MM) - 1e-6) * TRIM_STEP / MM
        if end <= 0.0:
            continue
        trim = EndTrim(left=end * MM, right=end * MM)
        thin = end_thinning(length=round(THIN_SHARE * length / MM) * MM, depth=end * MM)
        then = _places(pool, amounts)
        first: Cut = trim if kind == "trim" else thin
        found.append(Rescue(first, float(end), then, per_mm * end, miss))
    works = tuple(one for one in found if one.works)
    return works or tuple(sorted(found, key=lambda one: float(np.abs(one.miss).max()))[:1])


def least_missed(
    posterior: Posterior, goal: Goal, place: Place, pool: Pool, effect: LightEffect
) -> Array:
    """Cents by which tolerances are missed by the best that cuts and ends can do, shape (k,)."""
    missed = [
        _programme(place, goal, pool, per_mm, limit)[2]
        for _kind, per_mm, limit in _ends(posterior, goal, effect)
    ]
    return min(missed, key=lambda miss: float(np.abs(miss).max()))


def _ends(
    posterior: Posterior, goal: Goal, effect: LightEffect
) -> tuple[tuple[str, Array, float], ...]:
    """Shortening and thinning: cents per mm, shape (k,), and the most that is done of it. [mm]"""
    bar, k = posterior.bar, goal.count
    length = bar.blank.length
    shortened = solid_log_hz(bar.trimmed(left=MM, right=MM), k) - solid_log_hz(bar, k)
    thinned = effect.shift(end_thinning(length=THIN_SHARE * length, depth=MM))
    most = min(MOST_TRIM, MOST_TRIM_SHARE * length)
    return (
        ("trim", CENTS * shortened, most / MM),
        ("thin", thinned, MOST_THINNING / MM),
    )


def _places(pool: Pool, amounts: Array) -> tuple[tuple[float, float], ...]:
    """Where the cuts lie, and as how deep ones: those close together are told as one. [mm]"""
    used = [int(j) for j in np.flatnonzero(amounts > 0.005)]
    used.sort(key=lambda j: sum(pool.cuts[j].extent))
    groups: list[list[int]] = []
    for j in used:
        middle = sum(pool.cuts[j].extent) / 2
        if groups and middle - sum(pool.cuts[groups[-1][-1]].extent) / 2 <= CLOSE:
            groups[-1].append(j)
        else:
            groups.append([j])
    found = []
    for group in groups:
        wood = np.array([amounts[j] * pool.area[j] for j in group])
        middles = np.array([sum(pool.cuts[j].extent) / 2 / MM for j in group])
        depth = float(wood.sum() / pool.area[group].max())
        if depth >= LEAST_THEN:
            found.append((float(wood @ middles / wood.sum()), depth))
    return tuple(found)


def _programme(
    place: Place, goal: Goal, pool: Pool, per_mm: Array, most: float
) -> tuple[Array, float, Array]:
    """Least work at the ends and in the arch that leads home: amounts, ends [mm], misses."""
    k, n = pool.effects.shape
    low = goal.low + np.minimum(goal.factor * LAST_CENTS, (goal.high - goal.low) / 2)
    high = np.maximum(goal.high - 0.7 * LAST_CENTS, low)
    weight = 2.0 / (goal.high - goal.low)
    cost = WOOD * np.append(pool.area, END_COST)
    effects = np.hstack([pool.effects, per_mm[:, None]])
    eye, none = np.eye(k), np.zeros((k, k))
    bounds = (
        [(0.0, limit) for limit in whole_limits(pool)] + [(0.0, most)] + [(0.0, None)] * (2 * k)
    )
    solution = linprog(
        np.concatenate([cost, weight, FLAT_DEARER * weight]),
        A_ub=np.vstack([np.hstack([effects, -eye, none]), np.hstack([-effects, none, -eye])]),
        b_ub=np.concatenate([high - place.cents, place.cents - low]),
        bounds=bounds,
        method="highs",
    )
    x = np.asarray(solution.x)
    over = np.maximum(x[n + 1 : n + 1 + k] - (goal.high - high), 0.0)
    under = np.maximum(x[n + 1 + k :] - (low - goal.low), 0.0)
    return x[:n], float(x[n]), over - under


@dataclass(frozen=True, slots=True)
class Rename:
    """Another bar this one can still become.

    Attributes
    ----------
    target : Target
    semitones : int
        Below the present note; 0 for other ratios of the same note.
    removed_mm : float
        Deepest cut on the way, by linear theory. [mm]
    """

    target: Target
    semitones: int
    removed_mm: float


def find_renames(place: Place, goal: Goal, pool: Pool) -> tuple[Rename, ...]:
    """Look for the nearest lower note with these ratios, and fewer tuned modes for this note."""
    found: list[Rename] = []
    target, k = goal.target, goal.count
    for fewer in range(k - 1, 0, -1):
        shorter = replace(target, ratios=target.ratios[:fewer])
        deepest = _reaches(place.cents[:fewer], _only(pool, fewer), replace(goal, target=shorter))
        if deepest is not None:
            found.append(Rename(shorter, 0, deepest))
            break
    semitone = note_semitone(target.note)
    for down in range(1, LOWEST + 1):
        note = f"{SHARP_NAMES[(semitone - down) % 12]}{(semitone - down) // 12}"
        lower = replace(target, note=note)
        deepest = _reaches(place.cents + 100.0 * down, pool, replace(goal, target=lower))
        if deepest is not None:
            found.append(Rename(lower, down, deepest))
            break
    return tuple(found)


def _only(pool: Pool, count: int) -> Pool:
    return replace(pool, effects=pool.effects[:count])


def _reaches(cents: Array, pool: Pool, goal: Goal) -> float | None:
    """Deepest cut with which cuts alone lead from here into the tolerances; None if none does."""
    n = pool.area.size
    solution = linprog(
        pool.area,
        A_ub=np.vstack([pool.effects, -pool.effects]),
        b_ub=np.concatenate([goal.high - cents, cents - goal.low]),
        bounds=[(0.0, DEEPER * limit) for limit in pool.limit],
        method="highs",
    )
    return float(np.asarray(solution.x)[:n].max()) if solution.success else None


def rename_words(renames: Sequence[Rename], goal: Goal) -> str:
    """Say what the bar could become."""
    words = []
    for one in renames:
        ratios = ":".join(f"{ratio:g}" for ratio in one.target.ratios)
        words.append(f"{one.target.note} with {ratios}")
    return " or ".join(words) or f"no lower note within {LOWEST} semitones"
