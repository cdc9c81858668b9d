"""Where the modes of a bar should be heard, for naming lines and for doubting readings."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from barmodel.files import BarDocument
    from barmodel.modes import ModeSet
    from barmodel.solid import Family
    from barmodel.undercut.piece import Array

COUNT = 4
"""Bending modes foretold at least."""


@dataclass(frozen=True, slots=True, eq=False)
class Foretold:
    """Modes of a bar before it is struck.

    Attributes
    ----------
    modes : ModeSet
        Of the bar as written down.
    bending_hz : ndarray or None
        Its bending modes carried on from where each was last heard, over the cuts since; None
        for a bar that was never heard. [Hz]
    untouched : ndarray of bool
        Bending modes that were heard, and nothing cut, drilled or trimmed since.
    """

    modes: ModeSet
    bending_hz: Array | None
    untouched: Array

    @property
    def likely_hz(self) -> Array:
        """Bending modes as they should be heard. [Hz]"""
        return self.modes.bending_hz if self.bending_hz is None else self.bending_hz


def foretell(
    document: BarDocument,
    water_percent: float | None,
    *,
    count: int = COUNT,
    torsion: bool = True,
) -> Foretold:
    """Compute the bar as it is; `torsion` costs its time and is needed to name lines only."""
    import numpy as np

    from barmodel.files import bar_as_is
    from barmodel.modes import solve
    from barmodel_cli.bench.history import last_heard

    bar = bar_as_is(document)
    families: list[Family] = ["bending", "torsion"] if torsion else ["bending"]
    modes = solve(bar, count=max(count, COUNT), families=families, order="quick")
    hz = modes.bending_hz
    stands = last_heard(document, water_percent, count=hz.size, known={bar: hz}, order="quick")
    if stands is None:
        return Foretold(modes, None, np.zeros(hz.size, dtype=bool))
    untouched = ~np.isnan(stands.heard_hz) & (stands.cuts_since == 0)
    return Foretold(modes, stands.expected(hz), untouched)
