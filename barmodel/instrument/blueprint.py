"""From a plan to what is asked of each bar: its length, its place, the measures held.

An arch has three measures. Where fewer modes are tuned some are free, and a search bar by bar
would let them jump; they are led evenly from what the last bar with more modes has.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

import numpy as np

from barmodel.instrument.assign import assign, suits
from barmodel.instrument.curve import Lengths, find_lengths
from barmodel.instrument.layout import places
from barmodel.instrument.plan import SetPlan
from barmodel.instrument.record import Task
from barmodel.instrument.survey import LOOSE, Survey, free_measures, registers, survey
from barmodel.instrument.window import request_for, try_length
from barmodel.undercut.piece import Array
from barmodel.wood import Wood

FADE = 12
"""Semitones over which a held measure goes from the register below to its usual value."""
REFINEMENTS = 2
"""How often the lengths are found anew with the nodes of the shapes held."""


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
            ),
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
    for _ in range(REFINEMENTS):
        change = _node_change(surveyed, lengths, held)
        lengths = find_lengths(surveyed, node_change=change)
        held = held_measures(plan, lengths.length)
    plank: dict[int, str] = {}
    does_for: dict[str, tuple[int, ...]] = {}
    if plan.planks:
        judged = suits(plan, lengths.length, held, lengths.centre, mapped)
        chosen = assign(plan, lengths.length, judged)
        plank = {plan.semitones[bar]: plan.planks[k].name for bar, k in chosen.items()}
        for k, item in enumerate(plan.planks):
            does_for[item.name] = tuple(plan.semitones[i] for i in judged.notes(k))
    return Blueprint(plan, lengths, places(plan), held, surveyed.nothing_suits, plank, does_for)


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


def _node_change(surveyed: Survey, lengths: Lengths, held: tuple[dict[str, float], ...]) -> Array:
    """What the nodes of the held shapes differ by from the survey's, shape (n,). [1]"""
    plan = surveyed.plan
    change = np.zeros(lengths.length.size)
    expected = surveyed.nodes(lengths.length)
    for run in registers(plan):
        known, values = [], []
        for note in [item.semitone for item in surveyed.windows if item.semitone in run]:
            i = note - plan.lowest
            got = try_length(plan, note, float(lengths.length[i]), fixed=held[i])
            if got is not None:
                known.append(note)
                values.append(got[0].node - expected[i])
        if known:
            at = [note - plan.lowest for note in run]
            change[at] = np.interp(run, known, values)
    return change
