"""The bar as its readings make it known: Gauss–Newton MAP and covariance.

Unknown are the wood, an error in the depth of each cut, what the model misses in each mode, which
drifts from cut to cut, and how the bar answers to heat and to water. Each stage of the bar — the
time between two cuts — is predicted from what came before, its readings are screened against that,
and what is believed is learnt from. With slopes of the model that is a linear problem of some tens
of unknowns; it is repeated about the new best values until these stand still.

References
----------
A. Tarantola, "Inverse Problem Theory", SIAM 2005, section 3.2 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass, field
from itertools import pairwise

import numpy as np

from barmodel.bar import Bar
from barmodel.bench.belief import Belief, depth_error
from barmodel.bench.history import READING_CENTS, CutMade, History, Stage
from barmodel.bench.model import WOOD, Pitches, bar_with, beam_log_hz, pitches
from barmodel.bench.screen import Doubt, Heard, Readings, screen
from barmodel.cuts import EndTrim
from barmodel.undercut.piece import Array
from barmodel.units import CENTS

ROUNDS = 5
SETTLED = 0.05
"""Change of any pitch by a last round that is neglected. [cent]"""
_AIR = slice(len(WOOD), len(WOOD) + 2)
"""Where the answers to heat and to water stand among the unknowns."""


@dataclass(frozen=True, slots=True, eq=False)
class Posterior:
    """What is known of a bar.

    Attributes
    ----------
    history : History
    belief : Belief
    mean : ndarray, shape (n,)
        Logarithms of the wood constants over the written ones, answer to heat over the believed
        one [cent/°C], answer to water likewise in standard errors [1], depth errors [m], offsets
        of the modes and their growth by each cut [cent].
    covariance : ndarray, shape (n, n)
    depths : int
        Number of entries of the undercut whose depth is uncertain.
    bar : Bar
        The bar as it most likely is.
    log_hz : ndarray, shape (k,)
        ln f of the bar as it is, offset included.
    pitch_covariance : ndarray, shape (k, k)
        [cent²]
    slopes : ndarray, shape (k, n)
        Change of the pitches with the unknowns. [cent]
    doubts : tuple of Doubt
        Frequencies set aside.
    changes : tuple of (int, int)
        Stage and mode, from 0, where readings agree on a pitch that no cut explains.
    residual_cents : tuple of ndarray
        Heard minus explained, stage by stage, shape (k,) each. [cent]
    """

    history: History
    belief: Belief
    mean: Array
    covariance: Array
    depths: int
    bar: Bar
    log_hz: Array
    pitch_covariance: Array
    slopes: Array
    doubts: tuple[Doubt, ...] = ()
    changes: tuple[tuple[int, int], ...] = ()
    residual_cents: tuple[Array, ...] = field(default=())

    @property
    def hz(self) -> Array:
        """Bending modes of the bar as it is, at the reference temperature. [Hz]"""
        return np.asarray(np.exp(self.log_hz))

    @property
    def at_c(self) -> float:
        """Temperature at which the bar was last heard; the reference where none was told. [°C]"""
        reference = self.belief.reference_c
        heard = [stage for stage in self.history.stages if stage.readings]
        return float(heard[-1].degrees(reference)[-1]) + reference if heard else reference

    @property
    def heat_cents(self) -> float:
        """What a tuner shows at that temperature above what it would at the reference. [cent]"""
        return self.belief.cents_per_c * (self.at_c - self.belief.reference_c)

    @property
    def error_cents(self) -> Array:
        """Standard errors of the same. [cent]"""
        return np.sqrt(np.diag(self.pitch_covariance))

    @property
    def ear_cents(self) -> Array:
        """Standard errors of a further reading, taken to be as good as the last. [cent]"""
        count = self.log_hz.size
        readings = self.history.readings
        last = readings[-1].errors(count) if readings else np.full(count, READING_CENTS)
        return np.hypot(last, self.belief.reading_cents)

    @property
    def offset_cents(self) -> Array:
        """What the model misses in each mode, at present. [cent]"""
        count = self.log_hz.size
        return np.asarray(self.mean[_AIR.stop + self.depths :].reshape(-1, count).sum(axis=0))


@dataclass(frozen=True, slots=True, eq=False)
class _Problem:
    """Stages with their pitches and the spreads of all unknowns."""

    history: History
    belief: Belief
    count: int
    stages: tuple[Stage, ...]
    solved: tuple[Pitches | None, ...]
    spread: Array
    depths: int

    def offsets_of(self, stage: int) -> slice:
        """Unknowns of the growth of the offsets that came with a stage."""
        start = _AIR.stop + self.depths + stage * self.count
        return slice(start, start + self.count)


def infer(history: History, belief: Belief | None = None, *, count: int = 3) -> Posterior:
    """Learn what the readings say of a bar.

    Parameters
    ----------
    history : History
    belief : Belief, optional
        What is believed beforehand.
    count : int
        Bending modes considered.
    """
    belief = belief or Belief.about(history.start.blank.wood)
    problem = _pose(history, belief, count)
    mean = np.zeros(problem.spread.size)
    before = None
    for _ in range(ROUNDS):
        found = _learn(problem, mean)
        mean = found.mean
        if before is not None and np.abs(found.log_hz - before).max() * CENTS < SETTLED:
            break
        before = found.log_hz
    return found


def _pose(history: History, belief: Belief, count: int) -> _Problem:
    """Solve the stages that were heard, and the last one; set up the spreads."""
    stages = history.stages
    solved = tuple(
        pitches(stage.bar, count) if stage.readings or stage is stages[-1] else None
        for stage in stages
    )
    depths = [depth_error(cut) for cut in history.start.undercut]
    for stage in stages[1:]:
        depths += _depth_errors(stage.cut)
    spread = [belief.e_long, belief.g_long_thick, belief.g_long_width, *_air_error(belief)]
    first = belief.begun_cents if history.start.undercut else belief.offset_cents
    offsets = [np.full(count, first)]
    for before, after in pairwise(stages):
        shift = CENTS * (beam_log_hz(after.bar, count) - beam_log_hz(before.bar, count))
        drilled = after.cut is not None and after.cut.drilled
        offsets.append(np.hypot(belief.drift(shift), belief.drilled_cents if drilled else 0.0))
    whole = np.concatenate([spread, depths, *offsets])
    return _Problem(history, belief, count, stages, solved, whole, len(depths))


def _depth_errors(cut: CutMade | None) -> list[float]:
    if cut is None:
        return []
    return [depth_error(c, measured=cut.measured) for c in cut.cuts if not isinstance(c, EndTrim)]


def _learn(problem: _Problem, at: Array) -> Posterior:
    """One round: through the stages in order, with slopes, about the given values."""
    information, pull = np.diag(problem.spread**-2), np.zeros(at.size)
    used: list[tuple[Array, Array, Heard]] = []
    doubts: list[Doubt] = []
    value, slopes = np.empty(0), np.empty((0, 0))
    for number, stage in enumerate(problem.stages):
        pitch = problem.solved[number]
        if pitch is None:
            continue
        value, slopes = _predicted(problem, number, pitch, at)
        if not stage.readings:
            continue
        covariance = np.linalg.inv(information)
        expected = value + slopes @ (covariance @ pull - at)
        readings = _readings(problem, stage)
        heard = screen(number, readings, expected, slopes @ covariance @ slopes.T)
        doubts += heard.doubts
        information = _loosened(problem, information, heard)
        kept = ~np.isnan(heard.cents)
        lines = slopes.copy()
        lines[:, _AIR] += heard.air  # a warm reading also tells of the answer to heat
        then = value + heard.air @ at[_AIR]
        weight = heard.error[kept] ** -2
        gap = (heard.cents - then + lines @ at)[kept]
        information = information + lines[kept].T @ (weight[:, None] * lines[kept])
        pull = pull + lines[kept].T @ (weight * gap)
        used.append((then, lines, heard))
    final = np.asarray(np.linalg.inv(information), dtype=np.float64)
    mean = np.asarray(final @ pull, dtype=np.float64)
    return _posterior(problem, at, mean, final, value, slopes, used, doubts)


def _loosened(problem: _Problem, information: Array, heard: Heard) -> Array:
    """Let offsets grow as far as a surprise asks for, which no cut explains.

    What changed one mode may have changed those that were not heard as much.
    """
    places = np.arange(information.shape[0])[problem.offsets_of(heard.stage)]
    grown = np.where(np.isnan(heard.cents), np.abs(heard.surprise).max(), heard.surprise)
    spread = problem.spread[places]
    loosened = information.copy()
    loosened[places, places] += 1.0 / (spread**2 + grown**2) - spread**-2
    return loosened


def _predicted(problem: _Problem, number: int, pitch: Pitches, at: Array) -> tuple[Array, Array]:
    """Pitches of a stage at given unknowns and their slopes in all of them. [cent]"""
    bar = problem.stages[number].bar
    entries = pitch.depth.shape[1]
    depth = slice(_AIR.stop, _AIR.stop + entries)
    if np.any(at[: len(WOOD)]) or np.any(at[depth]):
        moved = beam_log_hz(bar_with(bar, at[: len(WOOD)], at[depth].tolist()), problem.count)
    else:
        moved = pitch.beam
    value = CENTS * (pitch.log_hz - pitch.beam + moved)
    slopes = np.zeros((problem.count, at.size))
    slopes[:, : len(WOOD)] = CENTS * pitch.wood
    slopes[:, depth] = CENTS * pitch.depth
    for stage in range(number + 1):
        slopes[:, problem.offsets_of(stage)] = np.eye(problem.count)
        value = value + at[problem.offsets_of(stage)]
    return value, slopes


def _readings(problem: _Problem, stage: Stage) -> Readings:
    """Readings brought to the reference temperature and to the water of today."""
    belief = problem.belief
    rows, errors = [], []
    warm = stage.degrees(belief.reference_c)
    for reading, degrees in zip(stage.readings, warm, strict=True):
        rows.append(CENTS * np.log(reading.row(problem.count)) - belief.cents_per_c * degrees)
        errors.append(reading.errors(problem.count))
    water = np.array([-reading.water_drift for reading in stage.readings])
    air = np.column_stack([warm, water])
    return Readings(np.array(rows), np.array(errors), air, _air_error(belief), belief.reading_cents)


def _air_error(belief: Belief) -> Array:
    """Standard errors of the answers to heat and to water. [cent/°C], [1]"""
    return np.array([belief.cents_per_c_error, 1.0])


def _posterior(
    problem: _Problem,
    at: Array,
    mean: Array,
    covariance: Array,
    value: Array,
    slopes: Array,
    used: list[tuple[Array, Array, Heard]],
    doubts: list[Doubt],
) -> Posterior:
    step = mean - at
    entries = len(problem.history.bar.undercut)
    depth = mean[_AIR.stop : _AIR.stop + entries].tolist()
    return Posterior(
        history=problem.history,
        belief=problem.belief,
        mean=mean,
        covariance=covariance,
        depths=problem.depths,
        bar=bar_with(problem.history.bar, mean[: len(WOOD)], depth),
        log_hz=(value + slopes @ step) / CENTS,
        pitch_covariance=np.asarray(slopes @ covariance @ slopes.T),
        slopes=slopes,
        doubts=tuple(doubts),
        changes=tuple(
            (heard.stage, int(mode))
            for _then, _lines, heard in used
            for mode in np.flatnonzero(heard.surprise)
        ),
        residual_cents=tuple(heard.cents - then - lines @ step for then, lines, heard in used),
    )
