"""A bar that the cutters at hand do not bring home: is it the cutters, or the bar?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from barmodel.bench.aim import Goal
from barmodel.bench.bite import find_bite
from barmodel.bench.plan import WHOLE, Place
from barmodel.bench.pool import default_cutters, join, pool_of
from barmodel.bench.posterior import Posterior
from barmodel.bench.rescue import find_rescues, least_missed
from barmodel.cutmap import LightEffect
from barmodel.undercut.cutters import CUTTERS, Cutter, find_cutter
from barmodel.undercut.piece import Array
from barmodel.units import MM

FINEST = "file5"
"""Cuts so narrow, at any depth, stand for whatever else might be cut with."""


def other_cutters(
    posterior: Posterior,
    goal: Goal,
    effect: LightEffect,
    have: Sequence[Cutter],
    *,
    groups: Sequence[Sequence[Cutter]] = (),
    keep: float,
) -> tuple[str, ...]:
    """Name cutters, other than those at hand, with which cuts alone lead home.

    Parameters
    ----------
    posterior : Posterior
    goal : Goal
    effect : LightEffect
    have : sequence of Cutter
        Those at hand.
    groups : sequence of sequences of Cutter
        Looked at one after the other; the usual ones, then all that are known by default.
    keep : float
        Thickness that must remain. [m]

    Returns
    -------
    tuple of str
        As few of the first group that does it as its cut needs; empty if none does.
    """
    for group in groups or (default_cutters(), tuple(CUTTERS.values())):
        if set(group) <= set(have):
            continue
        found, way = find_bite(posterior, goal, effect, group, keep=keep, thorough=True)
        if found is None or not way.reaches:
            continue
        plan = found.plan
        used = {plan.pool.cutters[int(j)].name for j in np.flatnonzero(plan.depths)}
        few = tuple(cutter for cutter in group if cutter.name in used)
        again, way = find_bite(posterior, goal, effect, few, keep=keep, thorough=True)
        enough = again is not None and way.reaches
        return tuple(cutter.name for cutter in (few if enough else group))
    return ()


def saving_cutters(
    posterior: Posterior,
    goal: Goal,
    place: Place,
    effect: LightEffect,
    have: Sequence[Cutter],
    *,
    keep: float,
    chance: float,
) -> tuple[str, ...]:
    """Name cutters, not at hand, that lead home after the ends, and likelier than `chance`."""
    for group in (default_cutters(), tuple(CUTTERS.values())):
        if set(group) <= set(have):
            continue
        pool = join(
            [pool_of(effect, cutter, keep=keep, told=posterior.history.bar) for cutter in group]
        )
        rescues = find_rescues(posterior, goal, place, pool, effect)
        if rescues and rescues[0].works and rescues[0].chance > chance:
            return tuple(cutter.name for cutter in group)
    return ()


def missed_by_any(
    posterior: Posterior, goal: Goal, place: Place, effect: LightEffect, *, keep: float
) -> Array:
    """Cents by which tolerances are missed whatever is cut or trimmed, shape (k,). [cent]

    Wood may be taken wherever it lies, down to `keep`; by linear theory.
    """
    pool = pool_of(effect, find_cutter(FINEST), keep=keep, told=posterior.history.bar)
    room = np.maximum(pool.thickness - keep, 0.0)
    deep = replace(pool, limit=np.full(pool.limit.size, room.max() / MM / WHOLE))
    return least_missed(posterior, goal, place, deep, room, effect)
