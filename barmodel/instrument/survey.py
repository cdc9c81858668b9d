"""What suits each note of a set: windows at some notes, read between them inside a register."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import partial

import numpy as np

from barmodel.instrument.plan import SetPlan
from barmodel.instrument.trial import practice_length
from barmodel.instrument.window import Window, window
from barmodel.undercut.piece import Array

CHECK_EVERY = 8
"""Semitones between the notes that are surveyed."""
LOOSE = {"fullness": 2.5, "start": 0.33}
"""Measures of an arch held where fewer modes are tuned than it has measures (own choice)."""


def registers(plan: SetPlan) -> tuple[tuple[int, ...], ...]:
    """Runs of notes that tune equally many modes, from the bass."""
    runs = itertools.groupby(plan.semitones, lambda note: plan.target(note).ratios)
    return tuple(tuple(notes) for _, notes in runs)


def free_measures(plan: SetPlan, semitone: int) -> dict[str, float]:
    """Measures of the arch that the tuned modes leave free, at their usual values."""
    modes = len(plan.target(semitone).ratios)
    if plan.family != "arch" or modes > 2:
        return {}
    names = ("fullness",) if modes == 2 else ("fullness", "start")
    return {name: LOOSE[name] for name in names}


def check_notes(plan: SetPlan, *, every: int = CHECK_EVERY) -> tuple[int, ...]:
    """Notes to survey: the ends of every register and some between, `every` semitones apart."""
    notes: list[int] = []
    for run in registers(plan):
        count = max(2, round((run[-1] - run[0]) / every) + 1)
        notes += [round(note) for note in np.linspace(run[0], run[-1], count)]
    return tuple(dict.fromkeys(notes))


def survey_note(plan: SetPlan, semitone: int) -> Window:
    """Survey one note."""
    return window(plan, semitone, fixed=free_measures(plan, semitone))


@dataclass(frozen=True, slots=True)
class Survey:
    """Windows of the notes surveyed.

    Attributes
    ----------
    plan : SetPlan
    windows : tuple of Window
        Ascending by note.
    """

    plan: SetPlan
    windows: tuple[Window, ...]

    @property
    def nothing_suits(self) -> tuple[int, ...]:
        """Notes surveyed for which no length was found."""
        return tuple(item.semitone for item in self.windows if not item.suits)

    def bounds(self, *, room: float) -> tuple[Array, Array, Array]:
        """Shortest, wished and longest length of each bar, shape (n,). [m]

        Parameters
        ----------
        room : float
            How far a length may leave its wish, as a share. [1]
        """
        shortest = self._each(lambda item: np.log(item.shortest))
        longest = self._each(lambda item: np.log(item.longest))
        practice = self._practice()
        shortest = np.where(np.isnan(shortest), practice - 0.2, shortest)
        longest = np.where(np.isnan(longest), practice + 0.2, longest)
        wish = np.clip(practice + self._given_over(practice), shortest, longest)
        low = np.maximum(shortest, wish - room)
        high = np.minimum(longest, wish + room)
        return np.exp(low), np.exp(wish), np.exp(high)

    def nodes(self, lengths: Array) -> Array:
        """First still point of mode 1 at these lengths, as a share of the length, shape (n,)."""
        return self._at(lengths, lambda item: [trial.node for trial in item.trials])

    def centres(self, lengths: Array) -> Array:
        """Thickness in the middle at these lengths, shape (n,). [m]"""
        return self._at(lengths, lambda item: [trial.centre for trial in item.trials])

    def _given_over(self, practice: Array) -> Array:
        """How far the maker's lengths lie above practice, in logarithms, carried between them."""
        given = self.plan.lengths.given
        known = [note for note in sorted(given) if note in self.plan.semitones]
        if not known:
            return np.zeros_like(practice)
        at = [note - self.plan.lowest for note in known]
        ratio = [np.log(given[note]) - practice[i] for note, i in zip(known, at, strict=True)]
        return np.asarray(np.interp(np.arange(practice.size), at, ratio))

    def _at(self, lengths: Array, column: Callable[[Window], Sequence[float]]) -> Array:
        """Read a column of the trials at each bar's own length."""
        # the window of a note nearby is moved to this note by what practice makes the bars differ
        practice = self._practice()
        logs = np.log(lengths) - practice
        out = np.full(lengths.size, np.nan)
        for run in registers(self.plan):
            known = [w for w in self.windows if w.trials and run[0] <= w.semitone <= run[-1]]
            if not known:
                continue
            tables = [(w, np.log([trial.length for trial in w.trials])) for w in known]
            for note in run:
                i = note - self.plan.lowest
                values = [
                    np.interp(logs[i] + practice[w.semitone - self.plan.lowest], at, column(w))
                    for w, at in tables
                ]
                out[i] = np.interp(note, [item.semitone for item in known], values)
        return _filled(out)

    def _practice(self) -> Array:
        """Logarithm of the length that practice would give each bar, shape (n,)."""
        wood, stock = self.plan.wood, self.plan.thickness
        notes = self.plan.semitones
        return np.log([practice_length(note, wood=wood, thickness=stock) for note in notes])

    def _each(self, value: Callable[[Window], float]) -> Array:
        """A number per bar, read between the notes surveyed of its register; NaN if none."""
        out = np.full(len(self.plan.semitones), np.nan)
        for run in registers(self.plan):
            known = [w for w in self.windows if w.suits and run[0] <= w.semitone <= run[-1]]
            if known:
                notes = [item.semitone for item in known]
                at = [note - self.plan.lowest for note in run]
                out[at] = np.interp(run, notes, [value(item) for item in known])
        return out


def _filled(values: Array) -> Array:
    """Fill gaps from their neighbours; 0.2 if nothing is known at all."""
    known = np.flatnonzero(~np.isnan(values))
    if not known.size:
        return np.full(values.size, 0.2)
    return np.asarray(np.interp(np.arange(values.size), known, values[known]))


def survey(
    plan: SetPlan,
    mapped: Callable[[Callable[[int], Window], Iterable[int]], Iterable[Window]] = map,
) -> Survey:
    """Survey a set.

    Parameters
    ----------
    plan : SetPlan
    mapped : callable
        As `map`; another one spreads the notes over several cores.
    """
    notes = sorted(check_notes(plan))
    return Survey(plan, tuple(mapped(partial(survey_note, plan), notes)))
