"""Find the undercut of one bar: search on the beam, let the last model correct, say what came."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from barmodel.design.aim import Aim, Hit, Offset, shoot
from barmodel.design.choose import most_forgiving
from barmodel.design.correct import ACCEPT, MET_ON_BEAM, finish
from barmodel.design.family import Family
from barmodel.design.record import Design
from barmodel.design.request import FAMILIES, Request
from barmodel.design.steps import StepsFamily
from barmodel.errors import BarModelError, InputError
from barmodel.undercut.piece import Array

SOLVES = {"arch": 12, "steps": 30, "hollows": 26}
"""Beam solves spent on the choice among solutions where the beam has the last word."""
SOLVES_BEFORE_SOLID = {"arch": 12, "steps": 16, "hollows": 12}
"""The same where the solid's own time must fit into the second a maker waits."""
FULLNESS_RATIOS_ONLY = 3.0
"""Fullness of an arch whose depth and extent alone are sought, unless the maker says. [1]"""


def make_family(request: Request) -> Family:
    """Set up the family; two floors do for one or two ratios, unless a third is spoken of."""
    if request.family != "steps":
        return FAMILIES[request.family](request.blank, request.limits)
    named = {*request.fixed, *request.begin}
    count = 3 if len(request.target.ratios) > 2 or named & {"start3", "depth3"} else 2
    return StepsFamily(request.blank, request.limits, count)


def make_aim(request: Request) -> Aim:
    """Turn a request into what the search needs."""
    family = make_family(request)
    fixed = family.fixed(request.fixed)
    if request.ratios_only and request.family == "arch" and "fullness" not in request.fixed:
        begun = request.begin.get("fullness", FULLNESS_RATIOS_ONLY)
        fixed |= family.fixed({"fullness": begun})
    return Aim(family=family, hz=request.target.hz, ratios_only=request.ratios_only, fixed=fixed)


def search(
    request: Request, aim: Aim, *, starts: int | None = None, near: Array | None = None
) -> tuple[Hit, bool]:
    """Search on the beam from one start after another; the best end, and whether it is met.

    Parameters
    ----------
    request : Request
    aim : Aim
    starts : int, optional
        Number of the family's own starts to try; all by default.
    near : ndarray, shape (n,), optional
        Unknowns to try first.
    """
    begun = aim.family.fixed(request.begin)
    best: Hit | None = None
    guesses = aim.family.starts(modes=aim.hz.size)[:starts]
    if near is not None and near.size == guesses[0].size:  # fewer ratios may take fewer steps
        guesses = (near, *guesses)
    for guess in guesses:
        at = guess.copy()
        for index, value in begun.items():
            at[index] = value
        try:
            hit = shoot(aim, at)
        except BarModelError:
            continue
        if best is None or hit.met or hit.worst < best.worst:
            best = hit
        if hit.met:
            return hit, True
    if best is None:
        raise InputError(
            "no start of the search fits inside the limits; loosen the least thickness, the "
            "clear ends or the fixed measures"
        )
    return best, False


def meet(
    request: Request, aim: Aim, *, starts: int | None = None, near: Array | None = None
) -> tuple[Aim, Hit, bool]:
    """Search, and where a fullness nobody asked for stands in the way, search without it.

    Parameters
    ----------
    request, aim, starts, near
        As for `search`.

    Returns
    -------
    Aim, Hit, bool
        What was aimed at in the end, the best end, and whether it is met.
    """
    hit, met = search(request, aim, starts=starts, near=near)
    asked = aim.family.fixed(request.fixed)
    if met or aim.fixed.keys() == asked.keys():
        return aim, hit, met
    freer = replace(aim, fixed=asked)
    other, met = search(request, freer, starts=starts, near=hit.unknowns)
    return (freer, other, met) if met or other.worst < hit.worst else (aim, hit, met)


def improve(request: Request, aim: Aim, hit: Hit) -> Hit:
    """Walk to the solution that forgives most."""
    budget = SOLVES if request.model == "beam" else SOLVES_BEFORE_SOLID
    return most_forgiving(aim, hit, caution=request.caution, solves=budget[request.family])


def find(request: Request, *, advise: bool = True, expected_cents: Array | None = None) -> Design:
    """Find the undercut.

    Parameters
    ----------
    request : Request
    advise : bool
        Whether a refusal looks for changes that work; it takes seconds.
    expected_cents : ndarray, shape (k,), optional
        What the last model is likely to say above the beam, as on a bar much like this one; a
        good guess saves asking it twice. [cent]

    Raises
    ------
    InputError
        If the request contradicts itself.
    NoDesignError
        If nothing inside the limits meets the target, with changes that were tried and work.

    Examples
    --------
    >>> from barmodel.bar import Blank
    >>> from barmodel.pitch import Target
    >>> from barmodel.wood import from_partial
    >>> blank = Blank(length=0.372, width=0.053, thickness=0.022,
    ...               wood=from_partial(density=1000.0, e_long=21e9))
    >>> design = find(Request(blank=blank, target=Target("C4"), model="beam"))
    >>> bool(abs(design.cents).max() < 0.01)
    True
    """
    from barmodel.design.advice import refuse

    aim = make_aim(request)
    if expected_cents is not None:
        unknowns = len(aim.family.unknowns)
        slope = np.zeros((expected_cents.size, unknowns))
        aim = replace(aim, offset=Offset(np.zeros(unknowns), expected_cents, slope))
    aim, hit, met = meet(request, aim)
    if not met:
        refuse(request, hit, advise=advise)
    hit = improve(request, aim, hit)
    design = finish(request, aim, hit)
    if np.abs(design.cents).max() > (MET_ON_BEAM if request.model == "beam" else ACCEPT):
        refuse(request, hit, nearly=design, advise=advise)
    return design
