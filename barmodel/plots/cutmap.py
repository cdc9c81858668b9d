"""Picture of the cut map: the bar, its mode shapes, and what a cut does to each mode where.

Read from the top: the bar to scale, how it moves, what one millimetre does, and at the bottom how
much nearer to target one cut at each place brings all modes together. Beside the curves stands
where each mode is now, where it is moved most, and what the ends would raise.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import ArrayLike

from barmodel.bar import Bar
from barmodel.cutmap.onecut import DEEPEST_MM, OneCut, one_cut
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
from barmodel.tolerance import TOLERANCE_CENTS
from barmodel.undercut.piece import Array
from barmodel.units import MM

WIDTH = 11.0
LEFT, RIGHT = 1.00, 2.55
HEAD, FOOT = 0.80, 1.02
AROUND_BAR = 0.12
SHAPES, EFFECT, USE, GAP = 1.25, 1.30, 0.80, 0.30
"""Heights of the panels; of the effects, for each mode. [in]"""


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
    ends_cents_per_mm: Sequence[float] | None = None,
    pair_width: float | None = None,
    names: Sequence[str] | None = None,
    limits: Sequence[tuple[float, float]] = TOLERANCE_CENTS,
    room_mm: Array | None = None,
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
        Shift of each mode for one millimetre of depth at each station; NaN where no cut can be
        made. [cents/mm]
    shape_x, shapes : ndarray, shapes (m,) and (k, m)
        Mode shapes, largest ±1. [m], [1]
    nodes, zero_points : sequence of array, k of each
        Still points, and places where a cut leaves the mode alone. [m]
    distance_cents : sequence of float or None
        How far each mode is above its target; None for one that is not tuned. [cents]
    ends_cents_per_mm : sequence of float, optional
        Shift of each mode for one millimetre taken off both ends. [cents/mm]
    pair_width : float, optional
        Length of one cut where each is made on both halves: nearer than half of it to the middle
        the two run into one. [m]
    names : sequence of str, optional
        Names of the modes, `mode 1` and so on unless given.
    limits : sequence of (float, float)
        Lowest and highest distance of each mode that count as in tune. [cents]
    room_mm : ndarray, shape (n,), optional
        Depth that the bar has to give at each station. [mm]
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
    count = effect.shape[0]
    distance = np.full(count, np.nan)
    for row, cents in enumerate(list(distance_cents)[:count]):
        distance[row] = np.nan if cents is None else cents
    limits = [limits[min(row, len(limits) - 1)] for row in range(count)]
    x_mm, middle = np.asarray(x) / MM, bar.blank.length / MM / 2
    merged = (
        None if pair_width is None else (middle - pair_width / MM / 2, middle + pair_width / MM / 2)
    )
    found = one_cut(effect, distance, limits, room_mm)
    words = _words(x_mm, effect, distance, limits, ends_cents_per_mm)
    with look():
        figure, (bar_axes, shape_axes, effect_axes, use_axes) = _panels(bar, count)
        _head(figure, title, cutter)
        draw_side_view(bar_axes, bar)
        _shapes(shape_axes, shape_x / MM, shapes, nodes)
        _effects(effect_axes, x_mm, effect, zero_points, merged)
        _nearer(figure, use_axes, x_mm, found)
        for node in np.atleast_1d(nodes[0]) / MM:
            for axes in (bar_axes, shape_axes, effect_axes):
                axes.axvline(node, color=GREY, linewidth=0.9, linestyle=(0, (1, 2)), zorder=4)
        _beside(figure, effect_axes, names or [f"mode {n + 1}" for n in range(count)], words)
        _key(figure, count, gaps=bool(np.isnan(effect).any()))
    return figure


def _panels(bar: Bar, modes: int) -> tuple[Figure, list[Axes]]:
    """Figure and its four axes, the bar's one to scale."""
    length, stock = bar.blank.length / MM, bar.blank.thickness / MM
    width = WIDTH - LEFT - RIGHT
    bar_height = stock * width / length + 2 * AROUND_BAR
    heights = [bar_height, SHAPES, EFFECT * max(modes, 2), USE]
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


def _effects(
    axes: Axes, x: Array, effect: Array, zero_points: Sequence[ArrayLike],
    merged: tuple[float, float] | None,
) -> None:  # fmt: skip
    axes.axhline(0.0, color=INK, linewidth=1.4)
    low, high = float(np.nanmin(effect)), float(np.nanmax(effect))
    room = 0.08 * max(high - low, 1e-9)
    top = max(high, 0.0) + room
    inside = np.zeros(x.size, dtype=bool)
    if merged is not None:
        inside = (x > merged[0]) & (x < merged[1])
        axes.axvspan(*merged, color=FAINT, alpha=0.35, linewidth=0, zorder=0)
        top += 2.2 * room  # for the words in the band
        axes.text((merged[0] + merged[1]) / 2, top - 0.2 * room,
                  "the two cuts\noverlap here,\ncounted once",
                  ha="center", va="top", fontsize=SMALL - 1.5, linespacing=1.05)  # fmt: skip
    touching = inside | np.roll(inside, 1) | np.roll(inside, -1)
    for number, (row, zeros) in enumerate(zip(effect, zero_points, strict=False), start=1):
        style = mark(number)
        axes.plot(x, np.where(inside, np.nan, row), color=style.color, linestyle=style.line,
                  linewidth=2.4)  # fmt: skip
        axes.plot(x, np.where(touching, row, np.nan), color=style.color, linewidth=0.9)
        places = np.atleast_1d(zeros) / MM
        axes.plot(places, np.zeros_like(places), "x", markersize=9, markeredgewidth=2.4,
                  markeredgecolor=style.color, zorder=6)  # fmt: skip
    axes.set_ylim(min(low, 0.0) - room, top)
    axes.set_ylabel("cents per mm cut")
    axes.grid(axis="y", color=FAINT, linewidth=0.6)
    axes.set_axisbelow(True)


