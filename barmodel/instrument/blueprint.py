"""From a plan to what is asked of each bar: its length, its place, the measures held.

An arch has three measures. Where fewer modes are tuned some are free, and a search bar by bar
would let them jump; they are led evenly from what the last bar with more modes has.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import partial
from typing import Any

import numpy as np

from barmodel.instrument.assign import assign, suits
from barmodel.instrument.begun import Begun
from barmodel.instrument.curve import TIGHT, Lengths, find_lengths
from barmodel.instrument.layout import places
from barmodel.instrument.plan import SetPlan
from barmodel.instrument.record import Outcome, Task
from barmodel.instrument.survey import LOOSE, Survey, check_notes, free_measures, registers, survey
from barmodel.instrument.trial import is_place, request_for, try_length
from barmodel.pitch import note_of
from barmodel.undercut.piece import Array
from barmodel.units import MM
from barmodel.wood import Wood

FADE = 12
"""Semitones over which a held measure goes from the register below to its usual value."""
PILOT_EVERY = 4
"""Semitones between the bars that are designed first; what they come to leads the others."""


@dataclass(frozen=True, slots=True, eq=False)
class Blueprint:
    """What is asked of each bar of a set.

    Attributes
    ----------
    plan : SetPlan
    lengths : Lengths
    place : ndarray, shape (n,)
        Middle of each bar along the row of naturals. [m]
    held : tuple of dict of str to float
        Measures held for each bar, places as shares of the length. [1]
    begin : tuple of dict of str to float
        Measures the search begins with, depths in metres, places as shares of the length.
    doubtful : tuple of int
        Semitones surveyed for which no length was found to suit.
    expected_cents : tuple of tuple of float
        What the solid is likely to say above the beam; empty until pilots tell. [cent]
    plank : mapping of int to str
        Plank of each bar that one was found for.
    does_for : mapping of str to tuple of int
        Bars that each plank would do for, by its name.
    sawn : mapping of int to float
        Lengths of bars that were sawn when the lengths were chosen. [m]
    """

    plan: SetPlan
    lengths: Lengths
    place: Array
    held: tuple[dict[str, float], ...]
    begin: tuple[dict[str, float], ...]
    doubtful: tuple[int, ...]
    expected_cents: tuple[tuple[float, ...], ...] = ()
    plank: Mapping[int, str] = field(default_factory=dict)
    does_for: Mapping[str, tuple[int, ...]] = field(default_factory=dict)
    sawn: Mapping[int, float] = field(default_factory=dict)

    def wood(self, semitone: int) -> Wood:
        """Wood of a bar: of its plank, or of the stock."""
        name = self.plank.get(semitone)
        return next((item.wood for item in self.plan.planks if item.name == name), self.plan.wood)

    def task(self, semitone: int) -> Task:
        """Ask for the design of one bar."""
        plan, i = self.plan, semitone - self.plan.lowest
        return Task(
            semitone=semitone,
            request=request_for(
                plan,
                semitone,
                float(self.lengths.length[i]),
                wood=self.wood(semitone),
                fixed=self.held[i],
                begin=self.begin[i],
            ),
            expected_cents=self.expected_cents[i] if self.expected_cents else (),
            clear=plan.clear,
            hole_diameter=plan.rails.hole_diameter,
        )

    @property
    def held_sawn(self) -> tuple[int, ...]:
        """Bars that were sawn, and whose length the curve goes through for that."""
        lengths = self.lengths.length
        return tuple(
            note
            for note, length in self.sawn.items()
            if note not in self.plan.lengths.given
            and abs(lengths[note - self.plan.lowest] - length) < TIGHT
        )

    @property
    def pilots(self) -> tuple[int, ...]:
        """Bars to design first, by semitone: the ends of every register and some between."""
        return tuple(sorted(check_notes(self.plan, every=PILOT_EVERY)))

    @property
    def doubts(self) -> tuple[str, ...]:
        """Bars whose length is a guess, above that of the bar below, or not as they were sawn."""
        guessed = [
            f"{note_of(note)}: no length was found to suit it; its length is a guess, and those of "
            "its neighbours lean on it"
            for note in self.doubtful
        ]
        steps = itertools.pairwise(self.lengths.length.tolist())
        longer = [
            f"{note_of(note)} comes out at {above / MM:.1f} mm, longer than {note_of(note - 1)} at "
            f"{below / MM:.1f} mm: lengths are given, or ratios change there; give others"
            for note, (below, above) in zip(self.plan.semitones[1:], steps, strict=True)
            if above > below
        ]
        astray = [
            f"{note_of(note)} is sawn to {length / MM:.1f} mm, and no bar of its note is sound at "
            "that length: the lengths of the others pay no heed to it"
            for note, length in self.sawn.items()
            if note not in self.held_sawn and note not in self.plan.lengths.given
        ]
        return (*guessed, *longer, *astray)

    def led(self, made: Mapping[int, Outcome]) -> Blueprint:
        """Let the pilots' designs lead the other bars of their registers.

        Parameters
        ----------
        made : mapping of int to Outcome
            By semitone; the pilots among them that were designed are used, no others, so that
            every bar is asked for alike however often the run was stopped.
        """
        begin = list(self.begin)
        expected: list[tuple[float, ...]] = [() for _ in self.plan.semitones]
        first = frozenset(self.pilots)
        known = {n: made[n] for n in first if n in made and made[n].designed}
        for run in registers(self.plan):
            pilots = [known[note] for note in run if note in known]
            for note in (n for n in run if pilots and n not in first):
                i = note - self.plan.lowest
                expected[i] = _evenly(note, pilots, [item.correction_cents for item in pilots])
                begin[i] = self._begin(note, pilots) or begin[i]
        return replace(self, begin=tuple(begin), expected_cents=tuple(expected))

    def _begin(self, note: int, pilots: Sequence[Outcome]) -> dict[str, float]:
        """Measures not held, read between the pilots': what the search begins with."""
        if self.plan.family != "arch":
            return {}
        names = [n for n in pilots[0].measures if n not in self.held[note - self.plan.lowest]]
        rows = []
        for item in pilots:
            length = float(self.lengths.length[item.semitone - self.plan.lowest])
            rows.append([item.measures[n] / (length if is_place(n) else 1.0) for n in names])
        return dict(zip(names, _evenly(note, pilots, rows), strict=True))


