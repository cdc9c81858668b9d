"""The next bite: the plan that ends best, corrected by solving the bar with the cut in it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from barmodel.bar import LEAST_THICKNESS
from barmodel.bench.aim import Goal
from barmodel.bench.model import ORDER
from barmodel.bench.outcome import Outcome, outcome
from barmodel.bench.plan import Place, Plan, make_plan
from barmodel.bench.pool import Pool, join, pool_of
from barmodel.bench.posterior import Posterior
from barmodel.cutmap import LightEffect, drum_reaches, light_effect
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
TIDY = 0.04
"""What fewer places may cost of the merit of a plan."""
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
    """

    plan: Plan
    outcome: Outcome
    chance: float


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
) -> tuple[Bite | None, Plan]:
    """Find the best bite, and the plan it is part of.

    Returns
    -------
    bite : Bite or None
        None if nothing can be cut safely.
    plan : Plan
    """
    place = Place.of(posterior, goal)
    pools = [pool_of(effect, cutter, keep=keep) for cutter in cutters]
    trials = [*pools, join(pools)] if len(pools) > 1 else pools
    plan = max(
        (_tidied(posterior, goal, place, pool) for pool in trials),
        key=lambda plan: _merit(plan, goal),
    )
    found: Outcome | None = None
    for _ in range(CORRECTIONS):
        if not plan.cuts:
            return None, plan
        found = outcome(posterior, plan.cuts)
        if _safe(found, place, goal) and abs(_off(found, plan, goal)).max() < 0.5:
            break
        plan = _feasible(posterior, goal, place, plan.pool, _bend(found, plan, goal))
        found = None
    if found is None:
        if not plan.cuts:
            return None, plan
        found = outcome(posterior, plan.cuts)
    k = goal.count
    chance = goal.chance(goal.cents(found.log_hz), found.covariance[:k, :k])
    return Bite(plan, found, chance), plan


def _feasible(
    posterior: Posterior, goal: Goal, place: Place, pool: Pool, bend: Array | None
) -> Plan:
    """Plan with cuts that the cutters reach, none of them a mere trace beside others."""
    for _ in range(8):
        plan = make_plan(place, goal, posterior, pool, bend=bend)
        depths = plan.depths
        used = np.flatnonzero(depths)
        bad = [
            int(index)
            for index, cut in zip(used, plan.cuts, strict=True)
            if not drum_reaches(posterior.bar, cut)
        ]
        if not bad and used.size > 1:
            shallowest = int(used[np.argmin(depths[used])])
            if depths[shallowest] < TRACE:
                bad = [shallowest]
        if not bad:
            return plan
        for index in bad:
            pool = pool.without(index)
    return plan


def _tidied(posterior: Posterior, goal: Goal, place: Place, pool: Pool) -> Plan:
    """Plan with neighbouring cuts made one, where that costs little."""
    plan = _feasible(posterior, goal, place, pool, None)
    if np.count_nonzero(plan.depths) < 2:
        return plan
    fewer = _feasible(posterior, goal, place, pool.merged(plan.amounts * (plan.depths > 0)), None)
    return fewer if _merit(fewer, goal) >= _merit(plan, goal) - TIDY else plan


def _merit(plan: Plan, goal: Goal) -> float:
    """How well a plan ends: chance of being home, distance left, number of places."""
    width = goal.high - goal.low
    over = np.maximum(plan.cents - goal.high, 0.0) / width
    missed = np.abs(plan.miss) / width
    places = np.count_nonzero(plan.depths)
    chance = goal.chance(plan.cents, plan.covariance)
    return float(chance - _PER_WIDTH * over.max() - missed.max() - _PER_PLACE * places)


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
    """Whether no mode runs more than its share of the risk, or than it runs already."""
    k = goal.count
    cents, covariance = goal.cents(found.log_hz), found.covariance[:k, :k]
    allowed = np.maximum(
        goal.risk / k, goal.flat_chance(place.cents, place.covariance) + 0.1 * goal.risk
    )
    return bool(np.all(goal.flat_chance(cents, covariance) <= allowed + 0.005))
