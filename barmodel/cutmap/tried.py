"""The best single cut, solved with the cut in the bar: light cuts add up, deeper ones do not."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from barmodel.bar import Bar
from barmodel.cutmap.chart import CutMap
from barmodel.cutmap.onecut import LEAST_USE, OneCut, lowest, one_cut
from barmodel.cuts import apply_cuts
from barmodel.errors import GeometryError
from barmodel.modes import solve
from barmodel.pitch import cents
from barmodel.undercut.piece import Array
from barmodel.units import MM

ROUNDS = 5
"""Depths tried; each is a solution of the solid."""
STEP_MM, FINE_MM = 0.01, 0.001
"""Depths are told in the first, those below it in the second. [mm]"""


@dataclass(frozen=True, slots=True, eq=False)
class TriedCut:
    """One cut, and what the bar is with it.

    Attributes
    ----------
    at : float
        Its middle, of the left one in a pair; in whole millimetres, as it is told. [m]
    depth : float
        Rounded down as it is told. [m]
    cents : ndarray, shape (k,)
        How far each tuned mode is above its target then. [cent]
    nearer : float
        How much nearer to target they are together: 0 not at all, 1 home. [1]
    """

    at: float
    depth: float
    cents: Array
    nearer: float


def try_best(
    found: CutMap,
    single: OneCut,
    *,
    hz: Array,
    distance: Array,
    limits: Sequence[tuple[float, float]],
    keep: float,
) -> TriedCut | None:
    """Solve the bar with the best single cut in it, and take the depth that does most good.

    The map's shift per millimetre gives the first depth; after that each solution's own does. No
    tuned mode ends flat of its tolerance, nor does one that is flat already fall.

    Parameters
    ----------
    found : CutMap
    single : OneCut
        Best cuts by the map.
    hz : ndarray, shape (k,)
        Tuned modes of the bar as computed on the solid's standard mesh, whether they are on the
        map or not. [Hz]
    distance : ndarray, shape (k,)
        How far they are above their targets. [cent]
    limits : sequence of (float, float), k of them
        Lowest and highest distance that count as in tune. [cent]
    keep : float
        Least thickness. [m]

    Returns
    -------
    TriedCut or None
        None where no cut there brings the modes nearer.
    """
    if single.best is None:
        return None
    start = _first_possible(found, single, keep)
    if start is None:
        return None
    at, depth_mm = start
    least = lowest(distance, limits)
    best: TriedCut | None = None
    for _ in range(ROUNDS):
        if depth_mm <= 0.0:
            break
        bar = _with_cut(found, at, depth_mm, keep)
        if bar is None:
            break
        after = solve(bar, count=max(3, hz.size), families=("bending",)).bending_hz
        shift = cents(after[: hz.size], hz)
        then = distance + shift
        good = bool((then >= least).all())
        nearer = float(1.0 - np.linalg.norm(then) / np.linalg.norm(distance))
        if good and nearer > (LEAST_USE if best is None else best.nearer):
            best = TriedCut(at, depth_mm * MM, then, nearer)
        elif best is not None:
            break
        slope = (shift / depth_mm)[:, None]
        wanted = told_depth(float(one_cut(slope, distance, limits).depth_mm[0]))
        if good and wanted == depth_mm:
            break
        depth_mm = wanted if good else min(wanted, told_depth(depth_mm - _step(depth_mm)))
    return best


def _first_possible(found: CutMap, single: OneCut, keep: float) -> tuple[float, float] | None:
    """Best place where the cutter gets in, and its depth by the map; the left one of a pair.

    A place as it is told, in whole millimetres. [m], [mm]
    """
    looked: set[float] = set()
    first = single.best
    order = np.argsort(-single.nearer, kind="stable").tolist()
    for station in [first, *order]:
        if single.nearer[station] < LEAST_USE:
            return None
        at = round(float(found.x[station]) / MM)
        depth_mm = told_depth(float(single.depth_mm[station]))
        if at in looked or depth_mm <= 0.0:
            continue
        looked.add(at)
        if _with_cut(found, at * MM, depth_mm, keep) is not None:
            return at * MM, depth_mm
    return None


def told_depth(depth_mm: float) -> float:
    """Round a depth down to what is told of it. [mm]

    Examples
    --------
    >>> told_depth(0.6391), told_depth(0.0057)
    (0.63, 0.005)
    """
    step = _step(depth_mm)
    return round(step * math.floor(depth_mm / step + 1e-6), 3)


def _step(depth_mm: float) -> float:
    return STEP_MM if depth_mm >= STEP_MM else FINE_MM


def _with_cut(found: CutMap, at: float, depth_mm: float, keep: float) -> Bar | None:
    """The bar with a cut in it; None where it cannot be made."""
    cut = found.cutter.cut(at=at, depth=depth_mm * MM, width=found.width, mirror=found.mirror)
    try:
        return apply_cuts(found.bar, [cut], keep=keep)
    except GeometryError:
        return None
