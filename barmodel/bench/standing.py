"""Where the bar stands: what was last heard, carried to the bar as it is.

A model never fits one plank to the cent. What it was wrong by when the bar was last heard it is
wrong by after a light cut as well, so every prediction starts from the ear and takes only the
*change* from the model.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np

from barmodel.bar import Bar
from barmodel.bench.history import History
from barmodel.modes import Model, solve
from barmodel.pitch import cents
from barmodel.solid import Order
from barmodel.undercut.piece import Array


@dataclass(frozen=True, slots=True, eq=False)
class Standing:
    """What was last heard of each mode, and how far the model was off.

    Attributes
    ----------
    heard_hz : ndarray, shape (k,)
        Last heard, as it was; NaN for a mode never heard. [Hz]
    offset_cents : ndarray, shape (k,)
        Heard, and brought to the water of today, minus computed for the bar as it was then; NaN
        for a mode never heard. [cent]
    cuts_since : ndarray of int, shape (k,)
        Cuts made after it was heard.
    """

    heard_hz: Array
    offset_cents: Array
    cuts_since: np.ndarray

    def expected(self, computed_hz: Array) -> Array:
        """Carry computed frequencies to what should be heard; computed ones where none was. [Hz]

        Examples
        --------
        Heard 10 cents above what was computed, a mode computed at 440 Hz should sound at 442.55.

        >>> stands = Standing(np.array([437.5]), np.array([10.0]), np.array([1]))
        >>> round(float(stands.expected(np.array([440.0]))[0]), 2)
        442.55
        """
        count = self.offset_cents.size
        offset = np.zeros(computed_hz.size)
        offset[:count] = np.nan_to_num(self.offset_cents[: computed_hz.size])
        return np.asarray(computed_hz * 2.0 ** (offset / 1200))


def standing(
    history: History,
    *,
    count: int = 3,
    model: Model = "best",
    order: Order = "standard",
    known: Mapping[Bar, Array] | None = None,
) -> Standing:
    """Compare the last reading of each mode with the bar as it then was.

    Parameters
    ----------
    history : History
    count : int
        Modes.
    model, order
        As for `barmodel.modes.solve`; the same as of the numbers that are to be carried.
    known : mapping, optional
        Bending modes of bars already solved so, at least `count` each. [Hz]
    """
    solved = dict(known or {})
    heard, brought = np.full(count, np.nan), np.full(count, np.nan)
    offset, since = np.full(count, np.nan), np.zeros(count, dtype=int)
    stages = history.stages
    for stage in reversed(stages):
        new = np.zeros(count, dtype=bool)
        for reading in reversed(stage.readings):
            row = reading.row(count)
            first = np.isnan(heard) & ~np.isnan(row)
            heard = np.where(first, reading.heard(count), heard)
            brought = np.where(first, row, brought)
            new |= first
        if not new.any():
            continue
        if stage.bar not in solved:
            modes = solve(stage.bar, model=model, count=count, families=["bending"], order=order)
            solved[stage.bar] = modes.bending_hz
        offset = np.where(new, cents(brought, solved[stage.bar][:count]), offset)
        since = np.where(new, len(stages) - 1 - stage.number, since)
        if not np.isnan(heard).any():
            break
    return Standing(heard, offset, since)
