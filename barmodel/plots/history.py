"""Picture of a bar's history: how far each mode was from home, reading after reading.

A blank stands a thousand cents above its note and a finished bar two; so that both can be read,
the scale is even within `EVEN` cents of home and logarithmic beyond.
"""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure
from matplotlib.ticker import FixedLocator, FuncFormatter, NullLocator

from barmodel.errors import InputError
from barmodel.plots.style import (
    FAINT,
    GREY,
    INK,
    SMALL,
    TEXT,
    TITLE,
    axes_at,
    canvas,
    look,
    mark,
    open_frame,
    signed,
    write,
)
from barmodel.undercut.piece import Array

WIDTH, HEIGHT = 11.0, 5.6
LEFT, RIGHT, HEAD, FOOT = 0.95, 1.75, 0.80, 1.15
EVEN = 10.0
"""Distance from home up to which the scale is even. [cent]"""
STEPS = (5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000)


def draw_history(
    cents: Array, labels: Sequence[str], *, home: str = "the target", title: str = ""
) -> Figure:
    """Draw how far each mode was from home over the readings.

    Parameters
    ----------
    cents : ndarray, shape (readings, modes)
        NaN where a mode was not heard. [cents]
    labels : sequence of str, one for each reading
        What stands under it: number, date, the cut before it.
    home : str
        What the cents count from.
    title : str

    Returns
    -------
    Figure
    """
    cents = np.asarray(cents, dtype=float)
    if cents.ndim != 2 or cents.shape[0] != len(labels) or cents.size == 0:
        raise InputError(
            f"history: cents has shape {cents.shape}; it needs one row for each of the "
            f"{len(labels)} readings and at least one mode"
        )
    with look():
        figure = canvas(WIDTH, HEIGHT)
        heading = f"{title}: on the way home" if title else "on the way home"
        write(figure, LEFT, HEIGHT - 0.38, heading, fontsize=TITLE, fontweight="bold")
        write(figure, LEFT, HEIGHT - 0.65, f"cents above {home}; 0 is home; "
              f"beyond {EVEN:g} cents drawn ever closer", fontsize=SMALL,
              color=GREY)  # fmt: skip
        axes = axes_at(figure, LEFT, FOOT, WIDTH - LEFT - RIGHT, HEIGHT - HEAD - FOOT)
        _readings(axes, cents, labels, home)
        _last(figure, cents)
    return figure


def _readings(axes: Axes, cents: Array, labels: Sequence[str], home: str) -> None:
    places = np.arange(1, cents.shape[0] + 1)
    axes.axhline(0.0, color=INK, linewidth=1.5)
    for number, row in enumerate(cents.T, start=1):
        style, heard = mark(number), np.isfinite(row)
        axes.plot(places[heard], row[heard], color=style.color, linestyle=style.line,
                  marker=style.marker, markersize=9, markerfacecolor="white",
                  markeredgewidth=2.0, linewidth=2.2, clip_on=False, zorder=3)  # fmt: skip
    axes.set_xlim(0.6, cents.shape[0] + 0.4)
    every = max(1, int(np.ceil(len(labels) / 12)))
    shown = [text if i % every == 0 else "" for i, text in enumerate(labels)]
    longest = max((len(part) for text in labels for part in text.split("\n")), default=0)
    crowded = longest * min(len(labels), 12) > 75
    axes.set_xticks(
        places, shown, rotation=30 if crowded else 0, ha="right" if crowded else "center"
    )
    axes.set_ylabel(f"cents from {home}")
    _scale(axes, cents)
    axes.grid(axis="y", color=FAINT, linewidth=0.6)
    axes.set_axisbelow(True)
    open_frame(axes)


def _scale(axes: Axes, cents: Array) -> None:
    """From a step below the lowest reading to one above the highest, home in any case."""
    axes.set_yscale("symlog", linthresh=EVEN, linscale=1.0)
    ticks = np.array([-step for step in STEPS[::-1]] + [0, *STEPS], dtype=float)
    heard = cents[np.isfinite(cents)] if np.isfinite(cents).any() else np.zeros(1)
    low = ticks[ticks <= min(heard.min(), 0.0)]
    high = ticks[ticks >= max(heard.max(), 0.0)]
    bottom = low[-1] if low.size else ticks[0]
    top = high[0] if high.size else ticks[-1]
    axes.set_ylim(min(bottom, -EVEN / 2) * 1.1, max(top, EVEN / 2) * 1.1)
    axes.yaxis.set_major_locator(FixedLocator(ticks[(ticks >= bottom - 5) & (ticks <= top + 5)]))
    axes.yaxis.set_minor_locator(NullLocator())
    axes.yaxis.set_major_formatter(FuncFormatter(lambda value, _: signed(value, 0)))


def _last(figure: Figure, cents: Array) -> None:
    """Beside the curves: where each mode stands, kept apart where curves meet."""
    left, y = WIDTH - RIGHT + 0.25, HEIGHT - HEAD - 0.25
    for number, row in enumerate(cents.T, start=1):
        heard = row[np.isfinite(row)]
        text = signed(float(heard[-1])) if heard.size else "–"
        write(figure, left, y, f"mode {number}", fontsize=TEXT, fontweight="bold",
              color=mark(number).color)  # fmt: skip
        write(figure, left, y - 0.32, text, fontsize=TITLE + 2, fontweight="bold")
        y -= 0.85
