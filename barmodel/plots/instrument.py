"""Chart of a whole set: bars as they lie on their cords, middle thickness, cents of every mode.

Naturals and accidentals lie in two rows, each with its own pair of cords. A bar that stands out
from its neighbours is marked and named; one that could not be made leaves a gap and a cross.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from matplotlib.axes import Axes
from matplotlib.figure import Figure

from barmodel.errors import InputError
from barmodel.plots.evenness import standing_out
from barmodel.plots.style import (
    FAINT,
    GREY,
    INK,
    SMALL,
    TITLE,
    WOOD,
    axes_at,
    canvas,
    look,
    mark,
    open_frame,
    write,
)
from barmodel.tolerance import TOLERANCE_CENTS
from barmodel.undercut.piece import Array
from barmodel.units import MM

LEFT, RIGHT, HEAD, FOOT, GAP = 1.0, 2.75, 0.85, 0.95, 0.42
PER_BAR, LEAST_WIDTH, MOST_WIDTH = 0.21, 8.0, 16.0
ROWS, THICK, CENTS = 2.1, 1.6, 2.4
"""Widths and heights on paper: margins, room for a bar, the panels. [in]"""
MISFIT = 2 * MM
"""Distance between a node and its cord that is marked; over 2 to 4 mm costs ring (from memory).
[m]"""
UNEVEN_LENGTH, UNEVEN_THICKNESS = 2 * MM, 0.5 * MM
"""Steps in a smooth row that an eye sees (own choice). [m]"""
BESIDE = 0.24
"""Left edge of the words beside the panels, from the panels' right edge. [in]"""
LINE = 27
"""Letters in a line of those words."""


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SetRows:
    """A set as plain columns, one entry for each bar from low to high; NaN where a bar is missing.

    Attributes
    ----------
    names : tuple of str
        Notes.
    accidental : ndarray of bool, shape (n,)
        Which bars lie in the second row.
    length, width, middle_thickness : ndarray, shape (n,)
        [m]
    nodes : ndarray, shape (n, 2)
        Still points of mode 1 from the middle of the bar, towards the player first: negative,
        positive; NaN where they are not known. [m]
    cords : ndarray, shape (n, 2)
        Where the cords of its row pass each bar, counted likewise. [m]
    cents : ndarray, shape (n, k)
        Each mode above its target; NaN for one that is not tuned. [cents]
    kept : ndarray of bool, shape (n,), optional
        Which bars were begun otherwise than the set has them, and are kept as they are.
    """

    names: tuple[str, ...]
    accidental: np.ndarray
    length: Array
    width: Array
    middle_thickness: Array
    nodes: Array
    cords: Array
    cents: Array
    kept: np.ndarray | None = None

    def __post_init__(self) -> None:
        count = len(self.names)
        for name in ("accidental", "length", "width", "middle_thickness"):
            if np.shape(getattr(self, name)) != (count,):
                raise InputError(f"set chart: {name} needs one value for each of {count} bars")
        for name in ("nodes", "cords"):
            if np.shape(getattr(self, name)) != (count, 2):
                raise InputError(f"set chart: {name} needs two values for each of {count} bars")
        if np.ndim(self.cents) != 2 or len(self.cents) != count:
            raise InputError(f"set chart: cents needs one row for each of {count} bars")


def draw_set(
    rows: SetRows,
    *,
    title: str = "",
    subtitle: str = "",
    least_thickness: float | None = None,
) -> Figure:
    """Draw a set.

    Parameters
    ----------
    rows : SetRows
    title, subtitle : str
        Name of the instrument; wood, pitch, climate.
    least_thickness : float, optional
        Line below which no bar should be in the middle. [m]

    Returns
    -------
    Figure
    """
    count = len(rows.names)
    wide = min(max(PER_BAR * count, LEAST_WIDTH), MOST_WIDTH)
    heights = (ROWS, ROWS, THICK, CENTS)
    total = HEAD + FOOT + sum(heights) + GAP * (len(heights) - 1)
    with look():
        figure = canvas(LEFT + wide + RIGHT, total)
        bottom, panels = total - HEAD + GAP, list[Axes]()
        for height in heights:
            bottom -= height + GAP
            shared = panels[0] if panels else None
            panels.append(axes_at(figure, LEFT, bottom, wide, height, share_x=shared))
            open_frame(panels[-1])
        write(figure, LEFT, total - 0.36, title or "set of bars", fontsize=TITLE, fontweight="bold")
        write(figure, LEFT, total - 0.63, subtitle, fontsize=SMALL, color=GREY)
        _row(figure, panels[0], rows, ~rows.accidental, "naturals")
        _row(figure, panels[1], rows, rows.accidental, "accidentals")
        _thickness(figure, panels[2], rows, least_thickness)
        _cents(figure, panels[3], rows)
        _notes(panels, rows)
        _key(figure)
    return figure


