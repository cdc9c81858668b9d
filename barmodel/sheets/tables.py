"""Sheets of figures: depths, router stops, nodes and holes, tuning card, cautions."""

from __future__ import annotations

from dataclasses import replace

from barmodel.sheets.cautions import GENERAL, thin_bar
from barmodel.sheets.grid import BETWEEN, Flow, Table, grid
from barmodel.sheets.head import title_height
from barmodel.sheets.job import Job
from barmodel.sheets.paper import Page, Paper, rows_of
from barmodel.sheets.side import shown_depth, shown_thickness, tells_depths
from barmodel.sheets.stops import for_router, stop_table
from barmodel.undercut.outline import cut_span, floors, thinnest
from barmodel.units import MM, no_deeper, no_thinner


def table_pages(job: Job, paper: Paper) -> list[Page]:
    """Set the tables in columns, as many sheets as they need."""
    flow = Flow(paper, title_height(job))
    tables = [node_table(job)]
    if tells_depths(job):
        depths = depth_table(job)
        tables = [*floor_tables(job), *tables]
        if not for_router(job):
            tables = [depths, *tables]
        elif (stops := stop_table(job)).rows:
            tables = [depths, *tables, stops]
        else:  # a sentence needs no table, perhaps on a sheet of its own
            words = f"{depths.note} {stops.heading}: {stops.note}"
            tables = [replace(depths, note=words), *tables]
    for table in tables:
        flow.place(table)
    return flow.pages


def depth_table(job: Job) -> Table:
    """Depth and thickness at equal distances from either end, and where the rough cut stops."""
    left = {round(p.from_end, 9): i for i, p in enumerate(job.places) if p.x <= job.length / 2}
    right = {round(p.from_end, 9): i for i, p in enumerate(job.places) if p.x >= job.length / 2}
    figures = [job.depths() / MM, job.thicknesses() / MM]
    heads, note, heading = ["to cut" if job.partial else "cut", "leave"], "", "Depths"
    shown = [shown_depth, shown_thickness]
    exact = [job.is_fine or job.kind == "cut"] * 2
    if job.stop is not None:  # what is cut by comes first, and hundredths tell it from the design
        left_then = job.thicknesses_at_stop() / MM
        figures = [job.aim.blank.thickness / MM - left_then, left_then, figures[0]]
        heads, shown = ["1st cut", "leave", "in all"], [shown_depth, shown_thickness, shown_depth]
        exact, heading = [True] * 3, "First cut: depths"
        note = (
            " After the first, rough cut stop and listen. 'in all' is the depth of the whole "
            "design: the rest comes off in the rounds of `barmodel next`."
        )
    elif job.whole:
        note = " That is the whole design and not the first cut, which `barmodel next` tells."
    rows = tuple(
        (f"{at / MM:g}", *(words(row[i], fine=fine) for i in (near, right[at])
                           for row, words, fine in zip(figures, shown, exact, strict=True)))
        for at, near in left.items()
    )  # fmt: skip
    columns = ("from end", *(f"{side} {head}" for side in ("left", "right") for head in heads))
    half = len(heads) + 1
    if all(row[1:half] == row[half:] for row in rows):  # both halves alike: told once
        columns, rows = ("from either end", *heads), tuple(row[:half] for row in rows)
    width = 24.0 if len(columns) <= half else 22.5 if len(heads) == 2 else 20.5
    return Table(
        heading=f"{heading} and thicknesses, mm",
        columns=columns,
        rows=rows,
        widths=(20.0 if len(columns) > half else 34.0, *[width] * (len(columns) - 1)),
        note=f"Distances from the nearer end. {_leave(job)} At a wall the thicker side is "
        f"given.{note}",
    )


def _leave(job: Job) -> str:
    """What the callipers are to read, and when."""
    if job.kind == "remaining" and job.designed and not job.in_tune:
        return "By the design, and not the next cut: that is told by `next`."
    return "'leave' is what the callipers must read."


