"""Search on the beam: from a request to the solution that forgives most."""

from __future__ import annotations

from dataclasses import replace

from barmodel.design.aim import Aim, Hit, shoot
from barmodel.design.choose import most_forgiving
from barmodel.design.family import Family
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
        ).if_thinner()
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
