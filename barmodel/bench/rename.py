"""What else a bar can become that cannot become its note: a lower one, or with fewer modes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from barmodel.bench.aim import Goal
from barmodel.bench.plan import Place
from barmodel.bench.pool import Pool
from barmodel.linear import cheapest
from barmodel.pitch import Target, note_of, note_semitone
from barmodel.undercut.piece import Array

DEEPER = 8.0
"""Times the limit of one bite that a bar may be cut on its way to a lower note."""
LOWEST = 12
"""Semitones down that are tried."""


@dataclass(frozen=True, slots=True)
class Rename:
    """Another bar this one can still become.

    Attributes
    ----------
    target : Target
    semitones : int
        Below the present note; 0 for other ratios of the same note.
    """

    target: Target
    semitones: int


def find_renames(place: Place, goal: Goal, pool: Pool) -> tuple[Rename, ...]:
    """Look for the nearest lower note with these ratios, and fewer tuned modes for this note."""
    found: list[Rename] = []
    target, k = goal.target, goal.count
    for fewer in range(k - 1, 0, -1):
        shorter = replace(target, ratios=target.ratios[:fewer])
        if _reaches(place.cents[:fewer], _only(pool, fewer), replace(goal, target=shorter)):
            found.append(Rename(shorter, 0))
            break
    semitone = note_semitone(target.note)
    for down in range(1, LOWEST + 1):
        lower = replace(target, note=note_of(semitone - down))
        if _reaches(place.cents + 100.0 * down, pool, replace(goal, target=lower)):
            found.append(Rename(lower, down))
            break
    return tuple(found)


def _only(pool: Pool, count: int) -> Pool:
    return replace(pool, effects=pool.effects[:count])


def _reaches(cents: Array, pool: Pool, goal: Goal) -> bool:
    """Whether cuts alone lead from here into the tolerances, by linear theory."""
    found = cheapest(
        pool.area,
        rows=np.vstack([pool.effects, -pool.effects]),
        at_most=np.concatenate([goal.high - cents, cents - goal.low]),
        upper=DEEPER * pool.limit,
    )
    return found is not None


def rename_words(renames: Sequence[Rename]) -> str:
    """Say what the bar could become.

    Ratios are not told: those of a goal may leave for holes that are still to be drilled.
    """
    words = []
    for one in renames:
        count = len(one.target.ratios)
        modes = "mode 1" if count == 1 else f"modes 1 to {count}"
        alone = "" if one.semitones else f" with {modes} tuned alone"
        words.append(f"{one.target.note}{alone}")
    return " or ".join(words) or f"no lower note within {LOWEST} semitones"
