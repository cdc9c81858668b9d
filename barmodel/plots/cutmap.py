"""Picture of the cut map: the bar, its mode shapes, and what a cut does to each mode where.

Read from the top: the bar to scale, how it moves, what one millimetre does to each mode, every
mode by itself, and at the bottom how much nearer to target one cut at each place brings all modes
together. Beside each mode stands where it is now, where it is moved most, and what the ends would
raise. The best cut is a line through all of it: there one reads off what it does to every mode.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from numpy.typing import ArrayLike

from barmodel.bar import Bar
from barmodel.cutmap import TriedCut
from barmodel.cutmap.onecut import DEEPEST_MM, OneCut
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
LEFT, RIGHT = 1.00, 2.95
HEAD, DOUBT, FOOT = 0.80, 0.20, 1.10
AROUND_BAR = 0.12
SHAPES, EFFECT, USE, GAP, NEAR = 1.00, 1.30, 1.00, 0.30, 0.14
"""Heights of the panels, the effect's for each mode; between panels, and between two modes. [in]"""
SIDE = WIDTH - RIGHT + 0.22
"""Where the words beside the panels begin. [in]"""


def draw_cut_map(
    bar: Bar,
    x: Array,
    cents_per_mm: Array,
    *,
    shape_x: Array,
    shapes: Array,
    nodes: Sequence[ArrayLike],
    zero_points: Sequence[ArrayLike],
    strongest: ArrayLike,
    distance_cents: Sequence[float | None],
    single: OneCut,
    tried: TriedCut | None = None,
    ends_cents_per_mm: Sequence[float] | None = None,
    pair_width: float | None = None,
    names: Sequence[str] | None = None,
    limits: Sequence[tuple[float, float]] = TOLERANCE_CENTS,
    doubt: str = "",
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
    strongest : array, shape (k,)
        Where a cut lowers each mode most; NaN where no cut can be made. [m]
    distance_cents : sequence of float or None
        How far each mode is above its target; None for one that is not tuned. [cents]
    single : OneCut
        What one cut at each station is good for.
    tried : TriedCut, optional
        The best of them as solved; None where there is none.
    ends_cents_per_mm : sequence of float, optional
        Shift of each mode for one millimetre taken off both ends. [cents/mm]
    pair_width : float, optional
        Length of one cut where each is made on both halves: nearer than half of it to the middle
        the two run into one. [m]
    names : sequence of str, optional
        Names of the modes, `mode 1` and so on unless given.
    limits : sequence of (float, float)
        Lowest and highest distance of each mode that count as in tune. [cents]
    doubt : str
        Why the distances are not sure.
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
    with look():
        figure, (bar_axes, shape_axes, *effect_axes, use_axes) = _panels(
            bar, count, HEAD + DOUBT * bool(doubt)
        )
        _head(figure, title, cutter, doubt)
        draw_side_view(bar_axes, bar)
        _shapes(shape_axes, shape_x / MM, shapes, nodes)
        scale = _scale(effect)
        for row, axes in enumerate(effect_axes):
            _effect(axes, x_mm, row, effect[row], zero_points[row], merged, scale)
            name = f"mode {row + 1}" if names is None else names[row]
            at = float(np.asarray(strongest, dtype=float)[row]) / MM
            ends = None if ends_cents_per_mm is None else float(ends_cents_per_mm[row])
            words = _words(effect[row], float(distance[row]), limits[row], x_mm, at, ends)
            _beside(figure, axes, row, name, words)
        if merged is not None:
            _overlap(effect_axes[0], merged, scale)
        effect_axes[count // 2].set_ylabel("cents per mm cut")
        places = [] if tried is None else [tried.at / MM]
        if merged is not None and tried is not None and abs(places[0] - middle) > 0.05:
            places.append(2 * middle - places[0])
        _nearer(figure, use_axes, x_mm, single, tried, places)
        for place in places:
            for axes in (bar_axes, *effect_axes, use_axes):
                axes.axvline(place, color=INK, linewidth=1.1, zorder=4)
        for node in np.atleast_1d(nodes[0]) / MM:
            for axes in (bar_axes, shape_axes):
                axes.axvline(node, color=GREY, linewidth=0.9, linestyle=(0, (1, 2)), zorder=4)
        _key(figure, count, gaps=bool(np.isnan(effect).any()))
    return figure


def _panels(bar: Bar, modes: int, head: float) -> tuple[Figure, list[Axes]]:
    """Figure and its axes: the bar's, to scale, the shapes', one for each mode, the use's."""
    length, stock = bar.blank.length / MM, bar.blank.thickness / MM
    width = WIDTH - LEFT - RIGHT
    bar_height = stock * width / length + 2 * AROUND_BAR
    heights = [bar_height, SHAPES, *[EFFECT] * modes, USE]
    gaps = [GAP, GAP, *[NEAR] * (modes - 1), GAP]
    total = head + FOOT + sum(heights) + sum(gaps)
    figure = canvas(WIDTH, total)
    bottom = total - head
    panels: list[Axes] = []
    for height, gap in zip(heights, [0.0, *gaps], strict=True):
        bottom -= height + gap
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


def _head(figure: Figure, title: str, cutter: str, doubt: str) -> None:
    top = figure.get_size_inches()[1]
    heading = f"{title}: where to cut" if title else "where to cut"
    write(figure, LEFT, top - 0.34, heading, fontsize=TITLE, fontweight="bold")
    write(figure, LEFT, top - 0.60, cutter, fontsize=SMALL)
    write(figure, LEFT, top - 0.80, doubt, fontsize=SMALL, fontweight="bold")


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


def _scale(effect: Array) -> tuple[float, float]:
    """Lowest and highest of all modes, so that their strengths compare by the eye. [cents/mm]"""
    low, high = min(float(np.nanmin(effect)), 0.0), max(float(np.nanmax(effect)), 0.0)
    room = 0.08 * max(high - low, 1e-9)
    return low - room, high + room


def _effect(
    axes: Axes, x: Array, row: int, effect: Array, zeros: ArrayLike,
    merged: tuple[float, float] | None, scale: tuple[float, float],
) -> None:  # fmt: skip
    """What a cut does to one mode: below the line it lowers."""
    style = mark(row + 1)
    axes.axhline(0.0, color=INK, linewidth=1.2)
    axes.fill_between(x, 0.0, np.minimum(effect, 0.0), color=style.color, alpha=0.22, linewidth=0)
    axes.plot(x, effect, color=style.color, linestyle=style.line, linewidth=2.6)
    if merged is not None:
        axes.axvspan(*merged, color=FAINT, alpha=0.45, linewidth=0, zorder=3)
    places = np.atleast_1d(zeros) / MM
    axes.plot(places, np.zeros_like(places), "x", markersize=8, markeredgewidth=1.8,
              markeredgecolor=INK, zorder=6)  # fmt: skip
    axes.set_ylim(*scale)
    axes.locator_params(axis="y", nbins=4)
    axes.grid(axis="y", color=FAINT, linewidth=0.6)
    axes.set_axisbelow(True)


def _overlap(axes: Axes, merged: tuple[float, float], scale: tuple[float, float]) -> None:
    """Say above the first mode's panel what the band in the middle is."""
    axes.text(sum(merged) / 2, scale[1], "the two cuts overlap here, counted once",
              ha="center", va="bottom", fontsize=SMALL)  # fmt: skip


def _nearer(
    figure: Figure, axes: Axes, x: Array, single: OneCut, tried: TriedCut | None,
    places: Sequence[float],
) -> None:  # fmt: skip
    """Bottom panel: how much nearer to target one cut at each place brings all modes."""
    percent = 100.0 * single.nearer
    axes.fill_between(x, 0.0, percent, color=INK, alpha=0.6, linewidth=0)
    # far from home one cut does little; the best places must still stand out
    top = next(step for step in (5, 10, 20, 50, 100) if percent.max(initial=0.0) <= step + 1e-9)
    top = 100 if single.best is None else top
    axes.set_ylim(0.0, top)
    axes.set_yticks([0, top / 2, top])
    axes.set_ylabel("nearer to\ntarget, %", fontsize=SMALL)
    axes.grid(axis="y", color=FAINT, linewidth=0.6)
    height = figure.get_size_inches()[1]
    upper = axes.get_position().y1 * height - 0.16
    if tried is None:
        words = "in tune: nothing to cut" if single.in_tune else "no single cut is of use"
        write(figure, SIDE, upper, words, fontsize=TEXT, fontweight="bold")
        return
    axes.plot(tried.at / MM, 100.0 * tried.nearer, "v", markersize=10, color=INK, clip_on=False,
              zorder=6)  # fmt: skip
    then = ", ".join(signed(float(cents), 0) for cents in tried.cents)
    digits = 2 if tried.depth > 9.9e-6 else 3
    write(figure, SIDE, upper, "▼ best single cut:", fontsize=TEXT, fontweight="bold")
    lines = (
        f"at {' and '.join(f'{place:.0f}' for place in places)} mm,",
        f"{tried.depth / MM:.{digits}f} mm deep; then about",
        f"{then} cents,",
        f"together {100.0 * tried.nearer:.0f} % nearer",
    )
    for index, line in enumerate(lines):
        write(figure, SIDE, upper - 0.22 * (index + 1), line, fontsize=TEXT)


def _words(
    effect: Array, cents: float, limits: tuple[float, float], x: Array, strongest: float,
    ends: float | None,
) -> tuple[str, ...]:  # fmt: skip
    """What stands beside a mode: the distance, what it means, then smaller lines."""
    words = list(_verdict(cents, limits))
    if math.isfinite(cents):
        words.append(f"in tune from {signed(limits[0], 0)} to {signed(limits[1], 0)}")
    if math.isfinite(strongest):
        most = float(effect[int(np.abs(x - strongest).argmin())])
        words.append(f"strongest at {strongest:.0f} mm: {signed(most, 0)} per mm")
    if ends is not None:
        words.append(f"1 mm off both ends: {signed(ends)}")
    return tuple(words)


def _verdict(cents: float, limits: tuple[float, float]) -> tuple[str, str]:
    """Distance, and what it means."""
    low, high = limits
    if not math.isfinite(cents):
        return "–", "not tuned"
    if cents > high:
        return signed(cents), "cents sharp: to come down"
    if cents < low:
        return signed(cents), "cents flat: only the ends raise it"
    return signed(cents), "cents, in tune: leave it alone"


def _beside(figure: Figure, axes: Axes, row: int, name: str, words: Sequence[str]) -> None:
    """Say beside a mode how far it is from home, in large type, and what moves it."""
    value, meaning, *lines = words
    style, upper = mark(row + 1), axes.get_position().y1 * figure.get_size_inches()[1]
    line = axes_at(figure, SIDE, upper - 0.18, 0.55, 0.16)
    line.plot([0, 1], [0, 0], color=style.color, linestyle=style.line, linewidth=2.6)
    bare(line)
    write(figure, SIDE + 0.65, upper - 0.15, name, fontsize=TITLE - 1, fontweight="bold",
          color=style.color)  # fmt: skip
    write(figure, SIDE + 1.55, upper - 0.17, value, fontsize=TITLE + 3, fontweight="bold")
    write(figure, SIDE, upper - 0.46, meaning, fontsize=TEXT)
    for index, text in enumerate(lines):
        write(figure, SIDE, upper - 0.72 - 0.22 * index, text, fontsize=SMALL + 0.5)


def _key(figure: Figure, modes: int, *, gaps: bool) -> None:
    """Two lines under the picture: what the marks mean."""
    open_marks = ", ".join(("ring", "square", "triangle", "diamond")[:modes])
    lines = (
        f"{open_marks}: still points (nodes)     ×: a cut here leaves the mode alone     "
        f"below zero: a cut lowers{'     gap: no cut fits there' if gaps else ''}",
        "bottom: how much nearer one cut at a place brings all tuned modes together (light cuts, "
        f"at most {DEEPEST_MM:g} mm; ▼ solved anew)",
    )
    for index, line in enumerate(lines):
        write(figure, 0.25, 0.36 - 0.22 * index, line, fontsize=SMALL + 0.5, color=INK)
