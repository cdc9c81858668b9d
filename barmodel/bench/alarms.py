"""Pitches that move though nothing was cut: a crack, a warm bar, wood taken untold, or a slip."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

from barmodel.bar import Bar
from barmodel.bench.history import Stage
from barmodel.bench.model import beam_log_hz
from barmodel.bench.posterior import Posterior
from barmodel.bench.words import mode_list
from barmodel.cuts import EndTrim, apply_cuts
from barmodel.undercut.piece import Array
from barmodel.units import CENTS, MM

AlarmKind: TypeAlias = Literal["crack", "fell", "untold", "warm", "rose"]
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
MOST_BY_CRACK = 150.0
"""No crack lowers a bar that still rings by more: that takes a cut, or another bar (own judgement).
[cent]"""
ENDS_STEP = 1.0 * MM
"""Off each end, by which it is learnt how the ends raise a bar. [m]"""
LEAST_ENDS, MOST_ENDS = 0.05 * MM, 10.0 * MM
"""What somebody saws off each end and forgets to write down (own judgement). [m]"""
ENDS_SHARE = 0.1
"""Share by which a rise may differ from that by the ends, besides `ALIKE_CENTS`. [1]"""


@dataclass(frozen=True, slots=True)
class Alarm:
    """Something to see to before the next cut.

    Attributes
    ----------
    kind : {"crack", "fell", "untold", "warm", "rose"}
        crack: fell without a cut, and stayed down or keeps falling; fell: fell once, to be read
        again, or all modes alike though it was as warm; untold: fell farther than by any crack;
        warm: wait; rose: without a cut.
    stage : int
        Cuts made before.
    modes : tuple of int
        Modes concerned, from 0.
    cents : float
        Largest change, or degrees too warm when no pitch moved. [cent]
    text : str
        For the maker.
    moved, errors : tuple of float
        How far each mode moved at one temperature, NaN for one not heard, and the standard error;
        empty where no pitch moved. [cent]
    since : int
        First reading of the stage after the change, from 0.
    ends : float
        Length off each end that would raise the modes so; 0 where none would. [m]
    """

    kind: AlarmKind
    stage: int
    modes: tuple[int, ...]
    cents: float
    text: str
    moved: tuple[float, ...] = ()
    errors: tuple[float, ...] = ()
    since: int = 0
    ends: float = 0.0


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
    found += _warmth(stages[-1], posterior)
    found += _rises(stages[-1], posterior, count)
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
    error = np.hypot(errors[-1], errors[0])
    fell = np.flatnonzero(drop < -np.maximum(MOVED * error, MOVED_CENTS))
    if not fell.size:
        return
    modes = tuple(int(mode) for mode in fell)
    cents, since = float(drop[fell].min()), _since(rows, fell)
    kind, text = _fall_in_words(stage, rows, errors, modes, since)
    yield Alarm(
        kind,
        stage.number,
        modes,
        cents,
        text,
        moved=tuple(drop.tolist()),
        errors=tuple(error.tolist()),
        since=since,
    )


def _fall_in_words(
    stage: Stage, rows: Array, errors: Array, modes: tuple[int, ...], since: int
) -> tuple[AlarmKind, str]:
    """What may have made modes fall, and that in words."""
    drop = rows[-1] - _first_heard(rows)
    fell, heard = np.array(modes), drop[~np.isnan(drop)]
    by = f"{-float(drop[fell].min()):.0f} cents"
    which, reads = mode_list(modes), "reads" if len(modes) == 1 else "read"
    if drop[fell].min() < -MOST_BY_CRACK:
        return "untold", (
            f"{which} fell by {by} though no cut was told: no crack takes more than "
            f"{MOST_BY_CRACK:.0f} of a bar that still rings (own judgement); a cut is not in the "
            "log, or a reading is a slip or of another bar"
        )
    if heard.size > 1 and float(np.ptp(heard)) < ALIKE_CENTS + np.nanmax(errors[-1]):
        if _as_warm(stage, since):
            return "fell", (
                f"all modes fell alike, by {by}, and nothing was cut, at the same temperature: "
                "the bar is damper than before, or wood is gone that the log does not tell of"
            )
        return "warm", (
            f"all modes fell alike, by {by}, and nothing was cut: the bar is warmer or damper than "
            "before; let it rest and read it again"
        )
    if _stays_down(rows, errors, fell):
        return "crack", (
            f"{which} fell by {by} though nothing was cut, and stayed down: the bar is probably "
            "cracked; look for a hairline between the nodes, and cut no more"
        )
    return "fell", (
        f"{which} {reads} {by} lower than before though nothing was cut; read it again: if it "
        "stays down, the bar is cracked"
    )


def _since(rows: Array, modes: np.ndarray) -> int:
    """First reading from which on these modes are nearer to the last one than to the first."""
    before, after, since = _first_heard(rows)[modes], rows[-1][modes], len(rows) - 1
    while since > 1:
        row = rows[since - 1][modes]
        nearer = np.abs(row - after) < np.abs(row - before)
        if not np.all(nearer | np.isnan(row)):
            break
        since -= 1
    return since


def _as_warm(stage: Stage, since: int) -> bool:
    """Whether the bar is told to have been as warm before a change as with the last reading."""
    last = stage.readings[-1].temperature_c
    before = [r.temperature_c for r in stage.readings[:since]]
    return last is not None and all(t is not None and abs(t - last) < SETTLED_C for t in before)


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


def _warmth(stage: Stage, posterior: Posterior) -> Iterator[Alarm]:
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


def _rises(stage: Stage, posterior: Posterior, count: int) -> Iterator[Alarm]:
    if len(stage.readings) < 2:
        return
    rows, errors = _rows(stage, posterior, count)
    rise = rows[-1] - rows[-2]
    error = np.hypot(errors[-1], errors[-2])
    heard = ~np.isnan(rise)
    if heard.sum() < 2 or np.any(rise[heard] <= np.maximum(MOVED * error, MOVED_CENTS)[heard]):
        return
    ends = _by_ends(stage.bar, rise)
    if not ends and float(np.ptp(rise[heard])) >= ALIKE_CENTS + float(np.nanmax(errors[-1])):
        return
    since = len(rows) - 1
    cents = float(rise[heard].max())
    yield Alarm(
        "rose",
        stage.number,
        tuple(int(mode) for mode in np.flatnonzero(heard)),
        cents,
        _rise_in_words(cents, ends, as_warm=_as_warm(stage, since)),
        moved=tuple(rise.tolist()),
        errors=tuple(error.tolist()),
        since=since,
        ends=ends,
    )


def _rise_in_words(cents: float, ends: float, *, as_warm: bool) -> str:
    """What may have made all modes rise."""
    if as_warm:
        text = (
            f"all modes rose, by {cents:.0f} cents, and nothing was cut, at the same temperature: "
            "the bar is drying, and to wait until it stands still"
        )
    else:
        text = (
            f"the pitch is still rising, {cents:.0f} cents since the reading before: the bar was "
            "warm, or is drying; wait until it stands still"
        )
    if not ends:
        return text
    return (
        f"{text}; or its ends were sawn off and that is not in the log: {ends / MM:.1f} mm off "
        "each end would do it"
    )


def _by_ends(bar: Bar, rise: Array) -> float:
    """Length off each end that raises the modes so, by the beam; 0 where none does. [m]"""
    shorter = apply_cuts(bar, (EndTrim(left=ENDS_STEP, right=ENDS_STEP),), check=False)
    step = CENTS * (beam_log_hz(shorter, rise.size) - beam_log_hz(bar, rise.size))
    heard = ~np.isnan(rise)
    by, wanted = step[heard], rise[heard]
    steps = float(by @ wanted / (by @ by))
    fits = np.abs(wanted - steps * by) <= ALIKE_CENTS + ENDS_SHARE * wanted
    ends = steps * ENDS_STEP
    return ends if bool(fits.all()) and LEAST_ENDS <= ends <= MOST_ENDS else 0.0
