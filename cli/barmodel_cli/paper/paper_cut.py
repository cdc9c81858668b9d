"""Paper of one cut."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from barmodel_cli.asked.cut_doubts import made_before
from barmodel_cli.asked.cutting import to_cuts
from barmodel_cli.paper.papers import heard_last, today_on_paper, wood_on_paper
from barmodel_cli.shown.cut_words import cut_in_words
from barmodel_cli.shown.show import caution

if TYPE_CHECKING:
    from barmodel.bar import Bar
    from barmodel.files import BarDocument, CutEntry, CutFile
    from barmodel.sheets import Job
    from barmodel_cli.asked.keeping import Least
    from barmodel_cli.bench.today import Today


def cut_job(
    document: BarDocument,
    planned: CutFile,
    path: Path,
    least: Least,
    every: float,
    cutter: float,
    today: Today,
) -> Job:
    """Gather what the sheets of one cut show: the bar as it is, and as the cut leaves it.

    Ends that are to be sawn off are still drawn, and every place counts from them: they are what
    a maker can lay a rule to.

    Parameters
    ----------
    document : BarDocument
    planned : CutFile
        The cut, as `next --save` writes it.
    path : Path
        Of its file.
    least : Least
        Thickness that must remain.
    every, cutter : float
        Distance between stations, diameter of the router bit. [mm]
    today : Today
        What the bar is to show.
    """
    from datetime import date

    from barmodel.cuts import EndTrim, apply_cuts
    from barmodel.files import bar_as_is, target_of
    from barmodel.modes import solve
    from barmodel.sheets import Job
    from barmodel.units import MM, no_thinner

    there, target = bar_as_is(document), target_of(document.target)
    entries, cuts = planned.entries, to_cuts(planned.entries)
    with least.told():
        then = apply_cuts(there, cuts, keep=least.keep)
    trims = [cut for cut in cuts if isinstance(cut, EndTrim)]
    trim = (sum(cut.left for cut in trims), sum(cut.right for cut in trims))
    told = cut_in_words(entries, there.blank.length / MM)
    notes = [f"This cut only: {told}."]
    if any(tuple(cut.entries) == entries for cut in document.cuts):
        caution("this very cut stands in the log already; the sheets show it made once more")
    elif warning := made_before(document, planned, path):
        caution(warning)
    if trims:
        notes.append(
            f"Saw off the ends first: {there.blank.length / MM:.1f} mm long now, "
            f"{no_thinner(then.blank.length / MM, 1)} then. The sheets show the bar as it is, and "
            "their figures count from the ends there are now."
        )
    nodes = solve(then, count=1, families=("bending",), order="quick").nodes[0]
    return Job(
        name=document.name,
        aim=_unsawn(then, trim),
        now=there,
        trim=trim,
        kind="cut",
        target=target,
        wood=wood_on_paper(document, there),
        date=date.today().isoformat(),
        nodes_now=tuple(trim[0] + float(x) for x in nodes),
        every=every * MM,
        cutter=cutter * MM,
        router=any(_may_be_routed(entry) for entry in entries),
        reading=heard_last(document, today),
        today=today_on_paper(today, target),
        today_hz=tuple(today.hz(target).tolist()) if today else (),
        notes=tuple(notes),
    )


def _unsawn(bar: Bar, trim: tuple[float, float]) -> Bar:
    """The bar with its ends still on, which are as thick as its blank. [m]"""
    from dataclasses import replace

    left, right = trim
    if left == right == 0.0:
        return bar
    middle = bar.blank.length / 2
    cuts = [
        replace(cut, axis=middle) if cut.mirror and cut.axis is None else cut
        for cut in bar.undercut
    ]
    blank = replace(bar.blank, length=bar.blank.length + left + right)
    return replace(bar, blank=blank, undercut=tuple(cut.shifted(left) for cut in cuts))


def _may_be_routed(entry: CutEntry) -> bool:
    """Whether a cut is none that a drum, a belt or a scraper leaves."""
    if entry.shape == "pocket":
        return entry.corner_radius_mm == 0.0
    if entry.shape == "groove":
        return entry.section == "flat"
    return entry.shape != "ends"
