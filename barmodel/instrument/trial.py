"""One bar tried at one length on the beam: whether there is an undercut, and how it turns out."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from barmodel.bar import Blank
from barmodel.design import Request
from barmodel.design.aim import Aim, Hit, shoot
from barmodel.design.search import make_aim, search
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
    return trial_of(aim, hit), hit


def trial_of(aim: Aim, hit: Hit) -> Trial:
    """What a search came to."""
    length = aim.family.blank.length
    measures = {
        name: value / length if is_place(name) else value
        for name, value in aim.family.measures(hit.unknowns).items()
    }
    nodes = from_beam(hit.modes).nodes[0]
    centre = float(hit.modes.bar.profile.thickness(np.array([length / 2])).real[0])
    return Trial(length, centre, float(nodes[0]) / length, measures)
