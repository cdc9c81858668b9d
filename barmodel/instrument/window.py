"""Which lengths suit a note: where the search on the beam finds an undercut that is good wood.

Longer bars keep more wood in the middle for the same note, until the arch becomes a box and the
ratios cannot be met any more; shorter ones get thin. Between lies the window.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np

from barmodel.bar import Blank
from barmodel.design import Request
from barmodel.design.aim import Hit, shoot
from barmodel.design.find import make_aim, search
from barmodel.errors import BarModelError
from barmodel.instrument.plan import SetPlan
from barmodel.modes import from_beam
from barmodel.undercut.piece import Array
from barmodel.wood import Wood

PRACTICE = {
    24: 0.575, 33: 0.495, 36: 0.467, 48: 0.372, 60: 0.290, 72: 0.228, 84: 0.188,
}  # fmt: skip
"""Lengths of concert bars by semitone above C0, stock 20 to 25 mm (from memory). [m]"""
PRACTICE_SPEED, PRACTICE_STOCK = 4472.0, 0.0225
"""√(E/ρ) of the wood [m/s] and thickness of the stock [m] those lengths belong to."""
CLOSE_STEPS = 9
"""Steps of the search from a length nearby; more means that nothing is there."""
ROUGH_CENTS = 1.0
"""Error at which a length tried counts as met: a hundredth of a millimetre in the middle. [cent]"""
STRIDE = 0.1
"""Step between lengths tried, as a share."""
FINEST = 0.3
"""Part of a stride below which the edge of a window is near enough."""
LOOSER = 0.8
"""Least thickness while looking for the edges, over the one wanted."""
REACH = 4
"""Steps tried to each side."""
BOXED = 5.0
"""Fullness beyond which an arch is a box that no drum likes (own choice). [1]"""
CLOSE = 0.02
"""Room kept to the least thickness, so that the solid's word need not cross it (own choice)."""
NARROW = 0.39
"""Start beyond which an arch is a notch: a hinge that bites hard where it is cut (own choice)."""
SHALLOW = 0.8
"""Share of the stock beyond which hardly anything is cut and pitch cannot be mended."""


@dataclass(frozen=True, slots=True)
class Trial:
    """What the search finds at one length.

    Attributes
    ----------
    length : float
        [m]
    centre : float
        Thickness in the middle. [m]
    node : float
        First still point of mode 1, as a share of the length. [1]
    measures : dict of str to float
        Measures of the family; places as shares of the length [1], depths [m].
    """

    length: float
    centre: float
    node: float
    measures: dict[str, float]


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


def practice_length(semitone: float, *, wood: Wood, thickness: float) -> float:
    """Length that common practice would give, carried over to this wood and stock. [m]

    For the same shape L ∝ √(c·t), with c = √(E/ρ) and t the thickness.
    """
    known = sorted(PRACTICE)
    logs = np.log([PRACTICE[note] for note in known])
    slopes = (logs[-1] - logs[-2]) / (known[-1] - known[-2]), (logs[1] - logs[0]) / 9
    value = float(np.interp(semitone, known, logs))
    value += slopes[0] * max(0.0, semitone - known[-1]) - slopes[1] * max(0.0, known[0] - semitone)
    speed = math.sqrt(wood.e_long / wood.density)
    return math.exp(value) * math.sqrt(speed * thickness / (PRACTICE_SPEED * PRACTICE_STOCK))


def request_for(
    plan: SetPlan,
    semitone: int,
    length: float,
    *,
    wood: Wood | None = None,
    fixed: Mapping[str, float] | None = None,
    begin: Mapping[str, float] | None = None,
) -> Request:
    """Ask for one bar of the plan; measures that are places are given as shares of the length."""
    blank = Blank(
        length=length,
        width=plan.width(semitone),
        thickness=plan.thickness,
        wood=plan.wood if wood is None else wood,
    )
    return Request(
        blank=blank,
        target=plan.target(semitone),
        family=plan.family,
        limits=plan.limits,
        fixed=in_metres(fixed or {}, length),
        begin=in_metres(begin or {}, length),
    )


def in_metres(measures: Mapping[str, float], length: float) -> dict[str, float]:
    """Turn places given as shares of the length into metres."""
    return {n: v * length if is_place(n) else v for n, v in measures.items()}


def is_place(name: str) -> bool:
    """Whether a measure of a family lies along the bar."""
    return not (name == "fullness" or "depth" in name)


def try_length(
    plan: SetPlan,
    semitone: int,
    length: float,
    *,
    wood: Wood | None = None,
    fixed: Mapping[str, float] | None = None,
    near: Array | None = None,
) -> tuple[Trial, Hit] | None:
    """Search on the beam at one length; None if nothing good is found."""
    try:
        request = request_for(plan, semitone, length, wood=wood, fixed=fixed)
        aim = make_aim(request)
        if near is None:
            hit, _ = search(request, aim, starts=2)
        else:
            hit = shoot(aim, near, most=CLOSE_STEPS, tolerance=ROUGH_CENTS)
    except BarModelError:
        return None
    if not hit.met:
        return None
    measures = {
        name: value / length if is_place(name) else value
        for name, value in aim.family.measures(hit.unknowns).items()
    }
    nodes = from_beam(hit.modes).nodes[0]
    centre = float(hit.modes.bar.profile.thickness(np.array([length / 2])).real[0])
    return Trial(length, centre, float(nodes[0]) / length, measures), hit


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


def window(
    plan: SetPlan,
    semitone: int,
    *,
    wood: Wood | None = None,
    fixed: Mapping[str, float] | None = None,
) -> Window:
    """Try lengths from common practice outwards until they no longer suit.

    Parameters
    ----------
    plan : SetPlan
    semitone : int
        Above C0.
    wood : Wood, optional
        Of a plank; the plan's by default.
    fixed : mapping, optional
        Measures held, places as shares of the length.
    """
    middle = practice_length(semitone, wood=wood or plan.wood, thickness=plan.thickness)
    # lets the search look past the edge, so that the edge can be read between two lengths
    looser = replace(plan, limits=replace(plan.limits, keep=LOOSER * plan.limits.keep))

    def at(step: float, near: Array | None) -> tuple[Trial, Hit] | None:
        length = middle * (1 + STRIDE) ** step
        return try_length(looser, semitone, length, wood=wood, fixed=fixed, near=near)

    first = at(0, None)
    met: dict[float, Trial] = {} if first is None else {0.0: first[0]}
    for way in (-1, 1):
        _walk(plan, at, way, met, None if first is None else first[1].unknowns)
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
        _edge(plan, met[suits[-1]], None if above is None else met[above]),
    )


def _walk(
    plan: SetPlan,
    at: Callable[[float, Array | None], tuple[Trial, Hit] | None],
    way: int,
    met: dict[float, Trial],
    near: Array | None,
) -> None:
    """Try lengths one way until they no longer suit; add those that have an undercut to `met`."""
    good = 0.0 in met and sensible(plan, met[0.0])
    step, stride = 0.0, 1.0
    while abs(step) < REACH and stride > FINEST:
        step += way * stride
        got = at(step, None if near is None else _stretched(plan, near, way * stride))
        if got is None:
            if good:  # no undercut at all so far out: look closer
                step -= way * stride
                stride /= 2
            continue
        met[step], near = got[0], got[1].unknowns
        if good and not sensible(plan, got[0]):
            return
        good = good or sensible(plan, got[0])


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
