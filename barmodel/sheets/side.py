"""The full-scale side view: underside, marks, figures, and what is left to cut made visible."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from barmodel.bar import Bar
from barmodel.sheets.job import SEEN, Job
from barmodel.sheets.marks import ROW, Label, draw_mark, rows_needed
from barmodel.sheets.paper import BOLD, LINE, POINT, THIN, Dash, Page, rows_of
from barmodel.sheets.stations import Station
from barmodel.sheets.view import View, draw_ends
from barmodel.undercut.outline import underside
from barmodel.undercut.piece import Array
from barmodel.units import MM, no_deeper, no_thinner

HEADING, LINE_OF_HEADING = 9.0, 4.2
"""Size of the words over a view, and height of one line of them. [pt], [mm]"""
PLACES, DEPTHS = 10.4, 14.0
"""Heights of the rows of figures under the side view: places, then depths. [mm]"""
STRIP_WORDS, HILL, PIT = 5.0, 9.0, 4.0
"""Heights of the strip that shows in large what is left to cut: words, hills, pits. [mm]"""
SHADE, TOO_DEEP = 0.86, 0.25
"""What is to be cut away; where too much is gone already. [1]"""
APART = 1.0
"""Two lines nearer to each other look like one in poor light. [mm]"""
AIM_DASH: Dash = (0, (4, 2))
TIMES = (2, 5, 10, 20, 50)
"""How many times as deep the strip may show what is left."""


def side_words(job: Job) -> str:
    """What the side view shows."""
    if job.in_tune and job.kind in ("design", "remaining"):
        assert job.reading is not None
        said = f"In tune by the reading of {job.reading.date}: nothing to cut."
        if job.kind == "remaining":
            return f"SIDE, flat top up, as it is now. {said} Figures: mm from the nearer end."
        cut = "grey, bold: the design's cut."
        return f"SIDE, finished underside. {said} Figures: mm from the nearer end; {cut}"
    if not job.designed:
        drawn = "the uncut blank" if job.kind == "blank" else "as it is now"
        return f"SIDE, flat top up, {drawn}; no design yet. Figures: mm from the nearer end."
    if any(job.trim) and not tells_depths(job):
        return (
            "SIDE, flat top up, as it is now. THIS CUT ONLY: saw off the grey ends; the dashed "
            "lines are the new ends. Figures: mm from the nearer of the ends there are now."
        )
    if job.stop is not None:
        far = "Thin: the design" if shows_design(job) else "The design is in the table"
        return (
            "SIDE, flat top up. Grey: the first cut. Bold, dashed: stop there and listen. "
            f"{far}, up to {short_of(job):.2f} mm deeper. Figures: mm from the nearer end; bold: "
            "mm to cut now."
        )
    if job.whole and job.kind == "design":
        return (
            "SIDE, flat top up, finished underside. Grey: the whole design. The first cut stops "
            "short of it; where is not known yet. Figures: mm from the nearer end, mm to cut in "
            "all."
        )
    what = {
        "design": "finished underside. Grey: to be cut away.",
        "blank": "the uncut blank. Dashed: finished underside.",
        "remaining": "as it is now. Dashed: the design. Grey: what it has still to lose by that; "
        "the next cut is what `next` says.",
        "cut": "THIS CUT ONLY. Bold: as it is now. Dashed: where to stop. Grey: to be cut away.",
    }[job.kind]
    if any(job.trim):
        what += " Saw off the ends first; figures count from those there are now."
    return f"SIDE, flat top up, {what} Figures: mm from the nearer end; bold: mm to cut."


def saw_off(job: Job) -> str:
    """What is sawn off the ends, in words; a hair less rather than more."""
    left, right = (f"{float(no_deeper(size / MM, 2)):g} mm off" for size in job.trim)
    if left == right:
        return f"{left} each end"
    sides = ((left, job.trim[0], "left"), (right, job.trim[1], "right"))
    return " and ".join(f"{words} the {side} end" for words, size, side in sides if size)


def short_of(job: Job) -> float:
    """Most wood that the first cut leaves over the design. [mm]"""
    assert job.stop is not None
    (x, goal), (stop_x, stop) = _in_mm(job.aim), _in_mm(job.stop)
    places = np.union1d(x, stop_x)
    return float((np.interp(places, stop_x, stop) - np.interp(places, x, goal)).max())


def shows_design(job: Job) -> bool:
    """Whether the design can be told on paper from the line at which the first cut stops."""
    return short_of(job) >= APART


def heading_height(page: Page, words: str, room: float) -> float:
    """Height that the words over a view take. [mm]"""
    return LINE_OF_HEADING * len(rows_of(words, page, size=HEADING, room=room)) + 2.3


def draw_heading(page: Page, view: View, words: str) -> float:
    """Write what a view shows from `view.zero` down; return the height left under it. [mm]"""
    room = page.inner[2] - view.left
    for index, line in enumerate(rows_of(words, page, size=HEADING, room=room)):
        page.text(view.left, view.zero - 3.0 - index * LINE_OF_HEADING, line, size=HEADING)
    return view.zero - heading_height(page, words, room)


def side_height(page: Page, job: Job, labels: list[Label], room: float, scale: float) -> float:
    """Height of the whole side view. [mm of paper]"""
    height = heading_height(page, side_words(job), room) + ROW * rows_needed(labels)
    height += job.aim.blank.thickness / MM * scale + PLACES + 0.6
    height += DEPTHS if tells_depths(job) else 0.0
    return height + (STRIP_WORDS + HILL + PIT if shows_rest(job) else 0.0)


def tells_depths(job: Job) -> bool:
    """Whether there is anything to cut on this sheet."""
    nothing = job.kind == "cut" and float(job.depths().max()) < 1e-6  # the ends alone
    return job.designed and not nothing and not (job.in_tune and job.kind == "remaining")


def shows_rest(job: Job) -> bool:
    """Whether the strip of what is left is drawn."""
    if not tells_depths(job) or not job.partial:
        return False
    _, rest = rest_of(job)
    return float(rest.max()) <= SEEN / MM and float(np.abs(rest).max()) > 0.005


def draw_side(page: Page, job: Job, view: View, labels: list[Label]) -> list[tuple[float, float]]:
    """Draw the side view; `view.zero` comes as the upper limit of its room.

    Returns
    -------
    list of (float, float)
        Upper and lower ends of the stretches of paper without words from side to side. [mm]
    """
    upper = draw_heading(page, view, side_words(job))
    view = replace(view, zero=upper - ROW * rows_needed(labels))
    blank = job.aim.blank
    stock = blank.thickness / MM
    _underside(page, view, job)
    ends = np.array([0.0, blank.length / MM])
    shown, _ = view.clipped(ends, ends)
    page.line(view.x(shown), view.y(np.zeros_like(shown)), pen=LINE)
    draw_ends(page, view, blank.length / MM, 0.0, -stock)
    for label in labels:
        draw_mark(page, view, label, upper, float(view.y(-stock)))
    for hole in job.holes:
        front, reach = hole.ends(blank.width)[0] / MM, hole.diameter / MM / 2
        if view.tile.shows(front - reach, front + reach):
            page.circle(float(view.x(front)), float(view.y(-hole.height / MM)),
                        hole.diameter / MM * view.scale)  # fmt: skip
    lower = _figures(page, job, view, float(view.y(-stock)))
    if not shows_rest(job):
        return [(upper, lower)]
    _rest(page, job, view, lower)
    strip = lower - STRIP_WORDS
    return [(upper, lower), (strip, strip - HILL - PIT)]


def _underside(page: Page, view: View, job: Job) -> None:
    """The cut shaded between the surface there now and the one aimed at."""
    stock = job.aim.blank.thickness / MM
    x, h = _in_mm(job.aim)
    surface_x, surface_h = np.array([0.0, x[-1]]), np.array([stock, stock])
    if job.partial and job.now is not None:
        surface_x, surface_h = _in_mm(job.now)
    goal_x, goal_y = view.clipped(x, -h)
    stop_x, stop_y = goal_x, goal_y
    if job.stop is not None:
        places, left = _in_mm(job.stop)
        stop_x, stop_y = view.clipped(places, -left)
    from_x, from_y = view.clipped(surface_x, -surface_h)
    if tells_depths(job):
        page.fill(np.r_[view.x(stop_x), view.x(from_x)[::-1]],
                  np.r_[view.y(stop_y), view.y(from_y)[::-1]], SHADE)  # fmt: skip
    _sawn_off(page, view, job)
    if job.stop is not None:
        page.line(view.x(from_x), view.y(from_y), pen=THIN)
        page.line(view.x(stop_x), view.y(stop_y), pen=BOLD, dash=AIM_DASH)
        if shows_design(job):
            page.line(view.x(goal_x), view.y(goal_y), pen=THIN)
        return
    if job.kind == "design":
        page.line(view.x(from_x), view.y(from_y), pen=THIN)
        page.line(view.x(goal_x), view.y(goal_y), pen=BOLD)
        return
    page.line(view.x(from_x), view.y(from_y), pen=BOLD if job.partial else LINE)
    if tells_depths(job):
        page.line(view.x(goal_x), view.y(goal_y), pen=LINE, dash=AIM_DASH)


def _sawn_off(page: Page, view: View, job: Job) -> None:
    """Both pieces that a cut saws off the ends, grey from the top to the underside."""
    if job.now is None:
        return
    x, h = _in_mm(job.now)
    left, right = (size / MM for size in job.trim)
    for low, high in ((0.0, left), (float(x[-1]) - right, float(x[-1]))):
        low, high = max(low, view.tile.start), min(high, view.tile.end)
        if high - low < 1e-9:
            continue
        at = np.r_[low, x[(x > low) & (x < high)], high]
        under = view.y(-np.interp(at, x, h))
        page.fill(np.r_[view.x(at), view.x(at)[::-1]],
                  np.r_[under, np.full_like(at, view.y(0.0))], SHADE)  # fmt: skip


def _in_mm(bar: Bar) -> tuple[Array, Array]:
    """Underside in millimetres; walls get a hair of width so that x rises strictly."""
    x, h = underside(bar.profile)
    x = x / MM
    x[np.flatnonzero(np.diff(x) <= 0.0) + 1] += 1e-6
    return x, h / MM


# -- figures -----------------------------------------------------------------------------------


def size_of_places(job: Job) -> float:
    """Size of the figures that tell the places; those of the depths are 2 larger. [pt]"""
    return 8.0 if job.every >= 6 * MM else 7.0


def half_of_figure(job: Job) -> float:
    """Room a figure that runs upward takes on either side of its place. [mm of paper]"""
    return 0.62 * (size_of_places(job) + 2.0) * POINT


def told(job: Job, scale: float) -> list[Station]:
    """Stations with figures: those that leave each other room on paper; the table has them all."""
    gap = 1.35 * (size_of_places(job) + 2.0) * POINT / scale * MM
    step = job.every * math.ceil(gap / job.every - 1e-9)
    first = {place for place in job.places if place.from_end == job.length / 2}
    if job.kind == "cut":
        first |= {place for place in job.places if _near(place.from_end, job.cut_at)}
    regular = {place for place in job.places if _near(place.from_end % step, (0.0, step))}
    kept: list[Station] = []
    for group in (first, regular, set(job.places)):
        for place in sorted(group, key=lambda place: -place.from_end):
            if all(abs(place.x - other.x) > gap for other in kept):
                kept.append(place)
    return sorted(kept, key=lambda place: place.x)


def _near(value: float, others: Sequence[float]) -> bool:
    return any(abs(value - other) < 1e-6 for other in others)


def _figures(page: Page, job: Job, view: View, base: float) -> float:
    """A tick and two figures at stations under the bar; return the height under them. [mm]"""
    size, half = size_of_places(job), half_of_figure(job) / view.scale
    for place in job.places:
        if view.tile.holds(place.x / MM):
            x = float(view.x(place.x / MM))
            page.line([x, x], [base, base - 2.0], pen=THIN)
    figures, fine = job.depths(), job.is_fine
    if job.stop is not None:
        figures, fine = job.aim.blank.thickness - job.thicknesses_at_stop(), True
    depths = dict(zip(job.places, figures / MM, strict=True))
    by_these = job.stop is not None or not job.whole  # nobody shall cut by the depths of the whole
    for place in told(job, view.scale):
        at = place.x / MM
        if not view.tile.shows(at - half, at + half):
            continue
        x = float(view.x(at))
        page.text(x, base - 2.6, f"{place.from_end / MM:.4g}", size=size, turned=True,
                  align="center", anchor="top")  # fmt: skip
        if tells_depths(job):
            words = shown_depth(depths[place], fine=fine)
            page.text(x, base - 2.6 - PLACES, words, size=size + 2.0 * by_these,
                      bold=by_these, turned=True, align="center", anchor="top")  # fmt: skip
    return base - PLACES - 0.6 - (DEPTHS if tells_depths(job) else 0.0)


def shown_depth(depth: float, *, fine: bool = False) -> str:
    """Depth as printed: tenths or, where it is fine, hundredths; a plain 0 where nothing is cut.

    What is too deep already is nothing to cut by and rounded to the nearest.

    Examples
    --------
    >>> shown_depth(0.01), shown_depth(3.08), shown_depth(-0.3), shown_depth(0.236, fine=True)
    ('0', '3.0', '−0.3', '0.23')
    """
    digits = 2 if fine else 1
    text = no_deeper(depth, digits) if depth > 0.0 else f"{depth:.{digits}f}"
    return "0" if float(text) == 0.0 else text.replace("-", "−")


def shown_thickness(left: float, *, fine: bool = False) -> str:
    """Thickness to be left, as printed: tenths or, where it is fine, hundredths."""
    return no_thinner(left, 2 if fine else 1)


# -- what is left to cut -----------------------------------------------------------------------


def _rest(page: Page, job: Job, view: View, upper: float) -> None:
    """Strip under the figures: the wood still to be cut away, drawn many times as deep."""
    x, rest = rest_of(job)
    times = times_shown(rest)
    base = upper - STRIP_WORDS - HILL
    high, low = float(rest.max()), float(rest.min())
    still = "to be cut away now" if job.kind == "cut" else "still to be cut away"
    words = f"Grey: wood {still}, drawn {times} times as deep; at most {no_deeper(high, 2)} mm."
    if low < -0.005:
        words += f" Dark: too deep already, by up to {-low:.2f} mm."
    page.text(view.left, upper - 2.6, words, size=HEADING - 0.5,
              room=page.inner[2] - view.left)  # fmt: skip
    parts = (np.maximum(rest, 0.0) * times, np.maximum(np.minimum(rest, 0.0) * times, -PIT))
    for part, shade in zip(parts, (SHADE, TOO_DEEP), strict=True):
        if not part.any():
            continue
        at, tall = view.clipped(x, part)
        page.fill(np.r_[view.x(at), view.x(at)[::-1]],
                  np.r_[base + tall, np.full_like(tall, base)], shade)  # fmt: skip
        page.line(view.x(at), base + tall, pen=THIN)
    shown, _ = view.clipped(x[[0, -1]], np.zeros(2))
    page.line(view.x(shown), np.full_like(shown, base), pen=LINE)


def rest_of(job: Job) -> tuple[Array, Array]:
    """Wood over the aim along the bar as it is now: places and depth. [mm], [mm]"""
    assert job.now is not None
    (x, goal), (now_x, now) = _in_mm(job.aim), _in_mm(job.now)
    places = np.union1d(x, now_x)
    return places, np.interp(places, now_x, now) - np.interp(places, x, goal)


def times_shown(rest: Array) -> int:
    """How many times as deep the strip shows it, so that hills and pits have room.

    Examples
    --------
    >>> times_shown(np.array([0.0, 0.3])), times_shown(np.array([0.0, 12.0]))
    (20, 2)
    """
    high, low = float(rest.max(initial=0.0)), float(-rest.min(initial=0.0))
    return max((n for n in TIMES if n * high <= HILL and n * low <= PIT), default=TIMES[0])
