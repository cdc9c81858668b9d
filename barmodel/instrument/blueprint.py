"""From a plan to what is asked of each bar: its length, its place, the measures held.

An arch has three measures. Where fewer modes are tuned some are free, and a search bar by bar
would let them jump; they are led evenly from what the last bar with more modes has.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from functools import partial
from typing import Any

import numpy as np

from barmodel.instrument.assign import assign, suits
from barmodel.instrument.curve import Lengths, find_lengths
from barmodel.instrument.layout import places
from barmodel.instrument.plan import SetPlan
from barmodel.instrument.record import Task
from barmodel.instrument.survey import LOOSE, Survey, check_notes, free_measures, registers, survey
from barmodel.instrument.window import request_for, try_length
from barmodel.modes import solve
from barmodel.pitch import cents
from barmodel.undercut.piece import Array
from barmodel.wood import Wood

FADE = 12
"""Semitones over which a held measure goes from the register below to its usual value."""


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
    expected_cents : tuple of tuple of float
        What the solid is likely to say above the beam. [cent]
    doubtful : tuple of int
        Semitones surveyed for which no length was found to suit.
    plank : mapping of int to str
        Plank of each bar that one was found for.
    does_for : mapping of str to tuple of int
        Bars that each plank would do for, by its name.
    """

    plan: SetPlan
    lengths: Lengths
    place: Array
    held: tuple[dict[str, float], ...]
    begin: tuple[dict[str, float], ...]
    expected_cents: tuple[tuple[float, ...], ...]
    doubtful: tuple[int, ...]
    plank: Mapping[int, str] = field(default_factory=dict)
    does_for: Mapping[str, tuple[int, ...]] = field(default_factory=dict)

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
            expected_cents=self.expected_cents[i],
            clear=plan.clear,
            hole_diameter=plan.rails.hole_diameter,
        )

    def tasks(self) -> tuple[Task, ...]:
        """Ask for the design of every bar, from the lowest."""
        return tuple(self.task(semitone) for semitone in self.plan.semitones)


def draw_blueprint(
    plan: SetPlan,
    mapped: Callable[..., Iterable[Any]] = map,
) -> Blueprint:
    """Choose lengths and held measures.

    Parameters
    ----------
    plan : SetPlan
    mapped : callable
        As `map`; another one spreads the survey over several cores.
    """
    held_by_maker = plan.lengths.given.keys() >= set(plan.semitones)
    # with every length held and no plank to judge there is nothing to look for
    surveyed = Survey(plan, ()) if held_by_maker and not plan.planks else survey(plan, mapped)
    lengths = find_lengths(surveyed)
    held = held_measures(plan, lengths.length)
    looked = _look(surveyed, lengths, held, mapped)
    if surveyed.windows:
        lengths = find_lengths(surveyed, node_change=looked.node_change)
        held = held_measures(plan, lengths.length)
    plank: dict[int, str] = {}
    does_for: dict[str, tuple[int, ...]] = {}
    if plan.planks:
        judged = suits(plan, lengths.length, held, lengths.centre, mapped)
        chosen = assign(plan, lengths.length, judged)
        plank = {plan.semitones[bar]: plan.planks[k].name for bar, k in chosen.items()}
        for k, item in enumerate(plan.planks):
            does_for[item.name] = tuple(plan.semitones[i] for i in judged.notes(k))
    return Blueprint(
        plan=plan,
        lengths=lengths,
        place=places(plan),
        held=held,
        begin=looked.begin,
        expected_cents=looked.expected_cents,
        doubtful=surveyed.nothing_suits,
        plank=plank,
        does_for=does_for,
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
    """One bar at its length: what the beam finds, and what the solid says of that shape."""

    semitone: int
    measures: dict[str, float]
    node: float
    correction_cents: Array


def _sampled(
    plan: SetPlan, lengths: Array, held: Sequence[Mapping[str, float]], semitone: int
) -> _Sample | None:
    """Search for one bar at its length with its measures held, and ask the solid."""
    length = float(lengths[semitone - plan.lowest])
    got = try_length(plan, semitone, length, fixed=held[semitone - plan.lowest])
    if got is None:
        return None
    trial, hit = got
    count = len(plan.target(semitone).ratios)
    modes = solve(hit.modes.bar, count=count, families=["bending"])
    correction = cents(modes.bending_hz[:count], hit.modes.hz[:count])
    node = float(modes.nodes[0][0]) / length
    return _Sample(semitone, trial.measures, node, np.asarray(correction))


@dataclass(frozen=True, slots=True, eq=False)
class _Looked:
    """What some bars come to at the lengths found, read between them inside a register."""

    node_change: Array
    begin: tuple[dict[str, float], ...]
    expected_cents: tuple[tuple[float, ...], ...]


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
    expected: list[tuple[float, ...]] = [() for _ in plan.semitones]
    nodes = surveyed.nodes(lengths.length)
    for run in registers(plan):
        known = [item for item in samples if item.semitone in run]
        if not known:
            continue
        at = [item.semitone for item in known]
        off = [item.node - nodes[item.semitone - plan.lowest] for item in known]
        corrections = np.array([item.correction_cents for item in known])
        for note in run:
            i = note - plan.lowest
            change[i] = np.interp(note, at, off)
            expected[i] = tuple(float(np.interp(note, at, column)) for column in corrections.T)
            if plan.family == "arch":
                begin[i] = _between(note, known, held[i])
    return _Looked(change, tuple(begin), tuple(expected))


def _between(note: int, known: Sequence[_Sample], held: Mapping[str, float]) -> dict[str, float]:
    """Measures not held, between those of bars nearby: what the search begins with."""
    at = [item.semitone for item in known]
    return {
        name: float(np.interp(note, at, [item.measures[name] for item in known]))
        for name in known[0].measures
        if name not in held
    }
