"""Paper of one cut, and where the first cut stops: paper and `next` say the same."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

from barmodel_cli.shown.show import caution

if TYPE_CHECKING:
    from barmodel.bar import Bar
    from barmodel.files import BarDocument, CutEntry
    from barmodel.sheets import Job
    from barmodel_cli.bench.today import Today

LEAST_SHORT = 2e-5
"""A rest thinner than this is none. [m]"""


class FirstCut(NamedTuple):
    """The bar after the first, rough cut where it is known; and what is to be said of it."""

    bar: Bar | None
    said: tuple[str, ...]


def first_cut(document: BarDocument, path: Path) -> FirstCut | None:
    """What `next` says of the first cut into a bar, as long as nothing has been cut.

    Returns
    -------
    FirstCut or None
        None for a bar without a design, or one that has been cut.
    """
    from barmodel.errors import BarModelError

    if document.design is None or document.cuts or document.undercut:
        return None
    rounds = f"Cut it in rounds, as `barmodel next {path}` says"
    try:
        bar = _after_first_cut(document, path)
    except BarModelError:
        bar = None
    if bar is None:
        said = f"This is the whole design, not the first cut. {rounds}, and listen in between."
        return FirstCut(None, (said,))
    short, at = _short_of(document, bar)
    if short < LEAST_SHORT:
        return None
    return FirstCut(
        bar,
        (
            f"This is the whole design. {rounds}: the first cut stops up to {short * 1e3:.2f} mm "
            f"short of it (at {at * 1e3:.0f} mm), at the stop line. For a paper of that cut alone: "
            f"barmodel next {path} --save CUT.json, then barmodel sheet {path} --entries CUT.json",
        ),
    )


def _after_first_cut(document: BarDocument, path: Path) -> Bar | None:
    """The bar after what `next` advises for an uncut bar; None if it advises no cut."""
    from barmodel.bench import RISK, TOLERANCES, Goal, advise
    from barmodel.cuts import apply_cuts
    from barmodel.files import bar_as_designed, bar_as_is, target_of
    from barmodel_cli.bench.history import belief_of, history_of
    from barmodel_cli.bench.today import today_of

    goal = Goal(target=target_of(document.target), tolerances=TOLERANCES, risk=RISK)
    goal, belief = today_of(document, path).aimed(goal, belief_of(document))
    design = bar_as_designed(document).undercut if document.design else None
    found = advise(history_of(document), goal, design=design, belief=belief)
    if found.state != "cut":
        return None
    return apply_cuts(bar_as_is(document), found.cuts, check=False)


def _short_of(document: BarDocument, bar: Bar) -> tuple[float, float]:
    """Most wood between a bar and its design, and where on the left half. [m], [m]"""
    import numpy as np

    from barmodel.files import bar_as_designed

    x = np.linspace(0.0, bar.blank.length / 2, 1001)
    rest = bar.profile.thickness(x).real - bar_as_designed(document).profile.thickness(x).real
    most = int(np.flatnonzero(rest > rest.max() - 1e-5)[-1])  # nearest to the middle
    return float(rest[most]), float(x[most])


def cut_job(
    document: BarDocument,
    entries: tuple[CutEntry, ...],
    every: float,
    cutter: float,
    today: Today,
) -> Job:
    """Gather what the sheets of one cut show: the bar as it is, and as the cut leaves it.

    Parameters
    ----------
    document : BarDocument
    entries : tuple of CutEntry
        The cut, as `next --save` writes it.
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
    from barmodel_cli.asked.cutting import to_cuts
    from barmodel_cli.paper.papers import heard_last, today_on_paper
    from barmodel_cli.shown.cut_words import cut_in_words

    there, target = bar_as_is(document), target_of(document.target)
    cuts = to_cuts(entries)
    then = apply_cuts(there, cuts)
    now = apply_cuts(there, [cut for cut in cuts if isinstance(cut, EndTrim)])
    told = cut_in_words(entries, there.blank.length / MM)
    notes = [f"This cut only: {told}."]
    if any(tuple(cut.entries) == entries for cut in document.cuts):
        caution("this very cut stands in the log already; the sheets show it made once more")
    if now.blank.length < there.blank.length - 1e-6:
        notes.append("Shorten the ends first; the sheets show the bar without what comes off them.")
    nodes = solve(then, count=1, families=("bending",), order="quick").nodes[0]
    return Job(
        name=document.name,
        aim=then,
        now=now,
        kind="cut",
        target=target,
        wood=now.blank.wood.species or "",
        date=date.today().isoformat(),
        nodes_now=tuple(float(x) for x in nodes),
        every=every * MM,
        cutter=cutter * MM,
        reading=heard_last(document, today),
        today=today_on_paper(today, target),
        notes=tuple(notes),
    )
