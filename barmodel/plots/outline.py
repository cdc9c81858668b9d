"""The side view of a bar, drawn to scale as all pictures share it."""

from __future__ import annotations

import numpy as np
from matplotlib.axes import Axes

from barmodel.bar import Bar
from barmodel.plots.style import GREY, INK, REMOVED, SMALL, WOOD
from barmodel.undercut.outline import underside
from barmodel.units import MM


def draw_side_view(axes: Axes, bar: Bar) -> None:
    """Draw a bar from the side, top up, in millimetres; what was cut away is left pale."""
    length, stock = bar.blank.length / MM, bar.blank.thickness / MM
    x, h = underside(bar.profile)
    blank = ([0, length, length, 0], [0, 0, -stock, -stock])
    axes.fill(*blank, facecolor=REMOVED, edgecolor=GREY, linewidth=0.7, linestyle=(0, (3, 3)))
    outline = (np.r_[0.0, x / MM, length], np.r_[0.0, -h / MM, 0.0])
    axes.fill(*outline, facecolor=WOOD, edgecolor=INK, linewidth=1.3, joinstyle="miter", zorder=3)


def dimension(axes: Axes, left: float, right: float, y: float, text: str) -> None:
    """Draw a dimension line with its length written on it; positions in axes units."""
    arrow = {"arrowstyle": "<|-|>", "color": INK, "linewidth": 0.8, "shrinkA": 0, "shrinkB": 0}
    axes.annotate("", (left, y), (right, y), arrowprops=arrow, annotation_clip=False)
    paper = {"boxstyle": "square,pad=0.15", "facecolor": "white", "edgecolor": "none"}
    axes.text((left + right) / 2, y, text, ha="center", va="center", fontsize=SMALL, bbox=paper)


def witness(axes: Axes, x: float, top: float, bottom: float) -> None:
    """Draw the thin line that ties a dimension to the place it measures."""
    axes.plot([x, x], [top, bottom], color=GREY, linewidth=0.7, clip_on=False, zorder=1)
