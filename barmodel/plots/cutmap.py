"""Picture of the cut map: the bar, its mode shapes, and what a cut does to each mode where.

Read from the top: the bar to scale, how it moves, what one millimetre does, and at the bottom how
far a single cut at each place would bring all modes home together.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import ArrayLike

from barmodel.bar import Bar
from barmodel.errors import InputError
from barmodel.plots.outline import draw_side_view
from barmodel.plots.style import (
    FAINT,
    GREY,
    INK,
    SMALL,
    TEXT,
    TITLE,
    axes_at,
    bare,
    canvas,
    look,
    mark,
    open_frame,
    signed,
    write,
)
from barmodel.undercut.piece import Array
from barmodel.units import MM

WIDTH = 11.0
LEFT, RIGHT = 1.00, 2.25
HEAD, FOOT = 0.80, 0.85
AROUND_BAR = 0.12
SHAPES, EFFECT, USE, GAP = 1.25, 2.75, 0.80, 0.30
"""Heights of the panels. [in]"""
IN_TUNE = 0.5
"""Distances smaller than this are called in tune. [cents]"""


def draw_cut_map(
    bar: Bar,
    x: Array,
    cents_per_mm: Array,
    *,
    shape_x: Array,
    shapes: Array,
    nodes: Sequence[ArrayLike],
    zero_points: Sequence[ArrayLike],
    distance_cents: Sequence[float | None],
    title: str = "",
    cutter: str = "",
) -> Figure:
    """Draw where to cut.

    Parameters
    ----------
    bar : Bar
        The bar as it is.
    x : ndarray, shape (n,)
        Stations. [m]
    cents_per_mm : ndarray, shape (k, n)
        Shift of each mode for one millimetre of depth at each station. [cents/mm]
    shape_x, shapes : ndarray, shapes (m,) and (k, m)
        Mode shapes, largest ±1. [m], [1]
    nodes, zero_points : sequence of array, k of each
        Still points, and places where a cut leaves the mode alone. [m]
    distance_cents : sequence of float or None
        How far each mode is above its target; None for one that is not tuned. [cents]
    title, cutter : str
        Name of the bar; the cut meant, in words.

    Returns
    -------
    Figure
    """
    effect = np.asarray(cents_per_mm, dtype=float)
    if effect.ndim != 2 or effect.shape[1] != np.size(x):
        raise InputError(
            f"cut map: cents_per_mm has shape {effect.shape}; it needs one row per mode and "
            f"{np.size(x)} columns, one per station"
        )
    distance = np.full(effect.shape[0], np.nan)
    for row, cents in enumerate(list(distance_cents)[: effect.shape[0]]):
        distance[row] = np.nan if cents is None else cents
    with look():
        figure, (bar_axes, shape_axes, effect_axes, use_axes) = _panels(bar)
        _head(figure, title, cutter)
        draw_side_view(bar_axes, bar)
        _shapes(shape_axes, shape_x / MM, shapes, nodes)
        _effects(effect_axes, np.asarray(x) / MM, effect, zero_points)
        _use(use_axes, np.asarray(x) / MM, use_of_one_cut(effect, distance))
        for node in np.atleast_1d(nodes[0]) / MM:
            for axes in (bar_axes, shape_axes, effect_axes):
                axes.axvline(node, color=GREY, linewidth=0.9, linestyle=(0, (1, 2)), zorder=4)
        _distances(figure, effect_axes, effect, distance)
        _key(figure, effect.shape[0])
    return figure


def use_of_one_cut(cents_per_mm: Array, distance: Array, *, deepest_mm: float = 1.0) -> Array:
    """Share of the distance from target that the best single cut at each place takes away.

    For shifts e per millimetre and distances d, a cut of depth a leaves |d + a e|; the best
    a = −e·d/|e|², no more than `deepest_mm` and never negative, takes away
    1 − |d + a e|²/|d|² of the squared distance.

    Parameters
    ----------
    cents_per_mm : ndarray, shape (k, n)
        Shifts. [cents/mm]
    distance : ndarray, shape (k,)
        Distances; NaN leaves a mode out. [cents]
    deepest_mm : float
        Deepest single cut considered. [mm]

    Returns
    -------
    ndarray, shape (n,)
        0 where a cut helps nothing, 1 where one cut brings all modes home.

    Examples
    --------
    >>> use_of_one_cut(np.array([[-10.0, 0.0], [0.0, -10.0]]), np.array([5.0, 0.0]))
    array([1., 0.])
    """
    counted = np.isfinite(distance)
    e, d = cents_per_mm[counted], distance[counted]
    if np.abs(d).max(initial=0.0) < IN_TUNE:  # a bar at home is to be left alone
        return np.zeros(cents_per_mm.shape[1])
    whole = float(d @ d)
    power = np.sum(e * e, axis=0)
    wanted = np.divide(-d @ e, power, out=np.zeros_like(power), where=power > 0.0)
    depth = np.clip(wanted, 0.0, deepest_mm)
    left = np.sum((d[:, None] + depth * e) ** 2, axis=0)
    return np.asarray(1.0 - left / whole)


def _panels(bar: Bar) -> tuple[Figure, list[Axes]]:
    """Figure and its four axes, the bar's one to scale."""
    length, stock = bar.blank.length / MM, bar.blank.thickness / MM
    width = WIDTH - LEFT - RIGHT
    bar_height = stock * width / length + 2 * AROUND_BAR
    heights = [bar_height, SHAPES, EFFECT, USE]
    total = HEAD + FOOT + sum(heights) + GAP * 3
    figure = canvas(WIDTH, total)
    bottom = total - HEAD + GAP
    panels: list[Axes] = []
    for height in heights:
        bottom -= height + GAP
        shared = panels[0] if panels else None
        panels.append(axes_at(figure, LEFT, bottom, width, height, share_x=shared))
        panels[-1].tick_params(labelbottom=False)
        open_frame(panels[-1])
    edge = AROUND_BAR * length / width
    panels[0].set_xlim(0.0, length)
    panels[0].set_ylim(-stock - edge, edge)
    bare(panels[0])
    panels[-1].tick_params(labelbottom=True)
    panels[-1].set_xlabel("mm from the left end")
    return figure, panels