def _nearer(figure: Figure, axes: Axes, x: Array, found: OneCut) -> None:
    """Bottom panel: how much nearer to target one cut at each place brings all modes."""
    percent = 100.0 * found.nearer
    axes.fill_between(x, 0.0, percent, color=INK, alpha=0.78, linewidth=0)
    # far from home one cut does little; the best places must still stand out
    top = next(step for step in (5, 10, 20, 50, 100) if percent.max(initial=0.0) <= step + 1e-9)
    top = 100 if found.best is None else top
    axes.set_ylim(0.0, top)
    axes.set_yticks([0, top / 2, top])
    axes.set_ylabel("nearer to\ntarget, %", fontsize=SMALL)
    axes.grid(axis="y", color=FAINT, linewidth=0.6)
    height = figure.get_size_inches()[1]
    left, upper = WIDTH - RIGHT + 0.22, axes.get_position().y1 * height - 0.16
    best = found.best
    if best is None:
        words = "in tune: nothing to cut" if found.in_tune else "no single cut is of use"
        write(figure, left, upper - 0.16, words, fontsize=SMALL)
        return
    axes.plot(x[best], percent[best], "v", markersize=9, color=INK, clip_on=False)
    lines = (
        f"▼ best single cut: at {x[best]:.0f} mm,",
        f"{found.depth_mm[best]:.2f} mm deep; all modes",
        f"together {percent[best]:.0f} % nearer",
    )
    for index, line in enumerate(lines):
        write(figure, left, upper - 0.2 * index, line, fontsize=SMALL)


def _words(
    x: Array, effect: Array, distance: Array, limits: Sequence[tuple[float, float]],
    ends: Sequence[float] | None,
) -> list[tuple[str, ...]]:  # fmt: skip
    """What stands beside the curves for each mode: the distance, then smaller lines."""
    words = []
    for row, cents in enumerate(distance):
        value, *lines = _verdict(float(cents), limits[row])
        known = np.isfinite(effect[row])
        if known.any():
            at = int(np.nanargmin(effect[row]))
            lines.append(f"strongest at {x[at]:.0f} mm: {signed(float(effect[row][at]), 0)} per mm")
        if ends is not None:
            lines.append(f"1 mm off both ends: {signed(float(ends[row]))}")
        words.append((value, *lines))
    return words


def _verdict(cents: float, limits: tuple[float, float]) -> tuple[str, ...]:
    """Distance, what it means, and what would be in tune."""
    low, high = limits
    if not math.isfinite(cents):
        return "–", "not tuned"
    home = f"in tune from {signed(low, 0)} to {signed(high, 0)}"
    if cents > high:
        return signed(cents), "cents sharp: to come down", home
    if cents < low:
        return signed(cents), "cents flat: only the ends raise it", home
    return signed(cents), "cents, in tune: leave it alone", home


def _beside(
    figure: Figure, axes: Axes, names: Sequence[str], words: Sequence[Sequence[str]]
) -> None:
    """Say beside the curves how far each mode is from home, in large type, and what moves it."""
    box = axes.get_position()
    height = figure.get_size_inches()[1]
    top, step = box.y1 * height, box.height * height / len(words)
    left = WIDTH - RIGHT + 0.22
    for row, (name, (value, *lines)) in enumerate(zip(names, words, strict=True)):
        style, upper = mark(row + 1), top - step * row
        line = axes_at(figure, left, upper - 0.20, 0.55, 0.16)
        line.plot([0, 1], [0, 0], color=style.color, linestyle=style.line, linewidth=2.4)
        bare(line)
        write(figure, left + 0.65, upper - 0.17, name, fontsize=TEXT, fontweight="bold",
              color=style.color)  # fmt: skip
        write(figure, left, upper - 0.48, value, fontsize=TITLE + 2, fontweight="bold")
        for index, text in enumerate(lines):
            write(figure, left, upper - 0.66 - 0.165 * index, text, fontsize=SMALL - 0.5)


def _key(figure: Figure, modes: int, *, gaps: bool) -> None:
    """Two lines under the picture: what the marks mean."""
    open_marks = ", ".join(("ring", "square", "triangle", "diamond")[:modes])
    lines = (
        f"{open_marks}: still points (nodes)     ×: a cut here leaves that mode alone     "
        f"below zero: a cut lowers{'     gap: no cut fits there' if gaps else ''}",
        "bottom: how much nearer to target one cut at a place brings all tuned modes together "
        f"(at best depth, at most {DEEPEST_MM:g} mm, none left flat)",
    )
    for index, line in enumerate(lines):
        write(figure, 0.25, 0.33 - 0.2 * index, line, fontsize=SMALL - 0.5, color=INK)
