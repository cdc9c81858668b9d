"""Picture of a bar and its modes: profile to scale, mode shapes under it on the same axis."""

from __future__ import annotations

import itertools
import math
from dataclasses import replace

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from barmodel.bar import Bar
from barmodel.modes import ModeSet
from barmodel.pitch import Target
from barmodel.plots.outline import dimension, draw_side_view, witness
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
from barmodel.undercut.outline import cut_span, floors, inner_walls, thinnest
from barmodel.undercut.piece import Array
from barmodel.undercut.profile import Profile
from barmodel.units import MM, no_deeper, no_thinner

WIDTH = 11.0
LEFT, RIGHT = 0.55, 2.15
"""Margins beside the shared axis; the right one holds what is said of each mode. [in]"""
PANEL, GAP = 1.15, 0.16
ABOVE_BAR, BELOW_BAR = 0.50, 0.95
"""Room for the dimensions over and under the bar. [in]"""
HEAD, FOOT = 0.75, 0.62
LEAST_SHOWN = 3
"""Bending modes drawn, as far as they are known, however few are tuned."""
LEAST_WORDS = 2.2
"""Room that the words of the thinnest place take. [in]"""


def draw_modes(
    bar: Bar,
    modes: ModeSet,
    target: Target | None = None,
    *,
    heard_hz: Array | None = None,
    title: str = "",
) -> Figure:
    """Draw a bar to scale and its bending modes under it: those it tunes, three at least.

    Parameters
    ----------
    bar : Bar
    modes : ModeSet
        Its modes.
    target : Target, optional
        What they are tuned to; cents are given for the modes it tunes.
    heard_hz : ndarray, shape (k,), optional
        Pitches by the ear, told in place of the computed ones. [Hz]
    title : str
        First line, usually the name of the bar.

    Returns
    -------
    Figure
        To be saved with `save_figure`.
    """
    how = f"computed: {modes.model}"
    if heard_hz is not None:
        modes, how = replace(modes, bending_hz=heard_hz), "pitches by the last reading"
    tuned = 0 if target is None else len(target.ratios)
    count = min(max(LEAST_SHOWN, tuned), modes.bending_hz.size)
    length, stock = bar.blank.length / MM, bar.blank.thickness / MM
    inches_per_mm = (WIDTH - LEFT - RIGHT) / length
    bar_height = ABOVE_BAR + stock * inches_per_mm + BELOW_BAR
    height = HEAD + bar_height + count * (PANEL + GAP) + FOOT
    with look():
        figure = canvas(WIDTH, height)
        _head(figure, bar, target, title, how)
        bar_axes = axes_at(
            figure, LEFT, height - HEAD - bar_height, length * inches_per_mm, bar_height
        )
        bar_axes.set_xlim(0, length)
        bar_axes.set_ylim(-stock - BELOW_BAR / inches_per_mm, ABOVE_BAR / inches_per_mm)
        bare(bar_axes)
        draw_side_view(bar_axes, bar)
        _dimensions(bar_axes, bar, 1 / inches_per_mm)
        bottom = height - HEAD - bar_height
        cents = _cents(modes, target)
        for number in range(1, count + 1):
            bottom -= PANEL + (GAP if number > 1 else 0.0)
            axes = axes_at(figure, LEFT, bottom, length * inches_per_mm, PANEL, share_x=bar_axes)
            _mode(axes, modes, number, last=number == count)
            _say(figure, bottom, modes, number, cents)
        axes.set_xlabel("mm from the left end; marks on the lines: still points (nodes)")
    return figure


def _cents(modes: ModeSet, target: Target | None) -> list[float]:
    """Cents from target of each tuned mode that is known."""
    if target is None:
        return []
    known = np.full(max(len(target.ratios), modes.bending_hz.size), np.nan)
    known[: modes.bending_hz.size] = modes.bending_hz
    return [float(value) for value in target.cents(known)]


def _head(figure: Figure, bar: Bar, target: Target | None, title: str, how: str) -> None:
    top = figure.get_size_inches()[1]
    blank = bar.blank
    aim = ""
    if target is not None:
        ratios = " : ".join(f"{ratio:g}" for ratio in target.ratios)
        aim = f"{target.note}, A4 = {target.a4_hz:g} Hz, {ratios}"
    write(figure, LEFT, top - 0.34, title or aim, fontsize=TITLE, fontweight="bold")
    sizes = " × ".join(f"{v / MM:g}" for v in (blank.length, blank.width, blank.thickness))
    parts = [aim if title else "", f"{sizes} mm", blank.wood.species or "", how]
    line = "   ·   ".join(part for part in parts if part)
    write(figure, LEFT, top - 0.62, line, fontsize=SMALL, color=GREY)


