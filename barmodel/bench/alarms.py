"""Pitches that move though nothing was cut: a crack, a warm bar, or a slip of the ear."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

from barmodel.bench.history import Stage
from barmodel.bench.posterior import Posterior
from barmodel.bench.words import mode_list
from barmodel.undercut.piece import Array
from barmodel.units import CENTS

AlarmKind: TypeAlias = Literal["crack", "fell", "warm"]
MOVED = 4.0
"""A pitch has moved when two readings differ by so many standard errors of the difference … [1]"""
MOVED_CENTS = 3.0
"""… and by this much. [cent]"""
ALIKE_CENTS = 3.0
"""Heat and damp move all modes alike, within this; a crack does not. [cent]"""
WARM_C = 4.0
"""Degrees above its usual temperature at which a bar is told to wait. [°C]"""
SETTLED_C = 2.0
"""Two readings since the last cut no farther apart are of a bar that has settled. [°C]"""
HOT_C = 30.0
"""The same when only one temperature is known. [°C]"""


@dataclass(frozen=True, slots=True)
class Alarm:
    """Something to see to before the next cut.

    Attributes
    ----------
    kind : {"crack", "fell", "warm"}
        crack: fell without a cut, and stayed down or keeps falling; fell: fell once, to be read
        again; warm: wait.
    stage : int
        Cuts made before.
    modes : tuple of int
        Modes concerned, from 0.
    cents : float
        Largest change, or degrees too warm when no pitch moved. [cent]
    text : str
        For the maker.
    """

    kind: AlarmKind
    stage: int
    modes: tuple[int, ...]
    cents: float
    text: str


def find_alarms(posterior: Posterior, *, count: int = 3) -> tuple[Alarm, ...]:
    """Look through the readings for what no cut explains.

    What heat explains is no alarm, nor a single odd reading before others that fit.

    Parameters
    ----------
    posterior : Posterior
    count : int
        Modes looked at.
    """
    found: list[Alarm] = []
    stages = posterior.history.stages
    for stage in stages:
        found += _falls(stage, posterior, count)
    found += _warmth(stages[-1], posterior, count)
    return tuple(found)


def _rows(stage: Stage, posterior: Posterior, count: int) -> tuple[Array, Array]:
    """Pitches at one temperature and their errors, shape (r, k). [cent]"""
    belief, rows = posterior.belief, []
    warm = stage.degrees(belief.reference_c)
    for reading, degrees in zip(stage.readings, warm, strict=True):
        rows.append(CENTS * np.log(reading.row(count)) - belief.cents_per_c * degrees)
    errors = [
        np.hypot(r.errors(count), np.hypot(belief.reading_cents, r.water_error))
        for r in stage.readings
    ]
    for doubt in posterior.doubts:
        changed = (doubt.stage, doubt.mode) in posterior.changes
        last = doubt.reading == len(rows) - 1
        if doubt.stage == stage.number and doubt.mode < count and not changed and not last:
            rows[doubt.reading][doubt.mode] = np.nan
    return np.array(rows), np.array(errors)


def _falls(stage: Stage, posterior: Posterior, count: int) -> Iterator[Alarm]:
    if len(stage.readings) < 2:
        return
    rows, errors = _rows(stage, posterior, count)
    drop = rows[-1] - _first_heard(rows)
    limit = np.maximum(MOVED * np.hypot(errors[-1], errors[0]), MOVED_CENTS)
    fell = np.flatnonzero(drop < -limit)
    if not fell.size:
        return
    modes = tuple(int(mode) for mode in fell)
    cents = float(drop[fell].min())
    heard = drop[~np.isnan(drop)]
    alike = heard.size > 1 and float(np.ptp(heard)) < ALIKE_CENTS + np.nanmax(errors[-1])
    which = mode_list(modes)
    reads = "reads" if len(modes) == 1 else "read"
    if alike:
        yield Alarm(
            "warm",
            stage.number,
            modes,
            cents,
            f"all modes fell alike, by {-cents:.0f} cents, and nothing was cut: the bar is warmer "
            "or damper than before; let it rest and read it again",
        )
    elif _stays_down(rows, errors, fell):
        yield Alarm(
            "crack",
            stage.number,
            modes,
            cents,
            f"{which} fell by {-cents:.0f} cents though nothing was cut, and stayed down: the bar "
            "is probably cracked; look for a hairline between the nodes, and cut no more",
        )
    else:
        yield Alarm(
            "fell",
            stage.number,
            modes,
            cents,
            f"{which} {reads} {-cents:.0f} cents lower than before though nothing was cut; read it "
            "again: if it stays down, the bar is cracked",
        )


def _first_heard(rows: Array) -> Array:
    """First pitch of each mode that counts, shape (k,). [cent]"""
    first = np.full(rows.shape[1], np.nan)
    for row in rows:
        first = np.where(np.isnan(first), row, first)
    return first


def _stays_down(rows: Array, errors: Array, fell: np.ndarray) -> bool:
    """Whether a later reading confirms the fall, or every reading lies below the one before."""
    if len(rows) < 3:
        return False
    for mode in fell:
        values, sigma = rows[:, mode], float(np.nanmax(errors[:, mode]))
        values = values[~np.isnan(values)]
        if len(values) < 3:
            continue
        confirmed = values[0] - values[-2] > MOVED * sigma
        if confirmed or bool(np.all(np.diff(values) < 0.0)):
            return True
    return False


def _warmth(stage: Stage, posterior: Posterior, count: int) -> Iterator[Alarm]:
    history = posterior.history
    if not stage.readings:
        return
    last = stage.readings[-1].temperature_c
    others = [r.temperature_c for r in history.readings[:-1] if r.temperature_c is not None]
    usual = float(np.median(others)) + WARM_C if others else HOT_C
    before = [r.temperature_c for r in stage.readings[:-1] if r.temperature_c is not None]
    settled = last is not None and any(abs(last - t) < SETTLED_C for t in before)
    if last is not None and last >= usual and not settled:
        yield Alarm(
            "warm",
            stage.number,
            (),
            last - usual,
            f"the bar is at {last:g} °C, too warm to be judged; let it rest and read it again: if "
            "the room is as warm and it reads the same, that counts",
        )
    if len(stage.readings) < 2:
        return
    rows, errors = _rows(stage, posterior, count)
    rise = rows[-1] - rows[-2]
    limit = np.maximum(MOVED * np.hypot(errors[-1], errors[-2]), MOVED_CENTS)
    heard = ~np.isnan(rise)
    if heard.sum() < 2:
        return
    alike = float(np.ptp(rise[heard])) < ALIKE_CENTS + float(np.nanmax(errors[-1]))
    if alike and np.all(rise[heard] > limit[heard]):
        cents = float(rise[heard].max())
        yield Alarm(
            "warm",
            stage.number,
            tuple(int(mode) for mode in np.flatnonzero(heard)),
            cents,
            f"the pitch is still rising, {cents:.0f} cents since the reading before: the bar was "
            "warm; wait until it stands still",
        )
