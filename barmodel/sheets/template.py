"""Full-scale sheets: the bar from the side and from above, with every mark the bench needs."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from barmodel.holes import CordHole
from barmodel.sheets.head import title_height
from barmodel.sheets.job import Job
from barmodel.sheets.marks import (
    CENTRE_DASH,
    LABEL,
    ROW,
    Label,
    counted,
    draw_mark,
    rows_needed,
    set_on_rows,
    side_marks,
    top_marks,
)
from barmodel.sheets.paper import BOLD, LINE, THIN, Page, Paper
from barmodel.sheets.rulers import level_ruler, upright_ruler
from barmodel.sheets.side import (
    draw_heading,
    draw_side,
    half_of_figure,
    heading_height,
    side_height,
    told,
)
from barmodel.sheets.tiles import Tile, share_out
from barmodel.sheets.view import View, draw_ends, draw_joins
from barmodel.units import MM

STRIP = 15.0
"""Width kept at the left for the upright ruler. [mm]"""
FOOT = 13.0
"""Height kept at the bottom for the level ruler. [mm]"""
JOIN_BAND = 9.0
"""Height kept under the views for the marks of a join. [mm]"""


def template_pages(job: Job, paper: Paper) -> list[Page]:
    """Draw the full-scale sheets of a bar."""
    probe = Page(*paper.size, "")
    left, bottom, right, top = probe.inner
    room = right - left - STRIP
    side, above = (set_on_rows(marks(job), probe, paper.scale) for marks in (side_marks, top_marks))
    words = _words(job, side + above, probe, paper.scale)
    tiles = share_out(job.length / MM, room, scale=paper.scale, words=words)
    heights = (
        side_height(probe, job, side, room, paper.scale),
        _top_height(probe, job, above, room, paper.scale),
    )
    free = top - title_height(job) - bottom - FOOT - (JOIN_BAND if len(tiles) > 1 else 0.0)
    kinds = ["side and top"] if sum(heights) <= free else ["side", "top"]
    if job.kind == "cut":  # from above nothing changes
        kinds = ["side"]
    return [_page(job, paper, tile, kind, side, above) for kind in kinds for tile in tiles]


def _words(job: Job, labels: list[Label], probe: Page, scale: float) -> list[tuple[float, float]]:
    """Stretches of the bar over which words, figures or holes lie. [mm]"""
    found = [(label.x, label.x + label.width) for label in labels]
    half = half_of_figure(job) / scale
    found += [(p.x / MM - half, p.x / MM + half) for p in told(job, scale)]
    for hole in job.holes:
        front, rear = (x / MM for x in hole.ends(job.aim.blank.width))
        half = _half_across(hole)
        found.append((min(front, rear) - half, max(front, rear) + half))
        half = probe.width_of(_front_words(job, hole), size=LABEL) / 2 / scale
        found.append((front - half, front + half))
    return found


def _page(
    job: Job, paper: Paper, tile: Tile, kind: str, side: list[Label], above: list[Label]
) -> Page:
    part = f", part {tile.number} of {tile.count}" if tile.count > 1 else ""
    page = Page(*paper.size, f"full scale: {kind}{part}")
    left, bottom, _, top = page.inner
    head = top - title_height(job)
    view = View(left + STRIP, head, paper.scale, tile)
    stretches: list[tuple[float, float]] = []
    if "side" in kind:
        stretches += draw_side(page, job, view, side)
        view = replace(view, zero=stretches[-1][1])
    if "top" in kind:
        stretches.append(_draw_top(page, job, view, above))
    draw_joins(page, view, stretches)
    level_ruler(page, left + STRIP, bottom, page.inner[2], paper.scale)
    upright_ruler(page, left, bottom + FOOT, head, paper.scale)
    return page


# -- top view ----------------------------------------------------------------------------------


def _top_words(job: Job) -> str:
    width = job.aim.blank.width / MM
    none = "" if job.holes or not job.nodes else " No holes noted: cords at the nodes."
    return (
        f"TOP, seen from above, {width:g} mm wide. {job.lies}. Figures: mm from the nearer "
        f"end.{none}"
    )


def _top_height(page: Page, job: Job, labels: list[Label], room: float, scale: float) -> float:
    height = heading_height(page, _top_words(job), room) + ROW * rows_needed(labels)
    return height + job.aim.blank.width / MM * scale + ROW


def _draw_top(page: Page, job: Job, view: View, labels: list[Label]) -> tuple[float, float]:
    """Draw the top view; return the stretch of paper it takes without its heading. [mm]"""
    length, width = job.length / MM, job.aim.blank.width / MM
    upper = draw_heading(page, view, _top_words(job))
    view = replace(view, zero=upper - ROW * rows_needed(labels) - width * view.scale)
    edge, _ = view.clipped(np.array([0.0, length]), np.zeros(2))
    for y in (0.0, width):
        page.line(view.x(edge), view.y(np.full_like(edge, y)), pen=BOLD)
    draw_ends(page, view, length, width, 0.0)
    for label in labels:
        draw_mark(page, view, label, upper, view.zero)
    for hole in job.holes:
        _hole_from_above(page, job, view, hole)
    return upper, view.zero - ROW


def _half_across(hole: CordHole) -> float:
    """Half the width of the hole along the edge of the bar. [mm]"""
    return hole.diameter / 2 / MM / float(np.cos(np.radians(hole.angle_degrees)))


def _front_words(job: Job, hole: CordHole) -> str:
    return f"hole {counted(job, hole.ends(job.aim.blank.width)[0])}"


def _hole_from_above(page: Page, job: Job, view: View, hole: CordHole) -> None:
    """Both sides of the bore as hidden lines, its axis, and where it comes out in front."""
    width = job.aim.blank.width
    front, rear = (x / MM for x in hole.ends(width))
    y = np.array([0.0, width / MM])
    half = _half_across(hole)
    if not view.tile.shows(min(front, rear) - half, max(front, rear) + half):
        return
    for shift in (-half, half):
        ends = np.array([front + shift, rear + shift])
        page.line(view.x(ends), view.y(y), pen=LINE, dash=(0, (3, 1.5)))
    page.line(view.x(np.array([front, rear])), view.y(y), pen=THIN, dash=CENTRE_DASH)
    words = _front_words(job, hole)
    reach = page.width_of(words, size=LABEL) / 2 / view.scale
    if view.tile.shows(front - reach, front + reach):
        page.text(float(view.x(front)), view.zero - ROW / 2 - 0.4, words, size=LABEL,
                  align="center")  # fmt: skip
