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
    from barmodel.units import MM

    there, target = bar_as_is(document), target_of(document.target)
    entries, cuts = planned.entries, to_cuts(planned.entries)
    with least.told():
        then = apply_cuts(there, cuts, keep=least.keep)
    now = apply_cuts(there, [cut for cut in cuts if isinstance(cut, EndTrim)])
    told = cut_in_words(entries, there.blank.length / MM)
    notes = [f"This cut only: {told}."]
    if any(tuple(cut.entries) == entries for cut in document.cuts):
        caution("this very cut stands in the log already; the sheets show it made once more")
    elif warning := made_before(document, planned, path):
        caution(warning)
    if now.blank.length < there.blank.length - 1e-6:
        notes.append("Shorten the ends first; the sheets show the bar without what comes off them.")
    nodes = solve(then, count=1, families=("bending",), order="quick").nodes[0]
    return Job(
        name=document.name,
        aim=then,
        now=now,
        kind="cut",
        target=target,
        wood=wood_on_paper(document, now),
        date=date.today().isoformat(),
        nodes_now=tuple(float(x) for x in nodes),
        every=every * MM,
        cutter=cutter * MM,
        router=any(_may_be_routed(entry) for entry in entries),
        reading=heard_last(document, today),
        today=today_on_paper(today, target),
        today_hz=tuple(today.hz(target).tolist()) if today else (),
        notes=tuple(notes),
    )


def _may_be_routed(entry: CutEntry) -> bool:
    """Whether a cut is none that a drum, a belt or a scraper leaves."""
    if entry.shape == "pocket":
        return entry.corner_radius_mm == 0.0
    if entry.shape == "groove":
        return entry.section == "flat"
    return entry.shape != "ends"
