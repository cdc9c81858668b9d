"""Which lengths suit a note: where the search on the beam finds an undercut that is good wood.

Longer bars keep more wood in the middle for the same note, until the arch becomes a box and the
ratios cannot be met any more; shorter ones get thin. Between lies the window.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import TypeAlias

import numpy as np

from barmodel.design.aim import Hit
from barmodel.instrument.plan import SetPlan
from barmodel.instrument.trial import Trial, practice_length, try_length
from barmodel.undercut.piece import Array

STRIDE = 0.1
"""Step between lengths tried, as a share."""
FINEST = 0.2
"""Part of a stride below which the edge of a window is near enough."""
ROOM = 0.015
"""Room kept to the longest length, as a share: the beam, sharp on short bars, would allow a little
more than the solid (own choice). [1]"""
LOOSER = 0.8
"""Least thickness while looking for the edges, over the one wanted."""
REACH = 3
"""Steps tried to each side: as far as lengths are adjusted unless the maker says more."""
BOXED = 5.0
"""Fullness beyond which an arch is a box that no drum likes (own choice). [1]"""
CLOSE = 0.02
"""Room kept to the least thickness, so that the solid's word need not cross it (own choice)."""
NARROW = 0.39
"""Start beyond which an arch is a notch: a hinge that bites hard where it is cut (own choice)."""
SHALLOW = 0.8
"""Share of the stock beyond which hardly anything is cut and pitch cannot be mended."""


@dataclass(frozen=True, slots=True)
class Window:
    """Lengths that suit a note.

    Attributes
    ----------
    semitone : int
    trials : tuple of Trial
        Lengths tried that have an undercut at all, ascending.
    shortest, longest : float
        Edges of those that suit, NaN if none does. [m]
    """

    semitone: int
    trials: tuple[Trial, ...]
    shortest: float = math.nan
    longest: float = math.nan

    @property
    def suits(self) -> bool:
        """Whether any length suits."""
        return math.isfinite(self.shortest)


def thinnest_centre(plan: SetPlan) -> float:
    """Least thickness wished in the middle. [m]"""
    rule = plan.lengths
    return plan.limits.keep * (1 + CLOSE) if rule.least_centre is None else rule.least_centre


def thickest_centre(plan: SetPlan) -> float:
    """Most thickness wished in the middle. [m]"""
    rule = plan.lengths
    return SHALLOW * plan.thickness if rule.most_centre is None else rule.most_centre


def room_left(plan: SetPlan, trial: Trial) -> tuple[float, ...]:
    """Room to the thinnest and the thickest middle, to a box and to a notch, in logarithms."""
    full, start = trial.measures.get("fullness", 1.0), trial.measures.get("start", 0.0)
    return (
        math.log(trial.centre / thinnest_centre(plan)),
        math.log(thickest_centre(plan) / trial.centre),
        math.log(BOXED / full),
        math.log((0.5 - start) / (0.5 - NARROW)),
    )


def sensible(plan: SetPlan, trial: Trial) -> bool:
    """Whether the middle is neither too thin nor hardly cut, and the shape can be cut."""
    return min(room_left(plan, trial)) >= 0.0


def window(plan: SetPlan, semitone: int, *, fixed: Mapping[str, float] | None = None) -> Window:
    """Try lengths from common practice outwards until they no longer suit.

    Parameters
    ----------
    plan : SetPlan
    semitone : int
        Above C0.
    fixed : mapping, optional
        Measures held, places as shares of the length.
    """
    middle = practice_length(semitone, wood=plan.wood, thickness=plan.thickness)
    # lets the search look past the edge, so that the edge can be read between two lengths
    looser = replace(plan, limits=replace(plan.limits, keep=LOOSER * plan.limits.keep))

    def at(step: float, near: Array | None) -> tuple[Trial, Hit] | None:
        length = middle * (1 + STRIDE) ** step
        return try_length(looser, semitone, length, fixed=fixed, near=near)

    tried: Tried = {0.0: at(0, None)}
    for way in (-1, 1):
        _walk(plan, at, way, tried)
        if tried[0.0] is None and any(tried.values()):
            break  # what suits lies all on one side of practice
    for way in (-1, 1):
        _look_closer(plan, at, way, tried)
    met = {step: got[0] for step, got in tried.items() if got is not None}
    steps = sorted(met)
    suits = [step for step in steps if sensible(plan, met[step])]
    if not suits:
        return Window(semitone, tuple(met[step] for step in steps))
    below = max((step for step in steps if step < suits[0]), default=None)
    above = min((step for step in steps if step > suits[-1]), default=None)
    return Window(
        semitone,
        tuple(met[step] for step in steps),
        _edge(plan, met[suits[0]], None if below is None else met[below]),
        _edge(plan, met[suits[-1]], None if above is None else met[above]) * (1 - ROOM),
    )


Tried: TypeAlias = dict[float, tuple[Trial, Hit] | None]
"""What was found, by strides from common practice; None where there is no undercut at all."""


def _walk(
    plan: SetPlan,
    at: Callable[[float, Array | None], tuple[Trial, Hit] | None],
    way: int,
    tried: Tried,
) -> None:
    """Try lengths one way, stride by stride, until they no longer suit."""
    last = tried[0.0]
    good = last is not None and sensible(plan, last[0])
    for count in range(1, REACH + 1):
        step = float(way * count)
        near = None if last is None else _stretched(plan, last[1].unknowns, way)
        got = tried[step] = at(step, near)
        if got is None:
            if good:
                return
            continue
        last = got
        if good and not sensible(plan, got[0]):
            return
        good = good or sensible(plan, got[0])


def _look_closer(
    plan: SetPlan,
    at: Callable[[float, Array | None], tuple[Trial, Hit] | None],
    way: int,
    tried: Tried,
) -> None:
    """Halve the stride between the last length that suits and one that has no undercut."""
    edge = way * max((way * step for step, got in tried.items() if got is not None), default=0.0)
    outside = [step for step in tried if way * step > way * edge]
    gap = min((abs(step - edge) for step in outside), default=0.0)
    while gap > FINEST:
        got = tried[edge]
        if got is None or not sensible(plan, got[0]):
            return
        gap /= 2
        step = edge + way * gap
        tried[step] = at(step, _stretched(plan, got[1].unknowns, way * gap))
        edge = edge if tried[step] is None else step


def _edge(plan: SetPlan, good: Trial, beyond: Trial | None) -> float:
    """Length at which room runs out between a length that suits and one that does not. [m]"""
    if beyond is None:
        return good.length
    shares = [
        inside / (inside - outside)
        for inside, outside in zip(room_left(plan, good), room_left(plan, beyond), strict=True)
        if outside < 0.0
    ]
    share = min(shares, default=0.0)
    return float(good.length ** (1 - share) * beyond.length**share)


def _stretched(plan: SetPlan, unknowns: Array, strides: float) -> Array:
    """Guess unknowns some strides away: an arch stays the same share of the length."""
    if plan.family != "arch":
        return unknowns
    return np.asarray(unknowns + np.array([strides * math.log(1 + STRIDE), 0.0, 0.0]))
