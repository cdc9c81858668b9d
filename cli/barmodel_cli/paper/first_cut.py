"""Where the first cut stops: paper and `next` say the same."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, NamedTuple

if TYPE_CHECKING:
    from barmodel.bar import Bar
    from barmodel.files import BarDocument
    from barmodel_cli.bench.today import Today

LEAST_SHORT = 2e-5
"""A rest thinner than this is none. [m]"""


class FirstCut(NamedTuple):
    """The bar after the first, rough cut where it is known; and what is to be said of it."""

    bar: Bar | None
    said: tuple[str, ...]


def first_cut(
    document: BarDocument, path: Path, today: Today, *, line: bool = True
) -> FirstCut | None:
    """What `next` says of the first cut into a bar, as long as nothing has been cut.

    Parameters
    ----------
    document : BarDocument
    path : Path
        Of its file.
    today : Today
        What the bar is to show.
    line : bool
        Whether the paper has room for a stop line.

    Returns
    -------
    FirstCut or None
        None for a bar without a design, or one that has been cut.
    """
    from barmodel.errors import BarModelError

    if document.design is None or document.begun:
        return None
    rounds = f"Cut it in rounds, as `barmodel next {path}` says"
    try:
        bar = _after_first_cut(document, today)
    except BarModelError:
        bar = None
    if bar is None:
        said = (
            "This is the whole design, not the first cut, and where that stops is not known yet: "
            f"no router passes are given. {rounds}, and listen in between."
        )
        return FirstCut(None, (said,))
    short, at = _short_of(document, bar)
    if short < LEAST_SHORT:
        return None
    if not line:
        said = f"This is the whole design, not the first cut. {rounds}, and listen in between."
        return FirstCut(None, (said,))
    return FirstCut(
        bar,
        (
            f"This is the whole design. {rounds}: the first cut stops up to {short * 1e3:.2f} mm "
            f"short of it (at {at * 1e3:.0f} mm), at the stop line. For a paper of that cut alone: "
            f"barmodel next {path} --save CUT.json, then barmodel sheet {path} --entries CUT.json",
        ),
    )


def _after_first_cut(document: BarDocument, today: Today) -> Bar | None:
    """The bar after what `next` advises for an uncut bar; None if it advises no cut."""
    from barmodel.bench import RISK, TOLERANCES, Goal, advise
    from barmodel.cuts import apply_cuts
    from barmodel.files import bar_as_designed, bar_as_is, target_of
    from barmodel_cli.asked.keeping import least_kept
    from barmodel_cli.bench.history import belief_of, history_of

    goal = Goal(target=target_of(document.target), tolerances=TOLERANCES, risk=RISK)
    goal, belief = today.aimed(goal, belief_of(document))
    design = bar_as_designed(document).undercut if document.design else None
    keep = least_kept(document, None).keep
    history = history_of(document, today.water_percent)
    found = advise(history, goal, design=design, belief=belief, keep=keep)
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
