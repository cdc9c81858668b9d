"""The forward model of the bench: a bar's pitches, and how they answer to what is not known.

Pitches come from the beam carrying the solid's correction at the bar as it is written down; their
slopes come from the beam, which has them exactly.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import lru_cache
from typing import Final

import numpy as np

from barmodel.bar import Bar
from barmodel.beam import BeamModes, derivative, solve_beam, thickness_sensitivity
from barmodel.modes import solve
from barmodel.solid import Order
from barmodel.undercut import Shape, Table, build_profile
from barmodel.undercut.piece import Array
from barmodel.units import MM

WOOD = ("e_long", "g_long_thick", "g_long_width")
"""Constants of the wood that are not known; bending hardly feels the last."""
ORDER: Final[Order] = "quick"
"""Mesh of the solid at the bench: its error hardly changes from cut to cut, and is learned."""
DEEP = 1.0 * MM
"""Cuts deeper than this get the exact slope in their depth; others act as light cuts. [m]"""
_LEAST_DEPTH = 1e-6
_DIFFERENCE = 0.02 * MM


@dataclass(frozen=True, slots=True, eq=False)
class Pitches:
    """Bending modes of one bar and their slopes.

    Attributes
    ----------
    log_hz : ndarray, shape (k,)
        ln f by the solid.
    beam : ndarray, shape (k,)
        ln f by the beam.
    wood : ndarray, shape (k, 3)
        d ln f / d ln of each constant of `WOOD`.
    depth : ndarray, shape (k, n)
        d ln f / d depth of each entry of the undercut. [1/m]
    """

    log_hz: Array
    beam: Array
    wood: Array
    depth: Array


@lru_cache(maxsize=512)
def solid_log_hz(bar: Bar, count: int) -> Array:
    """ln f of the first bending modes by the solid, shape (count,)."""
    modes = solve(bar, model="solid", count=count, families=["bending"], order=ORDER)
    return np.log(modes.bending_hz[:count])


@lru_cache(maxsize=512)
def beam_log_hz(bar: Bar, count: int) -> Array:
    """ln f of the first bending modes by the beam, shape (count,)."""
    return np.log(solve_beam(bar, count=count).hz[:count])


@lru_cache(maxsize=512)
def pitches(bar: Bar, count: int) -> Pitches:
    """Solve a bar by both models and take the slopes."""
    modes = solve_beam(bar, count=count)
    return Pitches(
        log_hz=solid_log_hz(bar, count),
        beam=np.log(modes.hz[:count]),
        wood=wood_slopes(modes),
        depth=depth_slopes(modes),
    )


def wood_slopes(modes: BeamModes) -> Array:
    """d ln f / d ln constant, shape (k, 3)."""
    wood = modes.bar.blank.wood
    return np.stack(
        [
            wood.e_long * derivative(modes, "e"),
            wood.g_long_thick * derivative(modes, "g"),
            wood.g_long_width * derivative(modes, "g_long_width"),
        ],
        axis=1,
    )


def depth_slopes(modes: BeamModes) -> Array:
    """d ln f / d depth of each cut in the underside, shape (k, n). [1/m]"""
    bar = modes.bar
    light = thickness_sensitivity(modes)
    columns = []
    for index, cut in enumerate(bar.undercut):
        if cut.deepest > DEEP and not isinstance(cut, Table):
            columns.append(derivative(modes, (index, "depth")))
        else:
            unit = _outline(bar, cut, light.x)
            columns.append(-(light.density.T * unit) @ light.weight)
    return np.stack(columns, axis=1) if columns else np.zeros((modes.hz.size, 0))


def _outline(bar: Bar, cut: Shape, x: Array) -> Array:
    """Depth of a cut along the bar over its own depth: what a little more depth takes off."""
    blank = bar.blank
    more = deeper(cut, _DIFFERENCE)
    gained = more.deepest - cut.deepest
    if gained <= 0.0:
        return np.zeros_like(x)
    before = build_profile(blank.length, blank.thickness, (cut,)).depth(x).real
    after = build_profile(blank.length, blank.thickness, (more,)).depth(x).real
    return np.asarray((after - before) / gained)


def deeper(cut: Shape, more: float) -> Shape:
    """Return the cut `more` deeper [m], never quite to nothing."""
    return cut.with_depth(max(cut.deepest + more, _LEAST_DEPTH))


def bar_with(bar: Bar, log_wood: Array, more_depth: Sequence[float]) -> Bar:
    """Return the bar with other wood and other depths than written down.

    Parameters
    ----------
    bar : Bar
    log_wood : ndarray, shape (3,)
        Logarithm of each constant of `WOOD` over the written one; crosswise E follow E.
    more_depth : sequence of float
        How much deeper each entry of the undercut is. [m]
    """
    factors = dict(zip(WOOD, np.exp(log_wood).tolist(), strict=True))
    wood = bar.blank.wood
    moduli = {name: getattr(wood, name) * factor for name, factor in factors.items()}
    moduli |= {name: getattr(wood, name) * factors["e_long"] for name in ("e_width", "e_thick")}
    cuts = tuple(
        deeper(cut, float(more)) if more else cut
        for cut, more in zip(bar.undercut, more_depth, strict=True)
    )
    blank = replace(bar.blank, wood=replace(wood, **moduli))
    return Bar(blank=blank, undercut=cuts)