# -- the bars on their cords -------------------------------------------------------------------


def _row(figure: Figure, axes: Axes, rows: SetRows, here: np.ndarray, name: str) -> None:
    """One row of bars from above, the player below; their widths are true to each other only."""
    place = np.arange(len(rows.names))
    there = here & np.isfinite(rows.length)
    half = rows.length / MM / 2
    across = 0.45 * rows.width / float(np.nanmax(rows.width, initial=1e-9))
    for at in place[there]:
        x = (at - across[at], at + across[at], at + across[at], at - across[at])
        y = (-half[at], -half[at], half[at], half[at])
        axes.fill(x, y, facecolor=WOOD, edgecolor=INK, linewidth=0.7)
    missing = here & ~there
    axes.plot(place[missing], np.zeros(missing.sum()), "x", color=INK, markersize=9, mew=2.2)
    for side in (0, 1):
        axes.plot(place[there], rows.cords[there, side] / MM, color=INK, linewidth=1.1)
        axes.plot(place[there], rows.nodes[there, side] / MM, "o", markersize=4.2,
                  markerfacecolor="white", markeredgecolor=mark(1).color, mew=1.3)  # fmt: skip
    misfit = np.abs(rows.nodes - rows.cords).max(axis=1)
    off = there & (misfit > MISFIT)
    for side in (0, 1):
        wrong = off & (np.abs(rows.nodes - rows.cords)[:, side] > MISFIT)
        _ring(axes, place[wrong], rows.nodes[wrong, side] / MM)
    uneven = there & standing_out(rows.length, least=UNEVEN_LENGTH)
    _ring(axes, place[uneven], half[uneven])
    longest = float(np.nanmax(half, initial=1.0))
    axes.set_ylim(-1.1 * longest, 1.1 * longest)
    axes.set_ylabel(f"{name}\nmm from middle", fontsize=SMALL)
    known = misfit[there & np.isfinite(misfit)]
    kept = there & rows.kept if rows.kept is not None else np.zeros_like(there)
    worst = f"largest {known.max() / MM:.1f} mm" if known.size else "none made"
    _beside(figure, axes, [
        f"{there.sum()} of {here.sum()} bars",
        f"node off its cord: {worst}",
        *_named("over 2 mm: ", rows, off),
        *_named("length uneven: ", rows, uneven),
        *_named("missing: ", rows, missing),
        *_named("kept as it is: ", rows, kept),
    ])  # fmt: skip


def _thickness(figure: Figure, axes: Axes, rows: SetRows, least: float | None) -> None:
    """Thickness in the middle; open marks are accidentals."""
    place, thick = np.arange(len(rows.names)), rows.middle_thickness / MM
    axes.plot(place, thick, color=FAINT, linewidth=1.0)
    for row, face in ((~rows.accidental, INK), (rows.accidental, "white")):
        axes.plot(place[row], thick[row], "o", markersize=4.5, markerfacecolor=face,
                  markeredgecolor=INK)  # fmt: skip
    uneven = standing_out(rows.middle_thickness, least=UNEVEN_THICKNESS)
    _ring(axes, place[uneven], thick[uneven])
    thin = np.zeros(place.size, dtype=bool)
    if least is not None:
        axes.axhline(least / MM, color=GREY, linestyle=(0, (4, 3)), linewidth=1.0)
        thin = rows.middle_thickness < least
        _ring(axes, place[thin & ~uneven], thick[thin & ~uneven])
    axes.set_ylim(0.0, 1.15 * float(np.nanmax(thick, initial=1.0)))
    axes.set_ylabel("middle\nthickness, mm", fontsize=SMALL)
    known = thick[np.isfinite(thick)]
    said = [f"{known.min():.1f} to {known.max():.1f} mm"] if known.size else []
    if least is not None:
        said.append(f"dashed: {least / MM:g} mm, the least wished")
    _beside(figure, axes, [*said, *_named("too thin: ", rows, thin),
                           *_named("uneven: ", rows, uneven)])  # fmt: skip


