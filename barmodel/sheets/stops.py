"""Router passes with the places of the stops, and what they leave."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np

from barmodel.sheets.grid import Table
from barmodel.sheets.job import Job
from barmodel.sheets.stations import Pass, left_by, router_passes, thickness_at, thickness_beside
from barmodel.undercut.outline import underside
from barmodel.undercut.piece import Array
from barmodel.undercut.profile import Profile
from barmodel.units import MM, no_deeper

DONE = {"remaining": 0.05 * MM, "cut": 0.2 * MM}
"""A pass that would take less is not worth a setting on such a sheet. [m]"""
ROUTED = 1.5 * MM
"""A cut no deeper than this is left to drum, file and scraper (own judgement). [m]"""
WIDTHS = (16.0, 17.0, 17.0, 20.0, 21.0, 19.0)


def for_router(job: Job) -> bool:
    """Whether what is to be cut is work for a router."""
    if not job.router or (job.whole and job.stop is None):
        return False  # passes to the final depths, where the first cut must stop short of them
    goal = _goal(job)
    x, h = underside(goal)
    there = _there(job, x) if job.partial else np.full_like(h, goal.stock.real)
    return bool((there - h).max() > ROUTED)


def stop_table(job: Job) -> Table:
    """Router passes with the places of the stops, and what they leave."""
    goal = _goal(job)
    every = router_passes(goal, cutter=job.cutter)
    passes = [run for run in every if not _done(job, run)]
    size = f"flat cutter {job.cutter / MM:g} mm"
    heading = f"Router passes to the stop line, {size}" if _short(job) else f"Router passes, {size}"
    if not passes:
        note = (
            f"none; what is left is thinner than 0.2 mm over the width of a {job.cutter / MM:g} mm "
            "cutter, or narrower. Finish it with drum, file or scraper."
        )
        return Table(heading, (), (), WIDTHS, note)
    done = "to line" if _short(job) else "to size"
    rows = tuple(
        (no_deeper(p.depth / MM, 2), f"{p.start / MM:.1f}",
         f"{p.end / MM:.1f}", f"{p.first_stop / MM:.1f}", f"{p.last_stop / MM:.1f}",
         done if p.to_size else "rough")
        for p in passes
    )  # fmt: skip
    return Table(
        heading=heading,
        columns=("depth", "from", "to", "1st stop", "last stop", "floor"),
        rows=rows,
        widths=WIDTHS,
        note="Places from the left end, depths from the uncut underside; stops are for the "
        "middle of the cutter. At most 3 mm deeper each time. "
        f"{_left_in_words(job, goal, every)}",
    )


def _there(job: Job, x: Array) -> Array:
    """Thickness there now at the points of an underside. [m]"""
    assert job.now is not None
    return thickness_beside(job.now.profile, x)


def _short(job: Job) -> bool:
    """Whether the passes end before the design is reached."""
    return job.kind == "cut" or job.stop is not None


def _goal(job: Job) -> Profile:
    """Underside that the router comes near: of the rough cut, where there is one."""
    return (job.stop or job.aim).profile


def _left_in_words(job: Job, goal: Profile, passes: Sequence[Pass]) -> str:
    """What is to be sanded once the router is done."""
    there = job.now.profile if job.partial and job.now is not None else None
    left = left_by(goal, passes, there)
    end = " Stop there and listen: the rest comes off in the rounds of `barmodel next`."
    after = end if _short(job) else ""
    if left.most < 0.05 * MM:
        where = "They end at the stop line." if after else "After them nothing is left to sand."
        return where + after
    middle = "" if left.middle < 0.05 * MM else f"{left.middle / MM:.1f} mm in the middle and "
    to_line = " down to the stop line" if after else " off"
    return (
        f"After them {middle}up to {left.most / MM:.1f} mm (at {left.at / MM:.0f} mm) are left to "
        f"sand{to_line}: 1 mm is kept over curved parts, and slopes become stairs.{after}"
    )


def _done(job: Job, run: Pass) -> bool:
    """Whether a pass has been cut already, where depths count from the bar as it is."""
    if job.kind not in DONE or job.now is None:
        return False
    there = thickness_at(job.now.profile, np.linspace(run.start, run.end, 101)[1:-1])
    return bool((there <= job.aim.blank.thickness - run.depth + DONE[job.kind]).all())
