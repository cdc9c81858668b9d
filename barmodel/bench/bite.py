"""The next bite: the plan that ends best, corrected by solving the bar with the cut in it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from barmodel.bar import LEAST_THICKNESS
from barmodel.bench.aim import Goal
from barmodel.bench.model import ORDER
from barmodel.bench.outcome import Outcome, outcome
from barmodel.bench.plan import SURE, Place, Plan, make_plan
from barmodel.bench.pool import Pool, join, pool_of
from barmodel.bench.posterior import Posterior
from barmodel.cutmap import LightEffect, light_effect
from barmodel.cuts import drum_reaches
from barmodel.undercut import Shape
from barmodel.undercut.cutters import Cutter
from barmodel.undercut.piece import Array

CORRECTIONS = 2
"""Times the plan is corrected by the solid."""
_PER_PLACE = 0.02
_PER_WIDTH = 0.02
"""What a place to cut, and a half width of tolerance left to go, weigh against the chance of
being finished."""
TRACE = 0.03
"""Depth below which one of several cuts is left out: hands err as much. [mm]"""
HARDLY = 0.12
"""Nor is one worth its while that moves no mode by so much of the width of its tolerance. [1]"""
NEARLY = 0.5
"""Cents by which linear theory may be off after the corrections. [cent]"""
HEARD, SURER = 0.3, 0.1
"""A cut brings modes nearer by more than this [cent] or makes the bar so much surer to be home
[1]; less is no cut."""
LESS = 0.93
"""What a cut is scaled back by that the solid finds too bold. [1]"""
TRIES = 8
_LEAST_SHIFT = 1.0
_BEND = (0.6, 2.2)


@dataclass(frozen=True, slots=True, eq=False)
class Bite:
    """A cut to make now.

    Attributes
    ----------
    plan : Plan
    outcome : Outcome
        By the solid, all considered modes.
    chance : float
        Of all modes being within their tolerances after it. [1]
    hope : float
        Of their being surely so, once heard. [1]
    """

    plan: Plan
    outcome: Outcome
    chance: float
    hope: float


def effect_of(posterior: Posterior, goal: Goal) -> LightEffect:
    """What light cuts do to the tuned modes of the bar as it most likely is."""
    labels = [f"V{number}" for number in range(1, goal.count + 1)]
    return light_effect(posterior.bar, labels, order=ORDER)


def find_bite(
    posterior: Posterior,
    goal: Goal,
    effect: LightEffect,
    cutters: Sequence[Cutter],
    *,
    keep: float = LEAST_THICKNESS,
    thorough: bool = False,
) -> tuple[Bite | None, Plan]:
    """Find the best bite, and whether the cutters can bring the bar home at all.

    Parameters
    ----------
    posterior : Posterior
    goal : Goal
    effect : LightEffect
        Of the bar as it most likely is.
    cutters : sequence of Cutter
        Looked at one by one, and all together.
    keep : float
        Thickness that must remain. [m]
    thorough : bool
        Where the most promising of these comes to nothing, try the others: before a bar is
        called beyond these cutters, and not while listening again may do.

    Returns
    -------
    bite : Bite or None
        None if nothing can be cut safely.
    whole : Plan
        The way home with all that the cutters can do.
    """
    place = Place.of(posterior, goal)
    told = posterior.history.bar
    pools = [pool_of(effect, cutter, keep=keep, told=told) for cutter in cutters]
    trials = [*pools, join(pools)] if len(pools) > 1 else pools
    whole = make_plan(place, goal, posterior, trials[-1])
    if not whole.reaches:  # what is cheapest with all cutters may leave what one of them reaches
        plans = (make_plan(place, goal, posterior, pool) for pool in pools)
        whole = next((plan for plan in plans if plan.reaches), whole)
    ear = posterior.ear_cents[: goal.count]
    first = [_feasible(posterior, goal, place, pool, None) for pool in trials]
    order = sorted(range(len(trials)), key=lambda number: -_merit(first[number], goal, ear))
    for number in order if thorough else order[:1]:
        bite = _solved(posterior, goal, place, trials[number], first[number])
        if bite is not None:
            return bite, whole
    return None, whole


def _solved(posterior: Posterior, goal: Goal, place: Place, pool: Pool, plan: Plan) -> Bite | None:
    """Correct a plan by the solid; None if it finds no such cut within the risk."""
    for _ in range(CORRECTIONS):
        if not plan.cuts:
            return None
        found = outcome(posterior, plan.cuts)
        if _safe(found, place, goal) and abs(_off(found, plan, goal)).max() < NEARLY:
            break
        plan = _feasible(posterior, goal, place, pool, _bend(found, plan, goal))
    for _ in range(TRIES):
        if not plan.cuts:
            return None
        found = outcome(posterior, plan.cuts)
        if _safe(found, place, goal):
            break
        plan = replace(plan, share=LESS * plan.share)
    else:
        return None
    k = goal.count
    cents, covariance = goal.cents(found.log_hz), found.covariance[:k, :k]
    ear = posterior.ear_cents[:k]
    hope = goal.settled(cents, covariance, ear, SURE)
    chance = goal.chance(cents, covariance)
    over, left = (np.maximum(at - goal.high, 0.0).sum() for at in (place.cents, cents))
    if left > over - HEARD and chance < goal.chance(place.cents, place.covariance) + SURER:
        return None  # a cut of which nobody could hear any good
    return Bite(plan, found, chance, hope)


def _feasible(
    posterior: Posterior, goal: Goal, place: Place, pool: Pool, bend: Array | None
) -> Plan:
    """Plan with cuts that the cutters reach, none of them a mere trace beside others."""
    for _ in range(TRIES):
        plan = make_plan(place, goal, posterior, pool, bend=bend)
        depths = plan.depths
        used = np.flatnonzero(depths)
        bad = [int(used[number]) for number in unreached(posterior, plan.cuts)]
        bad += pool.crowded(depths)
        if not bad and used.size > 1:
            told = np.abs(plan.pool.effects[:, used] * depths[used])
            share = (told / (goal.high - goal.low)[:, None]).max(axis=0)
            least = int(np.argmin(share))
            if share[least] < HARDLY or depths[used[least]] < TRACE:
                bad = [int(used[least])]
        if not bad:
            return plan
        pool = pool.without(bad)
    return plan


def unreached(posterior: Posterior, cuts: Sequence[Shape]) -> Iterator[int]:
    """Which of these cuts, made one after another, are beyond a drum.

    Of the bar as it most likely is, or of the bar by what is written down of it: by that the cut
    will be judged when it is recorded.
    """
    bars = [posterior.bar, posterior.history.bar]
    for number, cut in enumerate(cuts):
        if all(drum_reaches(bar, cut) for bar in bars):
            bars = [bar.with_cuts(cut) for bar in bars]
        else:
            yield number


def _merit(plan: Plan, goal: Goal, ear: Array) -> float:
    """How well a plan ends: hope of being home, distance left, number of places."""
    width = goal.high - goal.low
    over = np.maximum(plan.cents - goal.high, 0.0) / width
    missed = np.abs(plan.miss) / width
    places = np.count_nonzero(plan.depths)
    hope = goal.settled(plan.cents, plan.covariance, ear, SURE)
    return float(hope - _PER_WIDTH * over.max() - missed.max() - _PER_PLACE * places)


def _off(found: Outcome, plan: Plan, goal: Goal) -> Array:
    """Where the solid has the modes, from where the plan has them. [cent]"""
    return np.asarray(goal.cents(found.log_hz) - plan.cents)


def _bend(found: Outcome, plan: Plan, goal: Goal) -> Array:
    """Real over linear shift of each mode. [1]"""
    linear = plan.pool.effects @ plan.depths
    real = found.shift_cents[: goal.count]
    large = np.abs(linear) > _LEAST_SHIFT
    return np.clip(np.where(large, real / np.where(large, linear, 1.0), 1.0), *_BEND)


def _safe(found: Outcome, place: Place, goal: Goal) -> bool:
    """Whether the solid as well finds the cut within the risk, but for a tenth of a cent."""
    k = goal.count
    before = goal.flat_chance(place.cents, place.covariance)
    return goal.safe(goal.cents(found.log_hz) + 0.1, found.covariance[:k, :k], before)