def floor_tables(job: Job) -> list[Table]:
    """Level floors with the walls between them, one table or none."""
    found = floors((job.stop or job.aim).profile)
    if len(found) < 2 or job.is_fine:
        return []
    stock = job.aim.blank.thickness
    rows = tuple(
        (f"{f.start / MM:.1f}", f"{f.end / MM:.1f}", f"{(job.length - f.end) / MM:.1f}",
         no_deeper((stock - f.thickness) / MM, 2), no_thinner(f.thickness / MM, 2))
        for f in found
    )  # fmt: skip
    return [
        Table(
            heading=f"{'First cut: floors' if job.stop else 'Floors'}, mm",
            columns=("from", "to", "right end to", "depth", "leave"),
            rows=rows,
            widths=(20.0, 20.0, 27.0, 21.0, 22.0),
            note="Places from the left end; depths from the uncut underside, of all cuts together.",
        )
    ]


def node_table(job: Job) -> Table:
    """Still points of mode 1 and cord holes."""
    rows = [(f"node {n} of mode 1, when tuned", f"{x / MM:.1f}", f"{(job.length - x) / MM:.1f}")
            for n, x in enumerate(job.nodes, start=1)]  # fmt: skip
    when = "after this cut" if job.kind == "cut" else "now"
    rows += [(f"node {n} of mode 1, {when}", f"{x / MM:.1f}", f"{(job.length - x) / MM:.1f}")
             for n, x in enumerate(job.nodes_now, start=1)]  # fmt: skip
    for number, hole in enumerate(job.holes, start=1):
        for edge, x in zip(("front", "rear"), hole.ends(job.aim.blank.width), strict=True):
            name = f"hole {number}, {edge} edge, {hole.diameter / MM:g} wide"
            rows.append((name, f"{x / MM:.1f}", f"{(job.length - x) / MM:.1f}"))
    names = ("undercut begins", "undercut ends")
    for name, x in zip(names, job.span or (), strict=False):
        rows.append((name, f"{x / MM:.1f}", f"{(job.length - x) / MM:.1f}"))
    for name, (place, least) in _least(job):
        rows.append((f"least thickness {name}: {no_thinner(least / MM, 2)}", f"{place / MM:.1f}",
                     f"{(job.length - place) / MM:.1f}"))  # fmt: skip
    heights = sorted({round(h.height / MM, 2) for h in job.holes})
    under = "; ".join(f"{height:g} mm" for height in heights)
    from_present = "All places count from the ends there are now. " if any(job.trim) else ""
    return Table(
        heading="Nodes, holes and limits, mm",
        columns=("", "from left", "from right"),
        rows=tuple(rows),
        widths=(60.0, 25.0, 25.0),
        note=from_present + (f"Hole axis {under} under the flat top. " if heights else ""),
    )


def _least(job: Job) -> list[tuple[str, tuple[float, float]]]:
    """Least thickness and its place, now and when done, as far as they are known."""
    done = "after this cut" if job.kind == "cut" else "when done"
    found = [(done, job.thinnest)] if tells_depths(job) else []
    if job.now is not None and cut_span(job.now.profile) is not None:  # uncut it has no place
        found.append(("now", thinnest(job.now.profile)))
    return found


def tuning_card(job: Job, paper: Paper) -> Page:
    """A sheet of targets and empty columns for the readings."""
    page = Page(*paper.size, "tuning card")
    left, bottom, right, top = page.inner
    y = top - title_height(job)
    hz = job.today_hz or (() if job.target is None else tuple(job.target.hz.tolist()))
    if hz:
        steps, home = (100, 50, 20, 10, 5, 2, 0), "today" if job.today_hz else "target"
        head = (f"cents above {home}", *(f"+{s}" if s else home for s in steps))
        rows = [(f"mode {n}, Hz", *(f"{f * 2 ** (s / 1200):.1f}" for s in steps))
                for n, f in enumerate(hz, start=1)]  # fmt: skip
        width = (right - left - 34.0) / len(steps)
        grid(page, left, y, (34.0, *[width] * len(steps)), [head, *rows], height=7.0, size=10.5)
        y -= 7.0 * (len(rows) + 1) + BETWEEN
    for line in rows_of(job.today, page, size=11.0, room=right - left, bold=True):
        page.text(left, y - 2.0, line, size=11.0, bold=True)
        y -= 6.0
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
    y = top - title_height(job) - 2.0
    about_bar = [
        *([job.today] if job.today else []),
        *job.notes,
        *thin_bar(job.aim.blank, job.thinnest[1]),
    ]
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