def _head(figure: Figure, title: str, cutter: str) -> None:
    top = figure.get_size_inches()[1]
    heading = f"{title}: where to cut" if title else "where to cut"
    write(figure, LEFT, top - 0.34, heading, fontsize=TITLE, fontweight="bold")
    write(figure, LEFT, top - 0.62, cutter, fontsize=SMALL, color=GREY)


def _shapes(axes: Axes, x: Array, shapes: Array, nodes: Sequence[ArrayLike]) -> None:
    axes.axhline(0.0, color=GREY, linewidth=0.8)
    for number, (shape, still) in enumerate(zip(shapes, nodes, strict=False), start=1):
        style = mark(number)
        axes.plot(x, shape, color=style.color, linestyle=style.line)
        places = np.atleast_1d(still) / MM
        axes.plot(places, np.zeros_like(places), style.marker, markersize=8, zorder=6,
                  markerfacecolor="white", markeredgecolor=style.color,
                  markeredgewidth=1.8, linestyle="none")  # fmt: skip
    axes.set_ylim(-1.15, 1.15)
    axes.set_yticks([])
    axes.set_ylabel("motion", fontsize=SMALL)


def _effects(axes: Axes, x: Array, effect: Array, zero_points: Sequence[ArrayLike]) -> None:
    axes.axhline(0.0, color=INK, linewidth=1.4)
    for number, (row, zeros) in enumerate(zip(effect, zero_points, strict=False), start=1):
        style = mark(number)
        axes.plot(x, row, color=style.color, linestyle=style.line, linewidth=2.4)
        places = np.atleast_1d(zeros) / MM
        axes.plot(places, np.zeros_like(places), "x", markersize=9, markeredgewidth=2.4,
                  markeredgecolor=style.color, zorder=6)  # fmt: skip
    low, high = float(np.nanmin(effect)), float(np.nanmax(effect))
    room = 0.08 * max(high - low, 1e-9)
    axes.set_ylim(min(low, 0.0) - room, max(high, 0.0) + room)
    axes.set_ylabel("cents per mm cut")
    axes.grid(axis="y", color=FAINT, linewidth=0.6)
    axes.set_axisbelow(True)


def _use(axes: Axes, x: Array, share: Array) -> None:
    axes.fill_between(x, 0.0, 100 * share, color=INK, alpha=0.78, linewidth=0)
    # far from home one cut does little; the best places must still stand out
    best_share = 100.0 * float(share.max(initial=0.0))
    top = next(step for step in (5, 10, 20, 50, 100) if best_share <= step * (1.0 + 1e-9))
    axes.set_ylim(0.0, top)
    axes.set_yticks([0, top / 2, top])
    axes.set_ylabel("one cut\nhelps, %", fontsize=SMALL)
    axes.grid(axis="y", color=FAINT, linewidth=0.6)
    if share.size and share.max() > 0.0:
        best = int(np.argmax(share))
        axes.plot(x[best], 100 * share[best], "v", markersize=9, color=INK, clip_on=False)


def _distances(figure: Figure, axes: Axes, effect: Array, distance: Array) -> None:
    """Say beside the curves how far each mode is from home, sharp or flat, in large type."""
    box = axes.get_position()
    height = figure.get_size_inches()[1]
    top, step = box.y1 * height, box.height * height / effect.shape[0]
    left = WIDTH - RIGHT + 0.22
    for row, cents in enumerate(distance):
        style, base = mark(row + 1), top - step * (row + 1)
        line = axes_at(figure, left, base + step * 0.74, 0.55, 0.16)
        line.plot([0, 1], [0, 0], color=style.color, linestyle=style.line, linewidth=2.4)
        bare(line)
        write(figure, left + 0.65, base + step * 0.76, f"mode {row + 1}", fontsize=TEXT,
              fontweight="bold", color=style.color)  # fmt: skip
        value, word = _verdict(float(cents))
        write(figure, left, base + step * 0.36, value, fontsize=TITLE + 2, fontweight="bold")
        write(figure, left, base + step * 0.12, word, fontsize=SMALL)


def _verdict(cents: float) -> tuple[str, str]:
    if not math.isfinite(cents):
        return "–", "not tuned"
    if abs(cents) < IN_TUNE:
        return signed(cents), "in tune: leave it alone"
    return signed(cents), "cents sharp: to come down" if cents > 0 else "cents flat: cut elsewhere"


def _key(figure: Figure, modes: int) -> None:
    """One line under the picture: what the marks mean."""
    open_marks = ", ".join(("ring", "square", "triangle", "diamond")[:modes])
    text = (
        f"{open_marks}: still points (nodes)     ×: a cut here leaves that mode alone     "
        "below zero: a cut lowers     ▼: best single place, up to 1 mm"
    )
    write(figure, 0.25, 0.14, text, fontsize=SMALL - 0.5, color=INK)
