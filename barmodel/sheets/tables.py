"""Sheets of figures: depths, router stops, nodes and holes, tuning card, cautions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from barmodel.plots.outline import thinnest
from barmodel.sheets.cautions import GENERAL, thin_bar
from barmodel.sheets.job import Job
from barmodel.sheets.paper import BOLD, LINE, THIN, Page, Paper, rows_of
from barmodel.sheets.side import shown_depth, tells_depths
from barmodel.sheets.stations import Pass, left_by, router_passes, thickness_at
from barmodel.sheets.template import TITLE
from barmodel.units import MM

ROW = 5.6
"""Height of a table row. [mm]"""
SIZE = 9.5
BETWEEN = 8.0
"""Space between tables. [mm]"""


@dataclass(frozen=True, slots=True)
class Table:
    """Rows of words under a heading."""

    heading: str
    columns: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]
    widths: tuple[float, ...]
    note: str = ""

    @property
    def width(self) -> float:
        """Width on paper. [mm]"""
        return sum(self.widths)


def table_pages(job: Job, paper: Paper) -> list[Page]:
    """Set the tables in columns, as many sheets as they need."""
    flow = _Flow(paper)
    tables = [node_table(job)]
    if tells_depths(job):
        depths, stops = depth_table(job), stop_table(job)
        if stops.rows:
            tables = [depths, *tables, stops]
        else:  # a sentence needs no table, perhaps on a sheet of its own
            words = f"{depths.note} {stops.heading}: {stops.note}"
            tables = [replace(depths, note=words), *tables]
    for table in tables:
        flow.place(table)
    return flow.pages


def depth_table(job: Job) -> Table:
    """Depth and thickness at equal distances from either end."""
    left = {round(p.from_end, 9): i for i, p in enumerate(job.places) if p.x <= job.length / 2}
    right = {round(p.from_end, 9): i for i, p in enumerate(job.places) if p.x >= job.length / 2}
    depth, thickness = job.depths() / MM, job.thicknesses() / MM
    rows = tuple(
        (f"{at / MM:g}", *(shown_depth(value) for value in
                           (depth[i], thickness[i], depth[right[at]], thickness[right[at]])))
        for at, i in left.items()
    )  # fmt: skip
    to_cut = "to cut" if job.kind == "remaining" else "cut"
    return Table(
        heading="Depths and thicknesses, mm",
        columns=("from end", f"left {to_cut}", "left leave", f"right {to_cut}", "right leave"),
        rows=rows,
        widths=(20.0, 23.0, 22.0, 23.0, 22.0),
        note="Distances from the nearer end. 'leave' is what the callipers must read. "
        "At a wall the thicker side is given.",
    )


def node_table(job: Job) -> Table:
    """Still points of mode 1 and cord holes."""
    rows = [(f"node of mode 1 when tuned {n}", f"{x / MM:.1f}", f"{(job.length - x) / MM:.1f}")
            for n, x in enumerate(job.nodes, start=1)]  # fmt: skip
    rows += [(f"node of mode 1 now {n}", f"{x / MM:.1f}", f"{(job.length - x) / MM:.1f}")
             for n, x in enumerate(job.nodes_now, start=1)]  # fmt: skip
    for number, hole in enumerate(job.holes, start=1):
        for edge, x in zip(("front", "rear"), hole.ends(job.aim.blank.width), strict=True):
            name = f"hole {number}, {edge} edge, {hole.diameter / MM:g} wide"
            rows.append((name, f"{x / MM:.1f}", f"{(job.length - x) / MM:.1f}"))
    names = ("undercut begins", "undercut ends")
    for name, x in zip(names, job.span or (), strict=False):
        rows.append((name, f"{x / MM:.1f}", f"{(job.length - x) / MM:.1f}"))
    for name, (place, least) in _least(job):
        rows.append((f"least thickness {name}: {least / MM:.1f}", f"{place / MM:.1f}",
                     f"{(job.length - place) / MM:.1f}"))  # fmt: skip
    heights = sorted({round(h.height / MM, 2) for h in job.holes})
    under = "; ".join(f"{height:g} mm" for height in heights)
    return Table(
        heading="Nodes, holes and limits, mm",
        columns=("", "from left", "from right"),
        rows=tuple(rows),
        widths=(60.0, 25.0, 25.0),
        note=f"Hole axis {under} under the flat top. " if heights else "",
    )


def _least(job: Job) -> list[tuple[str, tuple[float, float]]]:
    """Least thickness and its place, now and when done, as far as they are known."""
    found = [("when done", job.thinnest)] if tells_depths(job) else []
    if job.now is not None:
        found.append(("now", thinnest(job.now.profile)))
    return found


def stop_table(job: Job) -> Table:
    """Router passes with the places of the stops, and what they leave."""
    every = router_passes(job.aim.profile, cutter=job.cutter)
    passes = [run for run in every if not _done(job, run)]
    heading = f"Router passes, flat cutter {job.cutter / MM:g} mm"
    widths = (16.0, 17.0, 17.0, 20.0, 21.0, 19.0)
    if not passes:
        note = (
            f"none; what is left is thinner than 0.2 mm over the width of a {job.cutter / MM:g} mm "
            "cutter, or narrower. Finish it with drum, file or scraper."
        )
        return Table(heading, (), (), widths, note)
    rows = tuple(
        (f"{p.depth / MM:.1f}", f"{p.start / MM:.1f}", f"{p.end / MM:.1f}",
         f"{p.first_stop / MM:.1f}", f"{p.last_stop / MM:.1f}",
         "to size" if p.to_size else "rough")
        for p in passes
    )  # fmt: skip
    return Table(
        heading=heading,
        columns=("depth", "from", "to", "1st stop", "last stop", "floor"),
        rows=rows,
        widths=widths,
        note="Places from the left end, depths from the uncut underside; stops are for the "
        "middle of the cutter. At most 3 mm deeper each time. "
        f"{_left_in_words(job, every)}",
    )


def _left_in_words(job: Job, passes: Sequence[Pass]) -> str:
    """What is to be sanded once the router is done."""
    left = left_by(job.aim.profile, passes)
    if left.most < 0.05 * MM:
        return "After them nothing is left to sand."
    middle = "" if left.middle < 0.05 * MM else f"{left.middle / MM:.1f} mm in the middle and "
    return (
        f"After them {middle}up to {left.most / MM:.1f} mm (at {left.at / MM:.0f} mm) are left to "
        "sand off: 1 mm is kept over curved parts, and slopes become stairs."
    )


def _done(job: Job, run: Pass) -> bool:
    """Whether a pass has been cut already, on the sheet of what remains."""
    if job.kind != "remaining" or job.now is None:
        return False
    there = thickness_at(job.now.profile, np.linspace(run.start, run.end, 101)[1:-1])
    return bool((there <= job.aim.blank.thickness - run.depth + 0.05 * MM).all())


class _Flow:
    """Places tables one under another in columns, and goes on to the next sheet when full."""

    def __init__(self, paper: Paper) -> None:
        self.paper = paper
        self.pages: list[Page] = []
        self._open_page()

    def _open_page(self) -> None:
        self.page = Page(*self.paper.size, "tables")
        self.pages.append(self.page)
        left, _, _, top = self.page.inner
        self.x, self.y, self.wide = left, top - TITLE, 0.0

    @property
    def _column(self) -> float:
        """Height of a whole column. [mm]"""
        return self.page.inner[3] - TITLE - self.page.inner[1]

    def _next_column(self, width: float) -> None:
        self.x += self.wide + BETWEEN
        self.y, self.wide = self.page.inner[3] - TITLE, 0.0
        if self.x + width > self.page.inner[2]:
            self._open_page()

    def place(self, table: Table) -> None:
        """Place a table, in pieces if it must be."""
        rows = list(table.rows)
        note = rows_of(table.note, self.page, size=8.0, room=table.width) if table.note else []
        while rows:
            used = 8.0 + ROW + 4.2 * len(note)
            free = int((self.y - self.page.inner[1] - used) // ROW)
            whole = int((self._column - used) // ROW)
            # what fits into one column is not broken; the rest is, but not after a row or two
            least = len(rows) if len(rows) <= whole else 3
            if free < least or self.x + table.width > self.page.inner[2] + 0.1:
                self._next_column(table.width)
                continue
            piece, rows = rows[:free], rows[free:]
            self._draw(table, piece, [] if rows else note)

    def _draw(self, table: Table, rows: Sequence[Sequence[str]], note: Sequence[str]) -> None:
        page, x, y = self.page, self.x, self.y
        page.text(x, y - 3.0, table.heading, size=11.0, bold=True, room=table.width)
        y -= 7.5
        grid(page, x, y, table.widths, [table.columns, *rows])
        y -= ROW * (len(rows) + 1)
        for line in note:
            page.text(x, y - 3.0, line, size=8.0)
            y -= 4.2
        self.y, self.wide = y - BETWEEN, max(self.wide, table.width)


def grid(
    page: Page, left: float, top: float, widths: Sequence[float],
    rows: Sequence[Sequence[str]], *, height: float = ROW, size: float = SIZE,
) -> None:  # fmt: skip
    """Draw a ruled table; the first row is its head."""
    edges = left + np.r_[0.0, np.cumsum(widths)]
    bottom = top - height * len(rows)
    for index in range(len(rows) + 1):
        y = top - index * height
        page.line([left, edges[-1]], [y, y], pen=BOLD if index in (0, 1) else THIN)
    for edge in edges:
        page.line([edge, edge], [top, bottom], pen=LINE)
    for index, row in enumerate(rows):
        y = top - (index + 0.5) * height
        for column, words in enumerate(row):
            if not words:
                continue
            room = widths[column] - 2.0
            first = column == 0 and len(words) > 8
            x = edges[column] + 1.0 if first else (edges[column] + edges[column + 1]) / 2
            page.text(x, y, words, size=size - 1.0 if index == 0 else size, bold=index == 0,
                      align="left" if first else "center", room=room)  # fmt: skip


def tuning_card(job: Job, paper: Paper) -> Page:
    """A sheet of targets and empty columns for the readings."""
    page = Page(*paper.size, "tuning card")
    left, bottom, right, top = page.inner
    y = top - TITLE
    hz = [] if job.target is None else list(job.target.hz)
    if hz:
        steps = (100, 50, 20, 10, 5, 2, 0)
        head = ("cents above target", *(f"+{s}" if s else "target" for s in steps))
        rows = [(f"mode {n}, Hz", *(f"{f * 2 ** (s / 1200):.1f}" for s in steps))
                for n, f in enumerate(hz, start=1)]  # fmt: skip
        width = (right - left - 34.0) / len(steps)
        grid(page, left, y, (34.0, *[width] * len(steps)), [head, *rows], height=7.0, size=10.5)
        y -= 7.0 * (len(rows) + 1) + BETWEEN
    modes = max(1, len(hz))
    page.text(left, y - 2.0, "Readings: let the bar cool before each one", size=11.0, bold=True)
    y -= 7.0
    fixed = (22.0, 11.0, 11.0)
    per_mode = min(22.0, (right - left - sum(fixed) - 40.0) / (2 * modes))
    rest = right - left - sum(fixed) - 2 * modes * per_mode
    head = ("date", "°C", "% RH")
    for number in range(1, modes + 1):
        head += (f"{number}: Hz", "cents")
    count = int((y - bottom) // 9.0)
    empty = [("",) * (len(head) + 1)] * (count - 1)
    grid(page, left, y, (*fixed, *[per_mode] * (2 * modes), rest),
         [(*head, "cut: where, how deep"), *empty], height=9.0)  # fmt: skip
    return page


def caution_page(job: Job, paper: Paper) -> Page:
    """A sheet of what can hurt a maker or a bar."""
    page = Page(*paper.size, "cautions")
    left, _, right, top = page.inner
    y = top - TITLE - 2.0
    about_bar = [*job.notes, *thin_bar(job.thinnest[1], job.length)]
    for heading, sentences in (("This bar", about_bar), *GENERAL):
        if not sentences:
            continue
        page.text(left, y, heading, size=12.0, bold=True)
        y -= 6.0
        for sentence in sentences:
            for index, line in enumerate(rows_of(sentence, page, size=10.0, room=right - left - 6)):
                if index == 0:
                    page.text(left + 1.0, y, "-", size=10.0)
                page.text(left + 5.0, y, line, size=10.0)
                y -= 4.9
        y -= 2.6
    return page
