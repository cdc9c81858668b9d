"""Retune a finished bar to another pitch: the least wood that does it, or why it cannot be done.

Cuts in the underside only flatten; taking wood off both ends raises. With depths d ≥ 0 at places
along the bar and a trim e ≥ 0 at each end, the modes move by S·d + T·e, nearly. The least removal
that brings every tuned mode inside its limits is a linear programme, first without trimming. The
solid then solves the bar with those cuts, and what the programme missed is given back to it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal, TypeAlias

import numpy as np

from barmodel.bar import Bar
from barmodel.cutmap import LightEffect, light_effect, stations
from barmodel.cuts import side_area
from barmodel.errors import BarModelError, InputError
from barmodel.linear import cheapest
from barmodel.modes import solve
from barmodel.pitch import cents
from barmodel.tolerance import TOLERANCE_CENTS, in_tolerance
from barmodel.undercut import Shape, build_profile
from barmodel.undercut.cutters import CUTTERS, Cutter
from barmodel.undercut.piece import Array
from barmodel.units import MM

Verdict: TypeAlias = Literal["in tune", "cut", "trim", "cannot"]
TRIAL = 0.1 * MM
"""Depth for which the effect of each place is taken. [m]"""
PLACES = 25
"""Places on the half bar."""
DEEPEST = 1.5 * MM
"""Most that is taken off anywhere, by all cuts together: more is no retuning (own choice). [m]"""
SAMPLES = 200
"""Places on the half bar at which what remains is looked at."""
FAR_CENTS = 120.0
"""A bar further above its note than this is taken for another one (own choice): from 442 to
430 Hz are 48 cents. [cent]"""
MOST_TRIM = 0.02
"""Most that is taken off each end, as a share of the length: nodes leave their holes and the row
its even ends (own choice). [1]"""
TRIM_STEP = 1.0 * MM
TRIM_COST = 4.0
"""Cost of wood sawn off an end over the same wood taken from below: it shows (own choice). [1]"""
INSIDE = 0.25
"""Part of the limits kept free at first, for what the programme misses. [1]"""
LEAST_DEPTH = 0.03 * MM
"""Cuts shallower than this are left out: no hand makes them (own judgement). [m]"""
SPARE_DEPTH = 5e-6
"""Kept of the depth allowed, for rounding. [m]"""
ROUNDS = 12
DAMPING = 0.7
"""Part of what was missed that counts at once: deep cuts bite more than in proportion. [1]"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """One bar to retune.

    Attributes
    ----------
    semitone : int
    bar : Bar
        As it is, or as it was designed: its sensitivities are used, not its pitch.
    away_cents : tuple of float
        Modes heard, above their new targets; NaN for one not heard. [cent]
    cutter : Cutter
    keep : float
        Least thickness. [m]
    """

    semitone: int
    bar: Bar
    away_cents: tuple[float, ...]
    cutter: Cutter = CUTTERS["scraper20"]
    keep: float = 2.0 * MM


@dataclass(frozen=True, slots=True, kw_only=True)
class Retuning:
    """What to do to a bar.

    Attributes
    ----------
    semitone : int
    verdict : {"in tune", "cut", "trim", "cannot"}
    away_cents, after_cents : tuple of float
        Modes above their new targets, before and after. [cent]
    cuts : tuple of Shape
        Positions from the left end as it is now; made before the ends are trimmed.
    trim : float
        Off each end. [m]
    mass : float
        Wood removed from the underside. [kg]
    least : float
        Thinnest place afterwards. [m]
    reason : str
        Why it cannot be done, or what it costs.
    """

    semitone: int
    verdict: Verdict
    away_cents: tuple[float, ...]
    after_cents: tuple[float, ...] = ()
    cuts: tuple[Shape, ...] = ()
    trim: float = 0.0
    mass: float = 0.0
    least: float = float("nan")
    reason: str = ""


def retune(job: Job) -> Retuning:
    """Find the least removal that brings a bar to its new pitch.

    Parameters
    ----------
    job : Job

    Returns
    -------
    Retuning
        Never raises for a bar that cannot be retuned.
    """
    try:
        return _retuned(job)
    except BarModelError as error:
        return _cannot(job, str(error))


def _cannot(job: Job, reason: str) -> Retuning:
    return Retuning(
        semitone=job.semitone, verdict="cannot", away_cents=job.away_cents, reason=reason
    )


def _retuned(job: Job) -> Retuning:
    away = np.array(job.away_cents)
    heard = np.flatnonzero(np.isfinite(away))
    if not heard.size or heard[0] != 0:
        raise InputError("mode 1 was not heard; strike the middle of the bar and read again")
    if away[0] > FAR_CENTS:
        raise InputError(
            f"mode 1 was heard {away[0]:.0f} cents above this note: is it the reading of another "
            "bar? Two lines of the table may be exchanged"
        )
    limits = np.array(TOLERANCE_CENTS)[: away.size]
    if in_tolerance(away[heard], [TOLERANCE_CENTS[k] for k in heard]).all():
        least = job.bar.profile.least_thickness()[0]
        return Retuning(
            semitone=job.semitone,
            verdict="in tune",
            away_cents=job.away_cents,
            after_cents=job.away_cents,
            least=least,
        )
    task = _Programme(job, away[heard], limits[heard], heard)
    for trimming in (False, True):
        found = task.solve(trimming=trimming)
        if found is not None:
            return found
    return _cannot(job, task.why_not())


class _Programme:
    """The linear programme of one bar, and its confirmation by the solid."""

    def __init__(self, job: Job, away: Array, limits: Array, heard: np.ndarray) -> None:
        labels = [f"V{k + 1}" for k in heard]
        self.job, self.away, self.limits, self.heard = job, away, limits, heard
        self.effect: LightEffect = light_effect(job.bar, labels)
        self.pool = _pool(job.bar, job.cutter)
        self.slopes = np.stack([self.effect.shift(cut) for cut in self.pool], axis=1) / TRIAL
        self.area = np.array([side_area(job.bar, cut) for cut in self.pool]) / TRIAL
        at = np.linspace(0.0, job.bar.blank.length / 2, SAMPLES + 1)[1:]
        self.deep = np.stack([_depth(job.bar, cut, at) for cut in self.pool], axis=1) / TRIAL
        left = job.bar.profile.thickness(at).real - job.keep
        # a deeper cut is a little wider, so that cuts overlap more than the trial ones do
        self.room = np.clip(np.minimum(left, DEEPEST) - SPARE_DEPTH, 0.0, None)
        self.raising = self._shift((), TRIM_STEP) / TRIM_STEP

    def solve(self, *, trimming: bool) -> Retuning | None:
        """Least removal, confirmed; None if there is none inside the limits."""
        bias = np.zeros(self.away.size)
        for _ in range(ROUNDS):
            found = self._least(bias, trimming)
            if found is None:
                return None
            depths, trim = found
            cuts = self._cuts(depths)
            shift = self._shift(cuts, trim)
            after = self.away + shift
            if in_tolerance(after, [tuple(limit) for limit in self.limits]).all():
                return self._told(cuts, trim, after)
            missed = shift - self.slopes @ depths - self.raising * trim
            bias += DAMPING * (missed - bias)
        return None

    def _least(self, bias: Array, trimming: bool) -> tuple[Array, float] | None:
        low, high = self.limits.T
        spare = INSIDE * (high - low) / 2
        moved = np.column_stack([self.slopes, self.raising]) * MM  # unknowns in mm
        start = self.away + bias
        bar = self.job.bar
        end = 2.0 * bar.blank.thickness * TRIM_COST
        most = MOST_TRIM * bar.blank.length / MM if trimming else 0.0
        found = cheapest(
            np.append(self.area, end) * 1e3,
            rows=np.vstack([moved, -moved, np.pad(self.deep, ((0, 0), (0, 1)))]),
            at_most=np.concatenate([high - spare - start, start - low - spare, self.room / MM]),
            upper=np.append(np.full(len(self.pool), DEEPEST / MM), most),
        )
        if found is None:
            return None
        return found.amounts[:-1] * MM, float(found.amounts[-1]) * MM

    def _cuts(self, depths: Array) -> tuple[Shape, ...]:
        cutter = self.job.cutter
        return tuple(
            cutter.cut(at=sum(trial.extent) / 2, depth=float(depth), mirror=trial.mirror)
            for trial, depth in zip(self.pool, depths, strict=True)
            if depth > LEAST_DEPTH
        )

    def _after(self, cuts: Sequence[Shape], trim: float) -> Bar:
        bar = self.job.bar.with_cuts(*cuts)
        return bar.trimmed(left=trim, right=trim) if trim > 0.0 else bar

    def _shift(self, cuts: Sequence[Shape], trim: float) -> Array:
        """Shift of the modes heard, by the solid. [cent]"""
        count = int(self.heard[-1]) + 1
        modes = solve(self._after(cuts, trim), count=count, families=["bending"])
        return cents(modes.bending_hz[self.heard], self.effect.hz)

    def _told(self, cuts: tuple[Shape, ...], trim: float, after: Array) -> Retuning:
        job = self.job
        every = np.full(len(job.away_cents), np.nan)
        every[self.heard] = after
        trimmed = self._after(cuts, trim)
        removed = job.bar.mass - job.bar.with_cuts(*cuts).mass
        said = []
        if trim > 0.0:
            said.append(
                f"{trim / MM:.1f} mm off each end, which brings the nodes as much nearer to them"
            )
        unheard = [str(k + 1) for k in np.flatnonzero(np.isnan(every))]
        if unheard:
            said.append(
                f"mode {', '.join(unheard)} was not heard and is not watched: hear it first"
            )
        return Retuning(
            semitone=job.semitone,
            verdict="trim" if trim > 0.0 else "cut",
            away_cents=job.away_cents,
            after_cents=tuple(map(float, every)),
            cuts=cuts,
            trim=trim,
            mass=removed,
            least=trimmed.profile.least_thickness()[0],
            reason="; ".join(said),
        )

    def why_not(self) -> str:
        """Say which mode stands in the way."""
        low = self.limits[:, 0]
        flat = low - self.away
        worst = int(np.argmax(flat))
        if flat[worst] > 0.0:
            needed = flat[worst] / self.raising[worst] / MM
            most = MOST_TRIM * self.job.bar.blank.length / MM
            name = int(self.heard[worst]) + 1
            if needed > most:
                return (
                    f"mode {name} is {-self.away[worst]:.0f} cents flat: {needed:.1f} mm off each "
                    f"end would be needed, over {most:.1f} mm; use it for a lower note or remake "
                    "it (or is this the reading of another bar?)"
                )
            return (
                f"mode {name} is {-self.away[worst]:.0f} cents flat, and after trimming the other "
                "modes cannot be brought down to it inside the thickness that must remain"
            )
        return (
            "the modes cannot all be brought down inside their limits with this cutter and the "
            "thickness that must remain; take a finer cutter, or let a higher mode go"
        )


def _pool(bar: Bar, cutter: Cutter) -> list[Shape]:
    """Trial cuts: pairs from the end to near the middle, and one in the middle."""
    width = cutter.least_width(TRIAL)
    middle = bar.blank.length / 2
    at = stations(bar, width, 2 * PLACES)[:PLACES]
    pairs = [
        cutter.cut(at=float(x), depth=TRIAL, mirror=True) for x in at if x < middle - width / 2
    ]
    return [*pairs, cutter.cut(at=middle, depth=TRIAL)]


def _depth(bar: Bar, cut: Shape, at: Array) -> Array:
    """Depth that a cut has at places along the bar. [m]"""
    blank = bar.blank
    layer = build_profile(blank.length, blank.thickness, (cut,))
    return np.asarray(blank.thickness - layer.thickness(at).real)