def draw_blueprint(
    plan: SetPlan,
    mapped: Callable[..., Iterable[Any]] = map,
    begun: Mapping[int, Begun] | None = None,
) -> Blueprint:
    """Choose lengths and held measures.

    Parameters
    ----------
    plan : SetPlan
    mapped : callable
        As `map`; another one spreads the survey over several cores.
    begun : mapping of int to Begun, optional
        Bars by semitone whose blanks are sawn: lengths go through theirs, and the wood that they
        took is not given out again.
    """
    begun = begun or {}
    sawn = {note: item.length for note, item in begun.items()}
    held_by_maker = plan.lengths.given.keys() >= set(plan.semitones)
    # with every length held and no plank to judge there is nothing to look for
    surveyed = Survey(plan, ()) if held_by_maker and not plan.planks else survey(plan, mapped)
    lengths = find_lengths(surveyed, presses=0, sawn=sawn)  # to be looked at, then found again
    held = held_measures(plan, lengths.length)
    looked = _look(surveyed, lengths, held, mapped)
    if surveyed.windows:
        lengths = find_lengths(surveyed, node_change=looked.node_change, sawn=sawn)
        held = held_measures(plan, lengths.length)
    plank: dict[int, str] = {}
    does_for: dict[str, tuple[int, ...]] = {}
    if plan.planks:
        judged = suits(plan, lengths.length, held, lengths.centre, mapped)
        chosen = assign(plan, lengths.length, judged, begun)
        plank = {plan.semitones[bar]: plan.planks[k].name for bar, k in sorted(chosen.items())}
        for k, item in enumerate(plan.planks):
            does_for[item.name] = tuple(plan.semitones[i] for i in judged.notes(k))
    return Blueprint(
        plan=plan,
        lengths=lengths,
        place=places(plan),
        held=held,
        begin=looked.begin,
        doubtful=surveyed.nothing_suits,
        plank=plank,
        does_for=does_for,
        sawn=sawn,
    )