def _dimensions(axes: Axes, bar: Bar, mm_per_inch: float) -> None:
    """Length over the bar; under it the least thickness and where the undercut begins and ends."""
    profile = bar.profile
    length, stock = bar.blank.length / MM, bar.blank.thickness / MM
    above = 0.24 * mm_per_inch
    for x in (0.0, length):
        witness(axes, x, above * 1.25, 0.0)
    dimension(axes, 0.0, length, above, f"{length:g} mm long, {stock:g} mm thick")
    span = cut_span(profile)
    if span is None:
        return
    row = -stock - 0.70 * mm_per_inch
    places = [0.0, span[0] / MM, span[1] / MM, length]
    walls = inner_walls(profile)
    if walls:
        _walls(axes, [span[0] / MM, *(x / MM for x in walls), span[1] / MM], row, mm_per_inch)
        _floors(axes, profile, thinnest(profile)[0] / MM, -stock - 0.26 * mm_per_inch, mm_per_inch)
    else:
        for x in places:
            witness(axes, x, -stock, row - 0.06 * mm_per_inch)
        for left, right in itertools.pairwise(places):
            if right - left > 0.35 * mm_per_inch:
                dimension(axes, left, right, row, f"{right - left:.1f}")
    where, least = thinnest(profile)
    words = f"least thickness {no_thinner(least / MM, 1)} mm"
    if walls:
        words = f"{no_deeper(stock - least / MM, 1)} deep, {no_thinner(least / MM, 1)} left"
    _least(axes, where / MM, least / MM, words, -stock - 0.26 * mm_per_inch)


def _walls(axes: Axes, places: list[float], row: float, mm_per_inch: float) -> None:
    """Every wall with its place from the left end, upright: floors can be narrow."""
    for x in places:
        witness(axes, x, row + 0.64 * mm_per_inch, row + 0.14 * mm_per_inch)
        axes.text(x, row + 0.12 * mm_per_inch, f"{x:.1f}", ha="center", va="top", rotation=90,
                  fontsize=SMALL)  # fmt: skip


def _floors(
    axes: Axes, profile: Profile, thinnest_at: float, row: float, mm_per_inch: float
) -> None:
    """How deep each level floor lies, on the left half, beside the words of the thinnest place."""
    for floor in floors(profile):
        start, end = floor.start / MM, floor.end / MM
        room = (end - start) / mm_per_inch
        free = abs((start + end) / 2 - thinnest_at) > LEAST_WORDS / 2 * mm_per_inch
        if end < profile.length / MM / 2 and room > 0.3 and free:
            deep = no_deeper((float(profile.stock.real) - floor.thickness) / MM, 1)
            words = f"{deep} deep" if room > 0.75 else deep
            axes.text((start + end) / 2, row, words, ha="center", va="center", fontsize=SMALL)


def _least(axes: Axes, where: float, least: float, text: str, row: float) -> None:
    arrow = {"arrowstyle": "-|>", "color": INK, "linewidth": 1.0, "shrinkA": 2, "shrinkB": 0}
    axes.annotate(
        text, (where, -least), (where, row), ha="center", va="center", fontsize=TEXT,
        fontweight="bold", arrowprops=arrow, zorder=6, annotation_clip=False,
        bbox={"boxstyle": "square,pad=0.2", "facecolor": "white", "edgecolor": "none"},
    )  # fmt: skip


def _mode(axes: Axes, modes: ModeSet, number: int, *, last: bool) -> None:
    style = mark(number)
    x, w = modes.x / MM, modes.deflection[number - 1]
    axes.axhline(0.0, color=GREY, linewidth=0.8)
    axes.fill_between(x, 0.0, w, color=style.color, alpha=0.10, linewidth=0)
    axes.plot(x, w, color=style.color, linestyle=style.line, linewidth=2.4)
    for node in modes.nodes[number - 1] / MM:
        axes.axvline(node, color=FAINT, linewidth=0.8, zorder=0)
        axes.plot(node, 0.0, style.marker, markersize=9, markerfacecolor="white",
                  markeredgecolor=style.color, markeredgewidth=2.0, zorder=5)  # fmt: skip
        paper = {"boxstyle": "square,pad=0.1", "facecolor": "white", "edgecolor": "none"}
        axes.text(node, -0.55, f"{node:.1f}", ha="center", va="center", fontsize=SMALL, bbox=paper)
    axes.set_ylim(-1.25, 1.25)
    axes.set_yticks([])
    open_frame(axes)
    axes.spines["left"].set_visible(False)
    if not last:
        axes.tick_params(labelbottom=False)


def _say(figure: Figure, bottom: float, modes: ModeSet, number: int, cents: list[float]) -> None:
    left = WIDTH - RIGHT + 0.22
    hz = float(modes.bending_hz[number - 1])
    write(figure, left, bottom + 0.86, f"mode {number}", fontsize=TEXT, color=mark(number).color,
          fontweight="bold")  # fmt: skip
    write(figure, left, bottom + 0.53, f"{hz:.2f} Hz", fontsize=TITLE, fontweight="bold")
    known = number <= len(cents) and math.isfinite(cents[number - 1])
    ratio = hz / float(modes.bending_hz[0])
    text = f"{signed(cents[number - 1])} cents from target" if known else "not tuned"
    write(figure, left, bottom + 0.27, text, fontsize=SMALL)
    write(figure, left, bottom + 0.05, f"ratio {ratio:.3f}", fontsize=SMALL, color=GREY)
