"""A cut that stands twice in the log: was it made twice?"""

from __future__ import annotations

import numpy as np

from barmodel.bar import Bar
from barmodel.bench.history import CutMade, History, Stage
from barmodel.bench.model import solid_log_hz
from barmodel.bench.posterior import Posterior
from barmodel.cuts import apply_cuts
from barmodel.undercut.piece import Array
from barmodel.units import CENTS

NEARER = 2.0
"""What was heard must be so many times nearer to the cut made once than to it made twice … [1]"""
APART_CENTS = 4.0
"""… and so far from the latter. [cent]"""


def made_once(posterior: Posterior, first: int, second: int) -> int | None:
    """Tell whether the pitches speak of one cut where the log has two.

    Parameters
    ----------
    posterior : Posterior
    first, second : int
        Stages that the two cuts led to.

    Returns
    -------
    int or None
        Mode that tells most of it, from 0; None where the ear agrees with the log, or was not
        asked before and after.
    """
    stages = posterior.history.stages
    before = [stage for stage in stages[:first] if stage.readings]
    after = [stage for stage in stages[second:] if stage.readings]
    if not before or not after:
        return None
    count = posterior.log_hz.size
    start, end = before[-1], after[0]
    moved = _heard(end, posterior) - _heard(start, posterior)
    at_start = solid_log_hz(start.bar, count)
    twice = CENTS * (solid_log_hz(end.bar, count) - at_start)
    once = CENTS * (solid_log_hz(_without(posterior.history, second, end), count) - at_start)
    known = ~np.isnan(moved)
    if not known.any():
        return None
    off_twice, off_once = np.abs(moved - twice)[known].max(), np.abs(moved - once)[known].max()
    if off_twice < APART_CENTS or off_twice < NEARER * off_once:
        return None
    return int(np.argmax(np.where(known, np.abs(twice - once), 0.0)))


def _heard(stage: Stage, posterior: Posterior) -> Array:
    """Middle of the readings of a stage at one temperature, shape (k,). [cent]"""
    belief, rows = posterior.belief, []
    warm = stage.degrees(belief.reference_c)
    for reading, degrees in zip(stage.readings, warm, strict=True):
        row = CENTS * np.log(reading.row(posterior.log_hz.size))
        rows.append(row - belief.cents_per_c * degrees)
    table = np.array(rows)
    heard = ~np.isnan(table).all(axis=0)
    out = np.full(table.shape[1], np.nan)
    out[heard] = np.nanmedian(table[:, heard], axis=0)
    return out


def _without(history: History, left_out: int, until: Stage) -> Bar:
    """The bar of a stage without the cut that led to another."""
    bar, number = history.start, 0
    for event in history.events:
        if not isinstance(event, CutMade):
            continue
        number += 1
        if number > until.number:
            break
        if number != left_out:
            bar = apply_cuts(bar, event.cuts, check=False)
    return bar
