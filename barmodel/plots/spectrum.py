"""Picture of a struck bar: its spectrum, the lines found, what they are, and where they belong."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from barmodel.errors import InputError
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

WIDTH, HEIGHT = 11.0, 6.4
LEFT, RIGHT, HEAD, FOOT = 0.95, 3.15, 0.80, 0.75
LANES = 0.95
"""Height of the strip over the spectrum where names stand. [in]"""
TICKS_APART = 0.06
"""Least distance between two figures of the scale, as a share of its length. [1]"""
ON_PEAK = 0.01
"""A peak of the curve lies within this share of its frequency. [1]"""
DEEPEST = -90.0
"""Nothing is drawn below this. [dB]"""


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a spectrum, as far as it is known.

    Attributes
    ----------
    hz, level_db : float
        Frequency and level. [Hz], [dB]
    name : str
        `mode 1`, `torsional 1`, …; empty for a line without a name.
    number : int
        Number of a tuned bending mode, for its mark; 0 otherwise.
    cents : float, optional
        From its target. [cents]
    decay_s : float, optional
        Time to fall to 1/e. [s]
    """

    hz: float
    level_db: float
    name: str = ""
    number: int = 0
    cents: float | None = None
    decay_s: float | None = None


def draw_spectrum(
    hz: Array,
    level_db: Array,
    lines: Sequence[Line],
    *,
    target_hz: Sequence[float] = (),
    title: str = "",
    subtitle: str = "",
) -> Figure:
    """Draw the spectrum of a struck bar.

    Parameters
    ----------
    hz, level_db : ndarray, shape (n,)
        Spectrum, its strongest line near 0 dB. [Hz], [dB]
    lines : sequence of Line
        Lines found.
    target_hz : sequence of float
        Targets of the tuned modes. [Hz]
    title, subtitle : str
        Name of the bar; recording, date and the like.

    Returns
    -------
    Figure
    """
    hz, level_db = np.asarray(hz, dtype=float), np.asarray(level_db, dtype=float)
    if hz.shape != level_db.shape or hz.ndim != 1 or hz.size < 2:
        raise InputError("spectrum: frequencies and levels must be two rows of equal length")
    with look():
        figure = canvas(WIDTH, HEIGHT)
        write(figure, LEFT, HEIGHT - 0.38, title, fontsize=TITLE, fontweight="bold")
        write(figure, LEFT, HEIGHT - 0.65, subtitle, fontsize=SMALL, color=GREY)
        size = (WIDTH - LEFT - RIGHT, HEIGHT - HEAD - FOOT - LANES)
        axes = axes_at(figure, LEFT, FOOT, *size)
        low, high = _limits(hz, lines, target_hz)
        axes.set_xscale("log")
        axes.set_xlim(low, high)
        axes.set_ylim(_floor(level_db), 5.0)
        shown = (hz >= low) & (hz <= high)
        axes.plot(hz[shown], np.maximum(level_db[shown], DEEPEST), color=GREY, linewidth=0.9)
        open_frame(axes)
        _ticks(axes, low, high)
        axes.set_xlabel("Hz")
        axes.set_ylabel("dB under the strongest line")
        strip = axes_at(figure, LEFT, FOOT + size[1], size[0], LANES, share_x=axes)
        strip.set_ylim(0.0, 1.0)
        bare(strip)
        _targets(axes, strip, target_hz)
        inside = [line for line in lines if low <= line.hz <= high]
        _found(axes, inside, hz, level_db)
        _list(figure, lines, outside=len(lines) - len(inside))
    return figure


def _limits(hz: Array, lines: Sequence[Line], targets: Sequence[float]) -> tuple[float, float]:
    named = [line.hz for line in lines if line.name] + list(targets)
    known = named or [line.hz for line in lines] or [max(float(hz[0]), 20.0), float(hz[-1])]
    low = max(min(known) / 1.6, float(hz[hz > 0.0][0]))
    return low, min(max(known) * 1.6, float(hz[-1]))


def _floor(level_db: Array) -> float:
    quiet = float(np.percentile(level_db, 5))
    return float(np.clip(10.0 * np.floor(quiet / 10.0), DEEPEST, -40.0))


def _ticks(axes: Axes, low: float, high: float) -> None:
    steps = [m * 10.0**p for p in range(1, 5) for m in (1, 1.5, 2, 3, 4, 5, 7)]
    inside: list[float] = []
    for step in (step for step in steps if low <= step <= high):
        if not inside or np.log(step / inside[-1]) > TICKS_APART * np.log(high / low):
            inside.append(step)
    axes.set_xticks(inside, [f"{step:g}" for step in inside])
    axes.minorticks_off()
    axes.grid(axis="y", color=FAINT, linewidth=0.5)


def _targets(axes: Axes, strip: Axes, targets: Sequence[float]) -> None:
    for number, hz in enumerate(targets, start=1):
        style = mark(number)
        axes.axvline(hz, color=style.color, linestyle=style.line, linewidth=1.6, zorder=1)
        strip.plot([hz, hz], [0.0, 0.30], color=style.color, linestyle=style.line, linewidth=1.6)
        strip.text(hz, 0.36, f"target {number}\n{hz:.1f}", ha="center", va="bottom",
                   fontsize=SMALL, color=style.color, fontweight="bold")  # fmt: skip


def _found(axes: Axes, lines: Sequence[Line], hz: Array, level_db: Array) -> None:
    """A mark on the peak of each line; its own level is that of the beginning of the ring."""
    for line in lines:
        near = level_db[np.abs(hz - line.hz) <= ON_PEAK * line.hz]
        level = float(near.max()) if near.size else line.level_db
        style = mark(line.number) if line.number else None
        color, marker = (style.color, style.marker) if style else (INK, "o" if line.name else "x")
        axes.plot(line.hz, max(level, DEEPEST), marker, markersize=10 if style else 7,
                  markerfacecolor="white", markeredgecolor=color, markeredgewidth=2.0, zorder=5,
                  clip_on=False)  # fmt: skip


def _list(figure: Figure, lines: Sequence[Line], *, outside: int) -> None:
    """Beside the spectrum: each named line with frequency, cents and ring."""
    left, y = WIDTH - RIGHT + 0.30, HEIGHT - HEAD - 0.10
    for line in [line for line in lines if line.name][:8]:
        color = mark(line.number).color if line.number else INK
        write(figure, left, y, line.name, fontsize=TEXT, fontweight="bold", color=color)
        write(figure, left + 2.7, y, f"{line.hz:.2f} Hz", fontsize=TEXT, fontweight="bold",
              ha="right")  # fmt: skip
        told = []
        if line.cents is not None:
            told.append(f"{signed(line.cents)} cents")
        if line.decay_s is not None:
            told.append(f"rings {line.decay_s:.2f} s")
        write(figure, left + 2.7, y - 0.22, ",  ".join(told), fontsize=SMALL, ha="right")
        y -= 0.58
    nameless = sum(not line.name for line in lines)
    if nameless:
        write(figure, left, y, f"× {nameless} without a name", fontsize=SMALL, color=GREY)
    if outside:
        write(
            figure, left, y - 0.22, f"{outside} of them off the scale", fontsize=SMALL, color=GREY
        )
