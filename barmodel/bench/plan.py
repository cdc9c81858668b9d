"""The whole way home by the surest cuts, and how much of it is safe to do now.

Amounts a ≥ 0 of the possible cuts move the modes by S a, nearly. What brings all of them into their
tolerances with the least error and wood is a linear programme, whose solutions use few places. All
of it at once would be rash: a share of it is done. After it no mode is flat of its tolerance with
more than the allowed risk; nor with more than a part of that, unless more makes it likelier to be
the last bite. The rest of the plan is then still possible, since the cuts are made in proportion.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np

from barmodel.bench.aim import Goal
from barmodel.bench.belief import FINE_DEPTH, FINE_SHARE, ROUGH_DEPTH
from barmodel.bench.pool import Pool
from barmodel.bench.posterior import Posterior
from barmodel.linear import nearest
from barmodel.undercut import Shape
from barmodel.undercut.piece import Array
from barmodel.units import MM

LAST_CENTS = 0.9
"""Standard error of the pitches after a last, light bite: what windows are narrowed by. [cent]"""
EDGE = 0.2
"""Part of a tolerance kept from its sharp end however sure the modes are: it costs next to
nothing, and the ear may be off. [1]"""
MOST_LAST = 1.8
"""Errors of a last bite beyond this many times those of a light one are left to further bites."""
AIMED = 3
"""Times the windows are narrowed by what the plan through them is sure of."""
NEARLY = 0.2
"""Change of the narrowing that is neglected. [cent]"""
ROOM_ABOVE = 1.9
"""Standard errors kept from the sharp end: to end sharp only costs another bite. [1]"""
WOOD = 2e-3
"""Weight of a mm² of side area against a window's half width. [1/mm²]"""
FLAT_DEARER = 4.0
"""A cent flat is this much worse than a cent sharp. [1]"""
FAR_RISK = 0.3
"""Part of the risk of a cut that one runs which cannot be the last: it costs little. [1]"""
FLAT_PRICE = 4.0
"""What the chance of a flat mode weighs against that of the bite being the last: to lift it takes
some more readings, and a piece off both ends. [1]"""
SURE = 0.95
"""Chance of being home at which a bar is left be, heard once. [1]"""
WHOLE = 8.0
"""Bites the whole way may take at one place. [1]"""
RESOLUTION = 0.01
"""Depths are told to this. [mm]"""
_SHARES = np.linspace(1.0, 0.02, 50)


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """The whole way, and the bite to take of it now.

    Attributes
    ----------
    pool : Pool
    amounts : ndarray, shape (n,)
        Depths of the whole way. [mm]
    share : float
        How much of it is safe now. [1]
    miss : ndarray, shape (k,)
        Cents by which each mode would miss its tolerance after the whole way; negative if flat.
    cents : ndarray, shape (k,)
        From the target after the bite, by linear theory. [cent]
    covariance : ndarray, shape (k, k)
        After the bite. [cent²]
    """

    pool: Pool
    amounts: Array
    share: float
    miss: Array
    cents: Array
    covariance: Array

    @property
    def depths(self) -> Array:
        """Depths of the bite as they are told, shape (n,). [mm]"""
        return as_told(self.share * self.amounts)

    @property
    def cuts(self) -> tuple[Shape, ...]:
        """Cuts of the bite."""
        return tuple(
            self.pool.cut(int(j), float(self.depths[j])) for j in np.flatnonzero(self.depths)
        )

    @property
    def reaches(self) -> bool:
        """Whether the whole way leads into all tolerances."""
        return bool(np.abs(self.miss).max() < 0.3)


@dataclass(frozen=True, slots=True, eq=False)
class Place:
    """Where the bar stands.

    Attributes
    ----------
    cents : ndarray, shape (k,)
        From the target. [cent]
    covariance : ndarray, shape (k, k)
        [cent²]
    """

    cents: Array
    covariance: Array

    @classmethod
    def of(cls, posterior: Posterior, goal: Goal) -> Place:
        """Read it off the posterior, tuned modes only."""
        k = goal.count
        return cls(goal.cents(posterior.log_hz), posterior.pitch_covariance[:k, :k])


@dataclass(frozen=True, slots=True, eq=False)
class Ways:
    """What cuts do to the modes.

    Attributes
    ----------
    effects : ndarray, shape (k, n)
        Shift per depth, as a mean over the depth to be cut. [cent/mm]
    slopes : ndarray, shape (k, n)
        The same at that depth: what an error in it does. [cent/mm]
    limit : ndarray, shape (n,)
        Deepest each may be made in one bite. [mm]
    """

    effects: Array
    slopes: Array
    limit: Array

    @classmethod
    def of(cls, pool: Pool, bend: Array | None = None) -> Ways:
        """Take the pool's effects, those on each mode bent by what solving found.

        Where the mean of the shift is b times the linear one, it has grown to 2 b − 1 at the end.
        """
        factor = np.ones(pool.effects.shape[0]) if bend is None else bend
        end = np.maximum(2.0 * factor - 1.0, 0.5 * factor)
        effects, slopes = pool.effects * factor[:, None], pool.effects * end[:, None]
        return cls(effects, slopes, pool.limit)