def held_measures(plan: SetPlan, lengths: Array) -> tuple[dict[str, float], ...]:
    """Lead the free measures of an arch evenly through the registers, from the bass."""
    held: list[dict[str, float]] = []
    before: dict[str, float] = {}
    for run in registers(plan):
        names = tuple(free_measures(plan, run[0]))
        for note in run:
            share = min((note - run[0] + 1) / FADE, 1.0)
            held.append(
                {n: before.get(n, LOOSE[n]) * (1 - share) + LOOSE[n] * share for n in names}
            )
        if plan.family != "arch" or run[-1] == plan.highest:
            continue
        length = float(lengths[run[-1] - plan.lowest])
        got = try_length(plan, run[-1], length, fixed=held[-1])
        before = {} if got is None else {name: got[0].measures[name] for name in LOOSE}
    return tuple(held)


@dataclass(frozen=True, slots=True, eq=False)
class _Sample:
    """One bar at its length, as the beam finds it."""

    semitone: int
    measures: dict[str, float]
    node: float


def _sampled(
    plan: SetPlan, lengths: Array, held: Sequence[Mapping[str, float]], semitone: int
) -> _Sample | None:
    """Search for one bar at its length with its measures held."""
    length = float(lengths[semitone - plan.lowest])
    got = try_length(plan, semitone, length, fixed=held[semitone - plan.lowest])
    if got is None:
        return None
    return _Sample(semitone, got[0].measures, got[0].node)


@dataclass(frozen=True, slots=True, eq=False)
class _Looked:
    """What some bars come to at the lengths found, read between them inside a register."""

    node_change: Array
    begin: tuple[dict[str, float], ...]


def _look(
    surveyed: Survey,
    lengths: Lengths,
    held: Sequence[Mapping[str, float]],
    mapped: Callable[..., Iterable[Any]],
) -> _Looked:
    """Sample the notes surveyed at the lengths found."""
    plan = surveyed.plan
    work = partial(_sampled, plan, lengths.length, held)
    samples = [item for item in mapped(work, check_notes(plan)) if item is not None]
    change = np.zeros(lengths.length.size)
    begin: list[dict[str, float]] = [{} for _ in plan.semitones]
    nodes = surveyed.nodes(lengths.length)
    for run in registers(plan):
        known = [item for item in samples if item.semitone in run]
        if not known:
            continue
        at = [item.semitone for item in known]
        off = [item.node - nodes[item.semitone - plan.lowest] for item in known]
        for note in run:
            i = note - plan.lowest
            change[i] = np.interp(note, at, off)
            if plan.family == "arch":
                begin[i] = _between(note, known, held[i])
    return _Looked(change, tuple(begin))


def _between(note: int, known: Sequence[_Sample], held: Mapping[str, float]) -> dict[str, float]:
    """Measures not held, between those of bars nearby: what the search begins with."""
    at = [item.semitone for item in known]
    return {
        name: float(np.interp(note, at, [item.measures[name] for item in known]))
        for name in known[0].measures
        if name not in held
    }


def _evenly(
    note: int, pilots: Sequence[Outcome], rows: Sequence[Sequence[float]]
) -> tuple[float, ...]:
    """Read columns between pilots: along two parabolas, each through three of them, blended."""
    at = np.array([float(item.semitone - note) for item in pilots])
    table = np.array(rows, dtype=float)
    if at.size < 3:
        return tuple(float(np.interp(0.0, at, column)) for column in table.T)
    after = int(np.clip(np.searchsorted(at, 0.0), 1, at.size - 1))
    share = -at[after - 1] / (at[after] - at[after - 1])
    total = np.zeros(table.shape[1])
    for first, weight in ((after - 2, 1.0 - share), (after - 1, share)):
        use = slice(min(max(first, 0), at.size - 3), min(max(first, 0), at.size - 3) + 3)
        total += weight * np.polyfit(at[use], table[use], 2)[-1]
    return tuple(map(float, total))
