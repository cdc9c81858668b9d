"""Among many undercuts that meet the aim, walk to the one that forgives most.

With fewer aims than unknowns the solutions fill a surface. Along it the search goes down a score:
first of all how many cents a tenth of a millimetre of depth costs, then thin wood and shapes that
lean on a limit.
"""

from __future__ import annotations

import numpy as np

from barmodel.beam import BeamModes, derivative
from barmodel.design.aim import Aim, Hit, shoot
from barmodel.design.least import bounded_step
from barmodel.errors import BarModelError
from barmodel.undercut.piece import Array
from barmodel.units import CENTS

DEPTH_ERROR = 1e-4
"""The depth error a sensitivity is quoted for, 0.1 mm. [m]"""
STRIDE = 0.25
"""First length tried along the surface of solutions, in logarithms of the unknowns."""
PROBE = 0.02
CROWDED = 0.08
"""Relative room to a limit below which a shape counts as leaning on it."""
LEAN_COST, THIN_COST = 0.6, 1.5
"""Cents per 0.1 mm that leaning on one limit, and one millimetre below the caution, weigh."""


def depth_sensitivity(modes: BeamModes) -> Array:
    """Cents each mode falls when the whole undercut is 0.1 mm deeper, shape (k,). [cent]

    The first cut of every family carries all that follows, so its depth is the whole undercut's.
    """
    return np.asarray(CENTS * derivative(modes, (0, "depth")) * DEPTH_ERROR)


def score(aim: Aim, unknowns: Array, modes: BeamModes, caution: float) -> float:
    """Weigh a solution: lower forgives more."""
    sharp = float(np.sqrt((depth_sensitivity(modes) ** 2).mean()))
    room = aim.family.slack(unknowns).real
    thin = max(0.0, caution - modes.bar.profile.least_thickness()[0]) * 1e3
    leaning = float(np.exp(-np.maximum(room, 0.0) / CROWDED).sum())
    odd = aim.family.oddness(unknowns)
    return sharp + LEAN_COST * leaning + THIN_COST * thin + odd


def most_forgiving(aim: Aim, hit: Hit, *, caution: float, solves: int) -> Hit:
    """Walk along the solutions of the aim to a low score.

    Parameters
    ----------
    aim : Aim
    hit : Hit
        A solution to start from.
    caution : float
        Thickness below which the maker is warned. [m]
    solves : int
        Beam solves that may be spent.
    """
    best, stride = hit, STRIDE
    limit = aim.count.solves + solves
    value = score(aim, best.unknowns, best.modes, caution)
    while aim.count.solves < limit and stride > 0.04:
        slopes = aim.slopes(best.modes, best.unknowns)
        way = _downhill(aim, best, slopes, value, caution)
        if way is None:
            return best
        while stride > 0.04 and aim.count.solves < limit:
            trial = _follow(aim, best, slopes, way, stride)
            if trial is not None:
                new = score(aim, trial.unknowns, trial.modes, caution)
                if new < value - 0.02:
                    best, value, stride = trial, new, min(1.5 * stride, 0.5)
                    break
            stride /= 2.5
    return best


def _downhill(aim: Aim, hit: Hit, slopes: Array, value: float, caution: float) -> Array | None:
    """Direction in the free unknowns that keeps the aim and lowers the score most."""
    _, singular, right = np.linalg.svd(slopes, full_matrices=True)
    rank = int((singular > 1e-6 * singular[0]).sum()) if singular.size else 0
    flat = right[rank:]
    if not len(flat):
        return None
    falls = np.zeros(len(flat))
    for index, direction in enumerate(flat):
        at = hit.unknowns.copy()
        at[aim.free] += PROBE * direction
        try:
            falls[index] = value - score(aim, at, aim.modes(at), caution)
        except BarModelError:  # that way lies an impossible shape
            continue
    size = float(np.linalg.norm(falls))
    return None if size < 1e-9 else np.asarray(falls @ flat / size)


def _follow(aim: Aim, hit: Hit, slopes: Array, way: Array, stride: float) -> Hit | None:
    """Go along the surface inside the limits, then come back onto it."""
    left, gradient = aim.room(hit.unknowns)
    wish = stride * way
    # hold the modes (heavy) and follow the wish (light), inside the limits
    rows = np.concatenate([slopes, np.eye(wish.size)])
    step = bounded_step(
        rows, np.concatenate([np.zeros(len(slopes)), wish]), gradient, left, damping=1e-9
    )
    if step is None:
        return None
    at = hit.unknowns.copy()
    at[aim.free] += step
    try:
        back = shoot(aim, at, most=5, slopes=slopes)
    except BarModelError:
        return None
    return back if back.met else None