def _cents(figure: Figure, axes: Axes, rows: SetRows) -> None:
    """Every mode above its target, and which are outside their limits."""
    place, said = np.arange(len(rows.names)), []
    axes.axhline(0.0, color=INK, linewidth=1.2)
    worst = np.zeros(place.size, dtype=bool)
    for column, cents in enumerate(rows.cents.T):
        last = len(TOLERANCE_CENTS) - 1
        style, (low, high) = mark(column + 1), TOLERANCE_CENTS[min(column, last)]
        axes.plot(place, cents, style.marker, markersize=5.0, markerfacecolor="white",
                  markeredgecolor=style.color, mew=1.5)  # fmt: skip
        out = np.isfinite(cents) & ((cents < low) | (cents > high))
        _ring(axes, place[out], cents[out])
        worst |= out
        tuned = int(np.isfinite(cents).sum())
        if not tuned:
            continue
        shape = ("ring", "square", "triangle", "diamond")[column % 4]
        said.append(f"mode {column + 1} ({shape}): {tuned - out.sum()} of {tuned} in tune")
        said.append(f"    {low:+g} to {high:+g} cents".replace("-", "−"))
    reach = max(float(np.nanmax(np.abs(rows.cents), initial=0.0)), 5.0)
    axes.set_ylim(-1.15 * reach, 1.15 * reach)
    axes.set_ylabel("as designed,\ncents above target", fontsize=SMALL)
    axes.grid(axis="y", color=FAINT, linewidth=0.6)
    axes.set_axisbelow(True)
    _beside(figure, axes, [*said, *_named("off: ", rows, worst)])


# -- what all panels share ---------------------------------------------------------------------


def _ring(axes: Axes, x: Array, y: Array) -> None:
    """Mark what stands out: a large ring that survives a photocopy."""
    axes.plot(x, y, "o", markersize=13, markerfacecolor="none", markeredgecolor=INK, mew=1.3,
              clip_on=False, zorder=7)  # fmt: skip


def _named(head: str, rows: SetRows, which: np.ndarray) -> list[str]:
    """Names of the bars marked, broken into lines; nothing when there are none."""
    names = [rows.names[index] for index in np.flatnonzero(which)]
    if not names:
        return []
    lines, most = [head + names[0]], 4
    for index, name in enumerate(names[1:], start=1):
        if len(lines[-1]) + len(name) + 2 <= LINE:
            lines[-1] += f", {name}"
        elif len(lines) == most:
            return [*lines[:-1], lines[-1] + f" + {len(names) - index}"]
        else:
            lines.append(f"  {name}")
    return lines


def _beside(figure: Figure, axes: Axes, lines: Sequence[str]) -> None:
    """Words to the right of a panel."""
    wide, high = figure.get_size_inches()
    box = axes.get_position()
    left, top = box.x1 * wide + BESIDE, box.y1 * high - 0.12
    for index, line in enumerate(lines):
        write(figure, left, top - 0.18 * index, line, fontsize=SMALL - 1.0)


def _notes(panels: Sequence[Axes], rows: SetRows) -> None:
    """Note names under the lowest panel, as many as fit; fine lines at every C."""
    count = len(rows.names)
    every = next(step for step in (1, 2, 3, 4, 6, 12) if count / step <= 32 or step == 12)
    shown = list(range(0, count, every))
    for axes in panels:
        axes.set_xlim(-0.8, count - 0.2)
        axes.set_xticks(shown)
        axes.tick_params(labelbottom=axes is panels[-1])
        for at, name in enumerate(rows.names):
            if name[:1] == "C" and name[1:2].lstrip("-").isdigit():
                axes.axvline(at, color=FAINT, linewidth=0.6, zorder=0)
    panels[-1].set_xticklabels([rows.names[index] for index in shown], rotation=90,
                               fontsize=SMALL - 1.0)  # fmt: skip


def _key(figure: Figure) -> None:
    lines = (
        "small rings: nodes of mode 1     lines: cords     cross: bar that could not be made",
        "large ring: stands out from its neighbours, or lies outside its limits; named beside",
    )
    for index, line in enumerate(lines):
        write(figure, LEFT, 0.30 - 0.19 * index, line, fontsize=SMALL - 1.0)
