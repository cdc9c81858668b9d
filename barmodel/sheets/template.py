"""Full-scale sheets: the bar from the side and from above, with every mark the bench needs."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import numpy as np

from barmodel.bar import Bar
from barmodel.holes import CordHole
from barmodel.plots.outline import underside
from barmodel.sheets.job import Job
from barmodel.sheets.marks import (
    CENTRE_DASH,
    LABEL,
    ROW,
    Label,
    owns,
    set_on_rows,
    side_marks,
    top_marks,
)
from barmodel.sheets.paper import BOLD, LINE, THIN, Page, Paper
from barmodel.sheets.rulers import level_ruler, upright_ruler
from barmodel.sheets.tiles import Tile, share_out
from barmodel.sheets.view import View, draw_joins
from barmodel.undercut.piece import Array
from barmodel.units import MM

TITLE = 20.0
"""Height of the title block and the gap under it. [mm]"""
STRIP = 15.0
"""Width kept at the left for the upright ruler. [mm]"""
FOOT = 13.0
"""Height kept at the bottom for the level ruler. [mm]"""
HEADING, LINE_OF_HEADING = 6.5, 4.2
FIGURES = 21.0
"""Height of the two rows of figures under the side view. [mm]"""
JOIN_BAND = 9.0
"""Height kept under the views for the marks of a join. [mm]"""
SHADE = "#e4e4e4"
"""What is to be cut away."""
CROWDED = 4 * MM
"""Stations nearer to the middle than this carry no figures; the table has them. [m]"""


def template_pages(job: Job, paper: Paper) -> list[Page]:
    """Draw the full-scale sheets of a bar."""
    probe = Page(*paper.size, "")
    left, bottom, right, top = probe.inner
    labels = [set_on_rows(marks(job), probe, paper.scale) for marks in (side_marks, top_marks)]
    avoid = [(m.x - 2.0, m.x + m.width + 2.0) for marks in labels for m in marks]
    avoid += [(p.x / MM - 2.2, p.x / MM + 2.2) for p in job.places]
    tiles = share_out(job.length / MM, right - left - STRIP, scale=paper.scale, avoid=avoid)
    blank = job.aim.blank
    needed = (
        heading_height(paper.landscape)
        + ROW * _rows(labels[0])
        + blank.thickness / MM * paper.scale
        + FIGURES,
        HEADING + ROW * _rows(labels[1]) + blank.width / MM * paper.scale + ROW,
    )
    room = top - TITLE - bottom - FOOT - (JOIN_BAND if len(tiles) > 1 else 0.0)
    kinds = ["side and top"] if sum(needed) <= room else ["side", "top"]
    return [_page(job, paper, tile, kind, labels, needed) for kind in kinds for tile in tiles]


def _page(
    job: Job, paper: Paper, tile: Tile, kind: str, labels: list[list[Label]],
    needed: tuple[float, float],
) -> Page:  # fmt: skip
    part = f", part {tile.number} of {tile.count}" if tile.count > 1 else ""
    page = Page(*paper.size, f"full scale: {kind}{part}")
    left, bottom, right, top = page.inner
    upper = top - TITLE
    view = View(left + STRIP, upper, paper.scale, tile)
    if "side" in kind:
        _side(page, job, replace(view, zero=upper), labels[0])
        upper -= needed[0]
    if "top" in kind:
        _top(page, job, replace(view, zero=upper), labels[1])
        upper -= needed[1]
    draw_joins(page, view, top - TITLE, upper)
    level_ruler(page, left + STRIP, bottom, right, paper.scale)
    upright_ruler(page, left, bottom + FOOT, top - TITLE, paper.scale)
    return page


def _rows(labels: list[Label]) -> int:
    return 1 + max(label.row for label in labels)


def heading_height(landscape: bool) -> float:
    """Height over the side view; upright paper needs two lines. [mm]"""
    return HEADING + (0.0 if landscape else LINE_OF_HEADING)


def _heading(page: Page, view: View, upper: float, words: str) -> None:
    """Write what a view shows, clear of the marks of joins."""
    tile = view.tile
    left, right = view.left, page.inner[2]
    if tile.number > 1:
        left = float(view.x(tile.joins[0])) + 6.0
    if tile.number < tile.count:
        right = float(view.x(tile.joins[-1])) - 6.0
    page.text(left, upper - 3.0, words, size=9.0, room=right - left)


def _mark(page: Page, view: View, label: Label, y: float, bottom: float) -> None:
    """Write a label beside the upper end of its line, and draw the line down through the bar."""
    if not view.tile.holds(label.x):
        return
    x, foot = float(view.x(label.x)), y - ROW / 2 + 0.3
    if label.dash is not None:
        page.line([x, x], [foot, bottom], pen=LINE, dash=label.dash)
    if owns(view.tile, label.x):
        page.line([x, x], [foot, y + ROW / 2 - 0.6], pen=LINE)
        page.text(x + 1.0, y, label.words, size=LABEL, bold=label.bold)


def _ends(page: Page, view: View, length: float, top: float, bottom: float) -> None:
    for x in (0.0, length):
        if view.tile.holds(x):
            page.line([view.x(x)] * 2, view.y(np.array([top, bottom])), pen=BOLD)


# -- side view ---------------------------------------------------------------------------------


def _side(page: Page, job: Job, view: View, labels: list[Label]) -> None:
    """Draw the side view; `view.zero` comes as the upper limit of its room."""
    upper = view.zero
    upper_row = upper - heading_height(page.width > page.height)
    view = replace(view, zero=upper_row - ROW * _rows(labels))
    blank = job.aim.blank
    stock = blank.thickness / MM
    what = {
        "design": "SIDE, finished underside. Grey: to be cut away.",
        "blank": "SIDE, marks for the uncut blank. Dashed: finished underside.",
        "remaining": "SIDE, as it is now. Grey: still to be cut away.",
    }[job.kind]
    figures = "Small figures: mm from the nearer end. Bold: mm to cut there."
    lines = [f"{what} {figures}"] if page.width > page.height else [what, figures]
    for index, line in enumerate(lines):
        _heading(page, view, upper - index * LINE_OF_HEADING, line)
    _underside(page, view, job)
    ends = np.array([0.0, blank.length / MM])
    shown, _ = view.clipped(ends, ends)
    page.line(view.x(shown), view.y(np.zeros_like(shown)), pen=LINE)
    _ends(page, view, blank.length / MM, 0.0, -stock)
    if view.tile.number == 1:
        page.text(float(view.x(2.0)), float(view.y(0.0)) - 2.6, "FLAT TOP", size=8.0, bold=True,
                  room=24.0)  # fmt: skip
    for label in labels:
        _mark(page, view, label, upper_row - (label.row + 0.5) * ROW, float(view.y(-stock)))
    for hole in job.holes:
        front = hole.ends(blank.width)[0] / MM
        if view.tile.holds(front):
            page.circle(float(view.x(front)), float(view.y(-hole.height / MM)),
                        hole.diameter / MM * view.scale)  # fmt: skip
    _figures(page, job, view, stock)


def _underside(page: Page, view: View, job: Job) -> None:
    """The cut shaded between the surface there now and the one aimed at."""
    stock = job.aim.blank.thickness / MM
    x, h = _in_mm(job.aim)
    surface_x, surface_h = np.array([0.0, x[-1]]), np.array([stock, stock])
    if job.kind == "remaining" and job.now is not None:
        surface_x, surface_h = _in_mm(job.now)
    goal_x, goal_y = view.clipped(x, -h)
    from_x, from_y = view.clipped(surface_x, -surface_h)
    page.fill(np.r_[view.x(goal_x), view.x(from_x)[::-1]],
              np.r_[view.y(goal_y), view.y(from_y)[::-1]], SHADE)  # fmt: skip
    marks_only = job.kind == "blank"
    pen, dash = (LINE, (0, (4, 2))) if marks_only else (BOLD, "-")
    page.line(view.x(from_x), view.y(from_y), pen=LINE if marks_only else THIN)
    page.line(view.x(goal_x), view.y(goal_y), pen=pen, dash=dash)


def _in_mm(bar: Bar) -> tuple[Array, Array]:
    """Underside in millimetres; walls get a hair of width so that x rises strictly."""
    x, h = underside(bar.profile)
    x = x / MM
    x[np.flatnonzero(np.diff(x) <= 0.0) + 1] += 1e-6
    return x, h / MM


def _figures(page: Page, job: Job, view: View, stock: float) -> None:
    """A tick and two figures at every station under the bar."""
    base = float(view.y(-stock))
    size = 9.0 if job.every >= 6 * MM else 8.0
    style: dict[str, Any] = {"turn": 90, "align": "center", "anchor": "top"}
    for place, depth in zip(job.places, job.depths() / MM, strict=True):
        at = place.x / MM
        if not view.tile.holds(at):
            continue
        x = float(view.x(at))
        page.line([x, x], [base, base - 2.0], pen=THIN)
        crowded = 0.0 < abs(place.x - job.length / 2) < CROWDED
        if crowded or not owns(view.tile, at):
            continue
        page.text(x, base - 2.6, f"{place.from_end / MM:g}", size=size - 1.0, **style)
        page.text(x, base - 11.8, shown_depth(depth), size=size + 1.0, bold=True, **style)


def shown_depth(depth: float) -> str:
    """Depth as printed: tenths, a plain 0 where nothing is to be cut.

    Examples
    --------
    >>> shown_depth(0.01), shown_depth(3.04), shown_depth(-0.3)
    ('0', '3.0', '−0.3')
    """
    text = f"{depth:.1f}"
    return "0" if float(text) == 0.0 else text.replace("-", "−")


# -- top view ----------------------------------------------------------------------------------


def _top(page: Page, job: Job, view: View, labels: list[Label]) -> None:
    """Draw the top view; `view.zero` comes as the upper limit of its room."""
    upper = view.zero
    length, width = job.length / MM, job.aim.blank.width / MM
    above = upper - HEADING - ROW * _rows(labels)
    view = replace(view, zero=above - width * view.scale)
    words = f"TOP, seen from above, {width:g} mm wide. Lower edge: player's side."
    _heading(page, view, upper, words)
    edge, _ = view.clipped(np.array([0.0, length]), np.zeros(2))
    for y in (0.0, width):
        page.line(view.x(edge), view.y(np.full_like(edge, y)), pen=BOLD)
    _ends(page, view, length, width, 0.0)
    for label in labels:
        _mark(page, view, label, upper - HEADING - (label.row + 0.5) * ROW, view.zero)
    for hole in job.holes:
        _hole_from_above(page, view, hole, job.aim.blank.width)


def _hole_from_above(page: Page, view: View, hole: CordHole, width: float) -> None:
    """Both sides of the bore as hidden lines, its axis, and where it comes out in front."""
    front, rear = (x / MM for x in hole.ends(width))
    y = np.array([0.0, width / MM])
    half = hole.diameter / 2 / MM / float(np.cos(np.radians(hole.angle_degrees)))
    limits = (min(front, rear) - half, max(front, rear) + half)
    if not all(view.tile.holds(limit) for limit in limits):
        return
    for shift in (-half, half):
        ends = np.array([front + shift, rear + shift])
        page.line(view.x(ends), view.y(y), pen=LINE, dash=(0, (3, 1.5)))
    page.line(view.x(np.array([front, rear])), view.y(y), pen=THIN, dash=CENTRE_DASH)
    if owns(view.tile, front):
        page.text(float(view.x(front)), view.zero - ROW / 2 - 0.4, f"hole {front:.1f}",
                  size=LABEL, align="center")  # fmt: skip