def make_plan(
    place: Place,
    goal: Goal,
    posterior: Posterior,
    pool: Pool,
    *,
    bend: Array | None = None,
) -> Plan:
    """Find the way home and the bite to take now.

    Parameters
    ----------
    place : Place
    goal : Goal
    posterior : Posterior
        For what the model may newly miss.
    pool : Pool
    bend : ndarray, shape (k,), optional
        Factor on the linear shift of each mode, found by solving: deep cuts bite more. [1]
    """
    ways = Ways.of(pool, bend)
    effects = ways.effects
    over = np.maximum(place.cents - goal.high, 0.0)
    error = np.sqrt(np.diag(place.covariance)) + FINE_SHARE * over
    error = np.clip(error, LAST_CENTS, MOST_LAST * LAST_CENTS)
    for _ in range(AIMED):
        low, high = _windows(place, goal, error)
        amounts, miss = _surest(place.cents, effects, low, high, pool, goal)
        found = np.sqrt(np.diag(spread_after(place, posterior, ways, amounts)))
        found = np.clip(found, LAST_CENTS, MOST_LAST * LAST_CENTS)
        if np.abs(found - error).max() < NEARLY:
            break
        error = found
    miss = np.where(miss > 0.0, np.maximum(miss - (goal.high - high), 0.0), miss)
    miss = np.where(miss < 0.0, np.minimum(miss + (low - goal.low), 0.0), miss)
    share = _share(place, goal, posterior, ways, amounts)
    told = as_told(share * amounts)
    covariance = spread_after(place, posterior, ways, told) if share else place.covariance
    cents = place.cents + effects @ told
    return Plan(pool, amounts, share, miss, cents, covariance)


def _share(place: Place, goal: Goal, posterior: Posterior, ways: Ways, amounts: Array) -> float:
    """How much of the whole way to go now, 0 to 1.

    The largest share within a part of the risk; or more, up to all of the risk, where that makes
    it so much likelier to be the last bite that a flat mode is worth risking.
    """
    ear = posterior.ear_cents[: goal.count]
    before = goal.flat_chance(place.cents, place.covariance)
    careful = replace(goal, risk=FAR_RISK * goal.risk)
    best, most = 0.0, -np.inf
    for share in _SHARES:
        told = as_told(share * amounts)
        if np.any(told > ways.limit + RESOLUTION / 2):
            continue
        cents = place.cents + ways.effects @ told
        covariance = spread_after(place, posterior, ways, told)
        if not goal.safe(cents, covariance, before):
            continue
        flat = float(np.maximum(goal.flat_chance(cents, covariance) - before, 0.0).sum())
        worth = goal.settled(cents, covariance, ear, SURE) - FLAT_PRICE * flat
        if worth > most + 1e-3:
            best, most = float(share), worth
        if careful.safe(cents, covariance, before):
            break
    return best


def as_told(depths: Array) -> Array:
    """Depths as they are told. [mm]"""
    return np.asarray(np.floor(depths / RESOLUTION + 0.5) * RESOLUTION)


def spread_after(place: Place, posterior: Posterior, ways: Ways, depths: Array) -> Array:
    """Covariance after cuts of these depths [mm], by linear theory. [cent²]"""
    used = np.flatnonzero(depths)
    hand = np.minimum(FINE_DEPTH + FINE_SHARE * depths[used] * MM, ROUGH_DEPTH) / MM
    error = hand * ways.slopes[:, used]
    drift = posterior.belief.drift(ways.effects @ depths)
    return np.asarray(place.covariance + error @ error.T + np.diag(drift**2))


def _windows(place: Place, goal: Goal, error: Array) -> tuple[Array, Array]:
    """Where the whole way shall lead: the tolerances narrowed by what its end is sure of. [cent]

    Where they are too narrow for that, to where the flat end is as safe as the sharp end can
    be, with no more errors than a light last bite has: more will be cut in several bites.
    """
    low = goal.low + goal.factor * error
    high = goal.high - np.maximum(ROOM_ABOVE * error, EDGE * (goal.high - goal.low))
    share = goal.factor / (goal.factor + ROOM_ABOVE)
    best = goal.low + share * (goal.high - goal.low)
    crossed = low > high
    low, high = np.where(crossed, best, low), np.where(crossed, best, high)
    return np.minimum(low, np.maximum(place.cents, goal.low)), high


def _surest(
    start: Array, effects: Array, low: Array, high: Array, pool: Pool, goal: Goal
) -> tuple[Array, Array]:
    """Solve the linear programme: depths [mm] and cents by which windows are missed."""
    weight = 2.0 / np.maximum(high - low, 1.0)
    found = nearest(
        WOOD * pool.area + _errors(start - low, effects, pool, goal),
        effects,
        low=low - start,
        high=high - start,
        over_price=weight,
        under_price=FLAT_DEARER * weight,
        upper=WHOLE * pool.limit,
    )
    return found.amounts, found.over - found.under


def _errors(room: Array, effects: Array, pool: Pool, goal: Goal) -> Array:
    """What each cut errs by per mm of its depth, in widths of the tolerances, shape (n,).

    A part of the error is the same however shallow the cut; it is spread over the depth to which
    the cut alone could be made before a mode runs out of its room. So a cut that tells much is
    dear where little is left to do.
    """
    telling = np.abs(effects) / (goal.high - goal.low)[:, None]
    falling = np.maximum(-effects, 1e-9)
    alone = np.min(np.maximum(room, 0.5)[:, None] / falling, axis=0)
    alone = np.clip(alone, RESOLUTION, np.maximum(pool.limit, RESOLUTION))
    hand = FINE_SHARE + FINE_DEPTH / MM / alone
    return np.asarray(hand * np.sqrt(np.sum(telling**2, axis=0)))
